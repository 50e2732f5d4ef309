"""The patch sheet has boxes that nobody captured or declared.

What it finds
    Boxes with two cords for frames or more, or with the name of a switch, a router or the like, that the patch sheet
    names, and of which there is neither a capture nor a kind in site.yaml; those with the most cords first.

Why it matters
    What runs through them is not judged, and what a crew does to them shows nowhere: a chassis that slides out pulls
    cords of its neighbours, also of those that nobody meant to touch.

Example
    bridge sw1 exists=10
    port sw1:1 member=10
    uncaptured sw2
    row sw1:1 sw2:24
    row PANEL-B:1 sw2:1
    => W111 sw2

Instead
    bridge sw1 exists=10
    port sw1:1 member=10
    bridge sw2 exists=10
    port sw2:24 member=10
    port sw2:1 pvid=10 member=10 untagged=10
    link sw1:1 sw2:24
    row sw1:1 sw2:24
    row PANEL-B:1 sw2:1
    => clean

When it is intended
    When a box cannot be captured: say what it is, `kind` under `devices` in site.yaml. Capture every switch of a
    cabinet, before and after, not only the one that moves.

Reference
    Common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator

from vlancheck.findings.case import Case
from vlancheck.findings.finding import Finding, Severity, Where, evidence
from vlancheck.findings.uncaptured import uncaptured, without_power
from vlancheck.site.endpoints import names_network

CODE = "W111"
NAME = "Boxes that nobody captured"
_SHOWN = 4  # boxes that a headline names


def find(case: Case) -> Iterator[Finding]:
    """Yield one note for all boxes of the sheet that nobody captured or declared."""
    told = without_power(case)
    boxes = {
        name: cords
        for name, cords in uncaptured(case).items()
        if name not in told and (len(cords) > 1 or (cords and names_network(name)))
    }
    if not boxes:
        return
    named = [f"{name} ({len(cords)} cord{'s' * (len(cords) > 1)})" for name, cords in boxes.items()]
    more = f" and {len(named) - _SHOWN} more" if len(named) > _SHOWN else ""
    where: list[Where] = []
    for name, cords in boxes.items():
        where += evidence(name, cords[0].origins, "the first of its cords", not where)
    yield Finding(
        code=CODE,
        name=NAME,
        severity=Severity.NOTE,
        headline=f"the sheet has boxes that nobody captured or declared: {', '.join(named[:_SHOWN])}{more}",
        why="what runs through them is not judged, and a cord pulled there by accident shows nowhere",
        where=tuple(where),
        at=frozenset(boxes),
        settled_by=f"a capture of {', '.join(boxes)}",
        cause=False,
    )
