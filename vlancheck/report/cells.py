"""Words in, lines that fit a terminal out: a character takes none, one or two cells of it."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator

_ENDS = "..."


def cells(text: str) -> int:
    """Return how many cells of a terminal a text takes (Unicode Standard Annex 11: wide characters take two)."""
    return len(text) if text.isascii() else sum(map(_cells, text))


def _cells(character: str) -> int:
    if unicodedata.category(character) in ("Mn", "Me"):
        return 0
    return 2 if unicodedata.east_asian_width(character) in "WF" else 1


def wrapped(text: str, width: int, hang: int = 0) -> list[str]:
    """Return text as lines of at most `width` cells, all but the first with `hang` blanks before them.

    It is broken at blanks, and within a word only where the word alone is longer than a line.
    """
    made: list[str] = []
    line = ""
    for word in text.split():
        for number, part in enumerate(_parts(word, max(width - hang, 2))):
            if line and (number or cells(line) + 1 + cells(part) > width):
                made.append(line)
                line = " " * hang + part
            else:
                line = f"{line} {part}" if line else part
    return [*made, line]


def _parts(word: str, width: int) -> Iterator[str]:
    """Yield a word, in parts where it is longer than a line."""
    part = ""
    for character in word:
        if cells(part) + _cells(character) > width:
            yield part
            part = ""
        part += character
    yield part


def cut(text: str, width: int) -> str:
    """Return what fits of a text, with `...` where some of it is left out."""
    return text if cells(text) <= width else f"{_first(text, width - len(_ENDS)).rstrip()}{_ENDS}"[:width]


def cut_before(text: str, width: int) -> str:
    """Return the end of a text that fits, with `...` where some of it is left out."""
    return text if cells(text) <= width else f"{_ENDS}{_first(text[::-1], width - len(_ENDS))[::-1]}"[:width]


def cut_lines(text: str, width: int, most: int, hang: int = 0) -> list[str]:
    """Return text as at most so many lines, with `...` where some of it is left out."""
    made = wrapped(text, width, hang)
    if len(made) <= most:
        return made
    last = made[most - 1]
    return [*made[: most - 1], f"{_first(last, width - len(_ENDS)).rstrip()}{_ENDS}"]


def _first(text: str, width: int) -> str:
    """Return the beginning of a text that fits."""
    taken = used = 0
    for character in text:
        used += _cells(character)
        if used > width:
            break
        taken += 1
    return text[:taken]
