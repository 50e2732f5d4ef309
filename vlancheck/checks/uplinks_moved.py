"""Switches hear each other at other ports than the later sheet has cords between.

What it finds
    Uplinks that were exchanged, or moved to another port: the neighbour and its port that a switch hears (LLDP, or a
    protocol like it) against the cords of the later sheet; where no row names the ports, against the earlier survey.

Why it matters
    It often works, and the way is another one: other lists of VLANs, less bandwidth, another spanning tree, and one
    cord pulled takes two switches down.  Everything said of carriage over these cords rests on a sheet that is wrong.

Before
    bridge CORE-1 exists=10
    port CORE-1:1 member=10
    port CORE-1:2 member=10
    bridge ACC-1 exists=10
    port ACC-1:1 member=10
    bridge ACC-2 exists=10
    port ACC-2:1 member=10
    link CORE-1:1 ACC-1:1
    link CORE-1:2 ACC-2:1

Example
    bridge CORE-1 exists=10
    port CORE-1:1 member=10
    port CORE-1:2 member=10
    bridge ACC-1 exists=10
    port ACC-1:1 member=10
    bridge ACC-2 exists=10
    port ACC-2:1 member=10
    link CORE-1:1 ACC-1:1
    link CORE-1:2 ACC-2:1
    hears CORE-1:1 neighbour=ACC-2 port=1
    hears CORE-1:2 neighbour=ACC-1 port=1
    => C107 ACC-1:1 ACC-2:1 CORE-1:1 CORE-1:2

Instead
    bridge CORE-1 exists=10
    port CORE-1:1 member=10
    port CORE-1:2 member=10
    bridge ACC-1 exists=10
    port ACC-1:1 member=10
    bridge ACC-2 exists=10
    port ACC-2:1 member=10
    link CORE-1:1 ACC-1:1
    link CORE-1:2 ACC-2:1
    hears CORE-1:1 neighbour=ACC-1 port=1
    hears CORE-1:2 neighbour=ACC-2 port=1
    => clean

When it is intended
    When the cords shall stay as they are: correct their rows in the later sheet.

Reference
    IEEE Std 802.1AB-2016, 8.5.2 and 8.5.3 (a system names itself and its port), from memory.
"""

from __future__ import annotations

from collections.abc import Iterator

from vlancheck.findings.case import Case
from vlancheck.findings.finding import Finding, Severity
from vlancheck.findings.seen import lines_of
from vlancheck.reconciliation.moved import MoveKind

CODE = "C107"
NAME = "Uplinks are not where the sheet has them"


def find(case: Case) -> Iterator[Finding]:
    """Yield one finding for each group of cords between switches that are not as the sheet says."""
    for cause in case.moves.causes if case.moves else ():
        if cause.kind not in (MoveKind.UPLINKS, MoveKind.UPLINK):
            continue
        alike = "the ports carry the same" if cause.harmful is False else "the ports may not carry the same"
        yield Finding(
            code=CODE,
            name=NAME,
            severity=Severity.WARNING if cause.harmful is False else Severity.ERROR,
            headline=cause.words,
            why=f"{alike}; what is said of carriage over these cords rests on the sheet: move the cords, or correct it",
            where=lines_of(cause, "heard now"),
            at=frozenset({*cause.ports, *cause.planned}),
            cause=False,
        )
