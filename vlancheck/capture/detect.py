"""A section and the signatures of the dialects come in; the dialects it may be written in go out, best first."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

from vlancheck.capture.console import Section

_PATTERN = 10  # points for a pattern that fits a line
_COMMAND = 5  # points for a command pattern that fits the command
_TOKENS = re.compile(  # a character that stands for itself, or anything else, and how often it may come
    r"(?P<one>\\[^A-Za-z0-9]|[A-Za-z0-9 _/:;,=<>@%&\"'#!~`-])?(?(one)|(?:\\.|.))(?P<times>[?*+]\??|\{[\d,]+\})?"
)
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
    """Tell whether a pattern is found in a line; one whose literal letters are nowhere in the text is not tried."""
    return _literal(pattern) in text and any(map(pattern.search, texts))


@cache
def _literal(pattern: re.Pattern[str]) -> str:
    """Return the longest text that stands in whatever the pattern matches; "" where it does not say."""
    flat = _without_groups(pattern.pattern)
    if pattern.flags & re.IGNORECASE or re.search(r"(?<!\\)\|", flat):
        return ""
    found, run = "", ""
    for token in _TOKENS.finditer(flat):
        kept = token["one"][-1] if token["one"] and not token["times"] else ""
        run = run + kept if kept else ""
        found = max(found, run, key=len)
    return found


def _without_groups(text: str) -> str:
    """Return a pattern with each group and each class of characters as a `.`: what they match is not looked into."""
    text, changed = re.sub(r"(?<!\\)\[\^?\]?(?:\\.|[^\]\\])*\]", ".", text), 1
    while changed:
        text, changed = re.subn(r"(?<!\\)\((?:\\.|[^()\\])*\)", ".", text)
    return text


def _sample(section: Section) -> list[str]:
    texts = list(dict.fromkeys(line.text for line in section.lines))
    if len(texts) <= _MOST:
        return texts
    head, rest = texts[: _MOST // 2], texts[_MOST // 2 :]
    step = -(-len(rest) // (_MOST // 2))
    return head + rest[::step]
