"""The text of a capture file comes in, numbered lines go out: cleaned, secrets masked, numbers as an editor counts."""

from __future__ import annotations

from typing import NamedTuple

from vlancheck.capture import pager
from vlancheck.capture.clean import STRANGE, clean
from vlancheck.capture.decoding import decode
from vlancheck.capture.secrets import mask_all
from vlancheck.capture.words import lines_holding

__all__ = ["Line", "decode", "numbered"]

_PLAIN = bytes([9, 10, *range(32, 127)])  # the characters of a clean ASCII text


class Line(NamedTuple):
    """One line of a capture."""

    number: int  # 1-based line in the file, as an editor or grep -n counts it
    text: str  # cleaned, secrets masked, no line end, indentation kept


def numbered(text: str) -> list[Line]:
    r"""Return the lines of `text`, split at `\n` only.

    A text without any `\n` but with several `\r` has the line ends of old computers and is split at those.  Where
    one line of the file made several rows on the screen, each row is a Line of the same number.
    """
    rows = split(text)
    joined = "\n".join(rows) if "\r" in text else text
    suspects = set(lines_holding(joined.lower(), pager.WORDS))
    if _strange(joined):
        suspects.update(index for index, row in enumerate(rows) if STRANGE.search(row))
    numbers: list[int] | range = range(1, len(rows) + 1)
    several = False
    for index in suspects:
        rows[index] = clean(rows[index])
        several = several or "\n" in rows[index]
    if several:
        numbers = [number for number, row in enumerate(rows, 1) for _ in range(row.count("\n") + 1)]
        rows = "\n".join(rows).split("\n")
    return list(map(Line._make, zip(numbers, mask_all(rows), strict=True)))


def split(text: str) -> list[str]:
    """Return the raw lines of `text`, without their line ends."""
    if "\r" in text:
        if "\n" not in text and text.count("\r") > 1:
            text = text.replace("\r", "\n")
        rows = [row.strip("\r") for row in text.split("\n")]
    else:
        rows = text.split("\n")
    if not rows[-1]:
        rows.pop()
    return rows


def _strange(text: str) -> bool:
    if text.isascii():
        return bool(text.encode("ascii").translate(None, _PLAIN))
    return STRANGE.search(text) is not None
