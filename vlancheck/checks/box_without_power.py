"""A box with two cords and no power cord stands in line: ask before anybody takes it for junk.

What it finds
    A box that the patch sheet names, that nobody captured or declared, with two cords to ports of other boxes and no
    power cord, where the sheet has the power cords of others.

Why it matters
    A bypass, a filter or a tap passes everything without power of its own: thrown out as dead, it takes along what
    runs through it.

Example
    bridge sw1 exists=10
    port sw1:1 member=10
    port sw1:2 member=10
    uncaptured RELAY-1
    row sw1:1 RELAY-1:in
    row RELAY-1:out sw1:2
    row sw1:psu PDU-1:3 kind=power
    => W109 RELAY-1

Instead
    bridge sw1 exists=10
    port sw1:1 member=10
    port sw1:2 member=10
    row sw1:1 sw1:2
    row sw1:psu PDU-1:3 kind=power
    => clean

When it is intended
    When its power cord has no row: write one. Or declare what the box is, under `devices` in site.yaml.

Reference
    Common practice, no source: what is in line and looks dead is asked about before it is unplugged.
"""

from __future__ import annotations

from collections.abc import Iterator

from vlancheck.findings.case import Case
from vlancheck.findings.finding import Finding, Severity, Where, evidence
from vlancheck.findings.uncaptured import far_end, without_power

CODE = "W109"
NAME = "A box in line without a power cord"


def find(case: Case) -> Iterator[Finding]:
    """Yield one note for every box in line that seems to have no power."""
    for name, cords in without_power(case).items():
        between = " and ".join(far_end(cord, name) for cord in cords)
        where: list[Where] = []
        for cord in cords:
            where += evidence(name, cord.origins, "this row", not where)
        yield Finding(
            code=CODE,
            name=NAME,
            severity=Severity.NOTE,
            headline=f"{name} lies between {between} and has no power cord in the sheet: ask, do not remove it",
            why="it may be a bypass, a filter or a tap that everything runs through without power of its own",
            where=tuple(where),
            at=frozenset({name}),
            settled_by=f"whoever put {name} there",
            cause=False,
        )
