"""A section and the signatures of the dialects come in; the dialects it may be written in go out, best first."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from vlancheck.capture.console import Section

_PATTERN = 10  # points for a pattern that fits a line
_COMMAND = 5  # points for a command pattern that fits the command
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
    scores = []
    for signature in signatures:
        score = _PATTERN * sum(any(map(pattern.search, texts)) for pattern in signature.patterns)
        if section.command and any(pattern.match(section.command) for pattern in signature.commands):
            score += _COMMAND
        if score:
            scores.append((signature.dialect, score))
    return sorted(scores, key=lambda pair: (-pair[1], pair[0]))


def _sample(section: Section) -> list[str]:
    texts = list(dict.fromkeys(line.text for line in section.lines))
    if len(texts) <= _MOST:
        return texts
    head, rest = texts[: _MOST // 2], texts[_MOST // 2 :]
    step = -(-len(rest) // (_MOST // 2))
    return head + rest[::step]
