"""Rows of a patch sheet contradict each other: they cannot all be right.

What it finds
    A port, a panel port or a jack with two cords, a label on two cords, a cord with three ends, a port that is free
    in one row and used in another, a cord with two labels, and a label that names another port or jack than its row.

Why it matters
    Nobody can tell where the cord goes, so what passes it is unproven. Whoever works from the sheet pulls the wrong
    cord.

Example
    bridge sw1 exists=10
    port sw1:1 member=10 pvid=10 untagged=10
    contradiction sw1:1 "rows 4 and 9 both put a cord into sw1:1"
    => W101 sw1:1

Instead
    bridge sw1 exists=10
    port sw1:1 member=10 pvid=10 untagged=10
    => clean

When it is intended
    Never. Trace the cord and correct the row that is wrong.

Reference
    Common practice, no source: a port takes one cord, and a cord has two ends.
"""

from __future__ import annotations

from collections.abc import Iterator

from vlancheck.findings.case import Case
from vlancheck.findings.finding import Finding, Severity, Where, evidence
from vlancheck.site.sheet import Clash

CODE = "W101"
NAME = "Rows of the sheet contradict each other"


def find(case: Case) -> Iterator[Finding]:
    """Yield one finding for every contradiction."""
    for one in case.contradictions:
        certain = one.clash is Clash.TWO_LABELS
        label = one.clash is Clash.LABEL_ELSEWHERE
        why = "where the cord goes is not in doubt, its label is" if certain else "where the cord goes is in doubt"
        name = one.places[0] if one.places else one.name
        where: list[Where] = []
        for row in one.rows:
            where += evidence(name, row, "this row", not where)
        yield Finding(
            code=CODE,
            name=NAME,
            severity=Severity.WARNING if certain or label else Severity.ERROR,
            headline=one.message,
            why="the label or its row is wrong; the verdicts go by the row" if label else why,
            where=tuple(where),
            at=frozenset(one.places or (one.name,)),
            settled_by="" if certain else "trace the cord",
            cause=False,
        )
