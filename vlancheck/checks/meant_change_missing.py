"""A change that was meant did not happen.

What it finds
    A row under `expected:` in site.yaml whose frames are not gained, or not lost, at its place.

Why it matters
    Somebody ordered the change: a phone that came with the move, a desk that changes department.

Before
    bridge ACC-1 exists=10,20
    port ACC-1:1 pvid=10 member=10 untagged=10
    port ACC-1:2 pvid=10 member=10,20 untagged=10
    port ACC-1:3 member=20

Example
    bridge ACC-1 exists=10,20
    port ACC-1:1 pvid=10 member=10 untagged=10
    port ACC-1:2 pvid=10 member=10,20 untagged=10
    port ACC-1:3 member=20
    expected ACC-1:1 gains 20
    => C103 ACC-1:1

Instead
    bridge ACC-1 exists=10,20
    port ACC-1:1 pvid=10 member=10,20 untagged=10
    port ACC-1:2 pvid=10 member=10,20 untagged=10
    port ACC-1:3 member=20
    expected ACC-1:1 gains 20
    => clean

When it is intended
    When the change was called off: take the row out of `expected:`.

Reference
    Common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator

from vlancheck.findings.case import Case
from vlancheck.findings.finding import Finding, Severity, evidence

CODE = "C103"
NAME = "Meant, and did not happen"


def find(case: Case) -> Iterator[Finding]:
    """Yield a finding for each meant change that did not happen."""
    for place, what, origins in case.comparison.missing if case.comparison else ():
        yield Finding(
            code=CODE,
            name=NAME,
            severity=Severity.ERROR,
            headline=f"{place} was to change ({what}), and did not",
            why="what was ordered with the move is not there",
            where=evidence(place, origins, "declared here", True),
            at=frozenset({place}),
            cause=False,
        )
