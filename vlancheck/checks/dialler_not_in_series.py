"""An alarm dialler that was in series with its line is not any more.

What it finds
    A dialler that the earlier patch sheet has in series (RJ31X or RJ38X in the row, one row for its line in and one
    for its line out), of which the later sheet lacks one of the two rows, or both.

Why it matters
    Calls go through as before, and nobody notices: in series, the dialler takes the line from every telephone when it
    has to. Beside the line, an alarm waits until somebody hangs up; without the line, it is never sent.

Before
    bridge sw1 exists=10
    port sw1:1 member=10 pvid=10 untagged=10
    row BLOCK-T:3 RJ31X-1:in serves="fire alarm dialler" kind=analog
    row RJ31X-1:out BLOCK-T:4 serves="fire alarm dialler" kind=analog

Example
    bridge sw1 exists=10
    port sw1:1 member=10 pvid=10 untagged=10
    row BLOCK-T:3 RJ31X-1:in serves="fire alarm dialler" kind=analog
    => W108

Instead
    bridge sw1 exists=10
    port sw1:1 member=10 pvid=10 untagged=10
    row BLOCK-T:3 RJ31X-1:in serves="fire alarm dialler" kind=analog
    row RJ31X-1:out BLOCK-T:4 serves="fire alarm dialler" kind=analog
    => clean

When it is intended
    When the owner has the alarm on another way of calling, and whoever watches it has received a test from there.

Reference
    Common practice, no source. Local codes, the owner and licensed people decide what a line of an alarm needs.
"""

from __future__ import annotations

from collections.abc import Iterator

from vlancheck.findings.case import Case
from vlancheck.findings.finding import Finding, Severity, Where, evidence
from vlancheck.site.series import IN, OUT, in_series

CODE = "W108"
NAME = "Alarm dialler not in series"
# Common practice, no source.
_CAUTION = (
    "leave it alone until its owner and the station that watches it agree, with the account on test; a signal that"
    " they received ends the work; local codes and licensed people decide"
)


def find(case: Case) -> Iterator[Finding]:
    """Yield one finding for every dialler that had a way in and a way out before, and has not both now."""
    if case.earlier is None or not case.pieces:
        return
    now = in_series(case.pieces)
    for name, then in in_series(case.earlier.pieces).items():
        gone = [way for way in (IN, OUT) if way in then and way not in now.get(name, {})]
        if len(then) < 2 or not gone:
            continue
        kept = [piece for way in (IN, OUT) for piece in now.get(name, {}).get(way, ())]
        lost = [piece for way in gone for piece in then[way]]
        where: list[Where] = []
        for piece in kept:
            where += evidence(piece.sockets[0], piece.origins, "its row that is left", not where)
        for piece in lost:
            where += evidence(piece.sockets[0], piece.origins, "its row of before", not where)
        boxes = [socket.rpartition(":")[0] for socket in lost[0].sockets]
        box = next((box for box in boxes if box.casefold() == name), "")
        called = lost[0].serves + f" at {box}" * bool(box) if lost[0].serves else box or name
        yield Finding(
            code=CODE,
            name=NAME,
            severity=Severity.WARNING,
            headline=f"{called} was in series with its line, and its {' and its '.join(gone)} has no row now",
            why=f"the alarm may not get the line when it calls; {_CAUTION}",
            where=tuple(where),
            settled_by="the owner, and a signal that the station received",
            cause=False,
        )
