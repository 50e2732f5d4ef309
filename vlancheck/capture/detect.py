"""A section and the signatures of the dialects come in, the dialects it may be written in go out, best first."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from vlancheck.capture.console import Section


@dataclass(frozen=True, slots=True)
class Signature:
    """How to know a dialect by its text."""

    dialect: str  # name of the dialect
    patterns: tuple[re.Pattern[str], ...]  # searched in each line; each counts once
    commands: tuple[re.Pattern[str], ...]  # matched against the typed command


def detect(section: Section, signatures: Sequence[Signature]) -> list[tuple[str, int]]:
    """Return (dialect, score) of every dialect with a sign in the section, best first, then by name."""
    scores = []
    for signature in signatures:
        score = sum(10 for pattern in signature.patterns if any(pattern.search(line.text) for line in section.lines))
        score += sum(5 for pattern in signature.commands if section.command and pattern.match(section.command))
        if score:
            scores.append((signature.dialect, score))
    return sorted(scores, key=lambda pair: (-pair[1], pair[0]))
