"""A section and the signatures of the dialects come in; the dialects it may be written in go out, best first."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

from vlancheck.capture.console import Section

_PATTERN = 10  # points for a pattern that fits a line
_COMMAND = 5  # points for a command pattern that fits the command
_LETTERS = re.compile(r"\^(?:\\s\*| \*)?([A-Za-z][A-Za-z0-9 _-]+)")  # how most signs begin
_MOST = 1000  # different lines looked at: all of most texts, an even choice of a very long one


@dataclass(frozen=True, slots=True)
class Signature:
    """How to know a dialect by its text."""

    dialect: str  # name of the dialect
    patterns: tuple[re.Pattern[str], ...]  # searched in each line; each counts once
    commands: tuple[re.Pattern[str], ...]  # matched at the start of the typed command; the best counts once


def detect(section: Section, signatures: Sequence[Signature]) -> list[tuple[str, int]]:
    """Return (dialect, score) of every dialect with a sign in the section: best first, then by name."""
    texts = _sample(section)
    text = "\n".join(texts)
    known: dict[str, bool] = {}  # families share signs
    scores = []
    for signature in signatures:
        score = 0
        for pattern in signature.patterns:
            if (there := known.get(pattern.pattern)) is None:
                there = known[pattern.pattern] = _in_a_line(pattern, text, texts)
            score += _PATTERN * there
        if section.command and any(pattern.match(section.command) for pattern in signature.commands):
            score += _COMMAND
        if score:
            scores.append((signature.dialect, score))
    return sorted(scores, key=lambda pair: (-pair[1], pair[0]))


def _in_a_line(pattern: re.Pattern[str], text: str, texts: Sequence[str]) -> bool:
    """Tell whether a pattern is found in a line; one whose first letters are nowhere in the text is not tried."""
    return _beginning(pattern) in text and any(map(pattern.search, texts))


@cache
def _beginning(pattern: re.Pattern[str]) -> str:
    """Return letters that whatever the pattern matches must begin with, after blanks; "" where it does not say."""
    found = _LETTERS.match(pattern.pattern)
    if found is None or _several_ways(pattern.pattern):
        return ""
    return found[1][:-1] if pattern.pattern[found.end() :][:1] in ("?", "*", "{", "+") else found[1]


def _several_ways(text: str) -> bool:
    """Tell whether a `|` stands outside all parentheses, so that what comes before it need not be there."""
    depth = 0
    for one in re.sub(r"\\.|\[\^?\]?[^\]]*\]", "", text):
        depth += {"(": 1, ")": -1}.get(one, 0)
        if one == "|" and not depth:
            return True
    return False


def _sample(section: Section) -> list[str]:
    texts = list(dict.fromkeys(line.text for line in section.lines))
    if len(texts) <= _MOST:
        return texts
    head, rest = texts[: _MOST // 2], texts[_MOST // 2 :]
    step = -(-len(rest) // (_MOST // 2))
    return head + rest[::step]
