"""A line comes in; whether it holds a word that could touch VLANs goes out.

The words are data (`dialects/sensitive.yaml`), so that the list is published and a test can walk it.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from functools import cache
from pathlib import Path

from vlancheck import yamltext
from vlancheck.errors import DialectError

FOLDER = Path(__file__).parent.parent / "dialects"


def words() -> tuple[str, ...]:
    """Return the published words, which hold for every dialect."""
    return _published("words")


@cache
def _published(key: str) -> tuple[str, ...]:
    file = FOLDER / "sensitive.yaml"
    node = yamltext.load(file.read_text(encoding="utf-8"), str(file), DialectError)
    if not isinstance(node, yamltext.Table) or not isinstance(listed := node.get(yamltext.Text(key)), list):
        raise DialectError(f"needs a list `{key}`", file=str(file))
    return tuple(str(word) for word in listed)


@cache
def pattern(more: tuple[str, ...] = ()) -> re.Pattern[str]:
    """Return the pattern that finds a published word, or one of `more`, that stands between non-letters."""
    return re.compile(rf"(?<![A-Za-z])(?:{_alternatives((*words(), *more))})(?![A-Za-z])", re.IGNORECASE)


def nearly(text: str, more: tuple[str, ...] = ()) -> bool:
    """Tell whether a word of a line is such a word with one letter left out or doubled, or two of them swapped."""
    said = re.findall(r"[a-z]+(?:[-_][a-z]+)*", text.casefold())
    return any(word in _slips(more) for whole in said for word in (whole, *re.split("[-_]", whole)))


@cache
def _slips(more: tuple[str, ...]) -> frozenset[str]:
    """Return what words of four letters and more become by one slip, if that is no word of its own."""
    found: set[str] = set()
    for word in (*words(), *more):
        if re.fullmatch(r"[a-z_-]{4,}", word):
            for at in range(len(word)):
                begin, letter, end = word[:at], word[at], word[at + 1 :]
                found |= {f"{begin}{letter}{letter}{end}", f"{begin}{end[:1]}{letter}{end[1:]}"}
                if at and (end or letter != "s"):
                    found.add(f"{begin}{end}")
    return frozenset(found) - {*words(), *more, *_published("apart")}


def _alternatives(listed: Iterable[str]) -> str:
    return "|".join(re.escape(word) for word in sorted(set(listed), key=lambda word: (-len(word), word)))
