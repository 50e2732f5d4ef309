"""What hung at two places is behind one port, or what hangs at one place is behind two.

What it finds
    Addresses of two jacks that are now learned at one port, where more than a desk's visitor is there; and addresses of
    one jack that one switch learns at several ports.

Why it matters
    Two places behind one port share its VLAN, its speed and its limit of addresses: somebody put a small switch or a
    splitter between.  One place behind two ports of a switch is two cords to it: a loop, where no spanning tree stops
    it.

Before
    bridge ACC-1 exists=10
    port ACC-1:1 pvid=10 member=10 untagged=10
    port ACC-1:2 pvid=10 member=10 untagged=10
    serves ACC-1:1 phone 201 + PC
    serves ACC-1:2 printer
    hears ACC-1:1 02:00:5e:00:00:01 02:00:5e:00:00:02
    hears ACC-1:2 02:00:5e:00:00:03

Example
    bridge ACC-1 exists=10
    port ACC-1:1 pvid=10 member=10 untagged=10
    port ACC-1:2 pvid=10 member=10 untagged=10
    serves ACC-1:1 phone 201 + PC
    serves ACC-1:2 printer
    hears ACC-1:2 02:00:5e:00:00:01 02:00:5e:00:00:02 02:00:5e:00:00:03
    => C108 ACC-1:1 ACC-1:2

Instead
    bridge ACC-1 exists=10
    port ACC-1:1 pvid=10 member=10 untagged=10
    port ACC-1:2 pvid=10 member=10 untagged=10
    serves ACC-1:1 phone 201 + PC
    serves ACC-1:2 printer
    hears ACC-1:1 02:00:5e:00:00:01 02:00:5e:00:00:02
    hears ACC-1:2 02:00:5e:00:00:03
    => clean

When it is intended
    When a small switch serves both places: a row for it in the later sheet, with its kind under `devices:`.

Reference
    IEEE Std 802.1Q-2022, 8.7 (a bridge learns an address at one port of a VLAN), from memory.
"""

from __future__ import annotations

from collections.abc import Iterator

from vlancheck.findings.case import Case
from vlancheck.findings.finding import Finding, Severity
from vlancheck.findings.seen import lines_of
from vlancheck.reconciliation.moved import MoveKind

CODE = "C108"
NAME = "Two places behind one port, or one behind two"


def find(case: Case) -> Iterator[Finding]:
    """Yield one finding for each port that two places share, and each place that has several ports."""
    for cause in case.moves.causes if case.moves else ():
        if cause.kind not in (MoveKind.SHARED, MoveKind.DOUBLE):
            continue
        shared = cause.kind is MoveKind.SHARED
        yield Finding(
            code=CODE,
            name=NAME,
            severity=Severity.ERROR if shared and cause.harmful else Severity.WARNING,
            headline=cause.words,
            why="they share one port and what it carries" if shared else "two cords between two boxes are a loop",
            where=lines_of(cause, "seen now"),
            at=frozenset({*cause.ports, *cause.planned}),
            cause=False,
            settled_by="a look at what the cord leads to",
        )
