"""A cord that somebody answers for is in another port than before.

What it finds
    A hold, a phone, a handoff or a port that had learned its MAC address, whose cord was moved, even to a port that is
    alike.

Why it matters
    Fire, lift, medical, door and emergency lines are nobody's to move unasked; a phone's location for emergency calls
    may hang on the port; a handoff's port may be fixed by the carrier; a learned address may shut the new port.
    Local codes and the owner decide, not this program.

Before
    bridge ACC-1 exists=10
    port ACC-1:1 pvid=10 member=10 untagged=10
    port ACC-1:2 pvid=10 member=10 untagged=10
    serves ACC-1:1 fire alarm
    empty ACC-1:2
    hold ACC-1:1 fire alarm

Example
    bridge ACC-1 exists=10
    port ACC-1:1 pvid=10 member=10 untagged=10
    port ACC-1:2 pvid=10 member=10 untagged=10
    serves ACC-1:2 fire alarm
    empty ACC-1:1
    hold ACC-1:2 fire alarm
    => C102 ACC-1:2

Instead
    bridge ACC-1 exists=10
    port ACC-1:1 pvid=10 member=10 untagged=10
    port ACC-1:2 pvid=10 member=10 untagged=10
    serves ACC-1:1 fire alarm
    empty ACC-1:2
    hold ACC-1:1 fire alarm
    => clean

When it is intended
    When the owner has agreed: the row is signed on paper, and stays in the report.

Reference
    Common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator

from vlancheck.findings.case import Case
from vlancheck.findings.finding import Finding, Severity, evidence

CODE = "C102"
NAME = "Moved, and somebody must sign"


def find(case: Case) -> Iterator[Finding]:
    """Yield a finding for each moved cord that somebody must sign for."""
    for move in case.comparison.moves if case.comparison else ():
        if move.sign:
            yield Finding(
                code=CODE,
                name=NAME,
                severity=Severity.WARNING,
                headline=f"{move.anchor.name} moved from {move.before} to {move.after} ({move.sign})",
                why="its owner signs for it before it is taken as done",
                where=evidence(move.after, move.origins, "now", True),
                at=frozenset({move.after}),
                cause=False,
            )
