"""A cord is in another port than before, and the port does not carry what it needs.

What it finds
    A jack, an endpoint or a circuit whose cord was moved to a port of another VLAN, or two whose cords were exchanged.

Why it matters
    The configuration is right and the desk is dead: nobody finds it in the text of the switch.  The repair is a cord,
    not a line.

Before
    bridge ACC-1 exists=10,20
    port ACC-1:1 pvid=10 member=10 untagged=10
    port ACC-1:2 pvid=20 member=20 untagged=20
    port ACC-1:3 pvid=10 member=10 untagged=10
    port ACC-1:4 pvid=20 member=20 untagged=20
    serves ACC-1:1 PC
    serves ACC-1:2 camera
    serves ACC-1:3 printer
    serves ACC-1:4 recorder

Example
    bridge ACC-1 exists=10,20
    port ACC-1:1 pvid=10 member=10 untagged=10
    port ACC-1:2 pvid=20 member=20 untagged=20
    port ACC-1:3 pvid=10 member=10 untagged=10
    port ACC-1:4 pvid=20 member=20 untagged=20
    serves ACC-1:2 PC
    serves ACC-1:1 camera
    serves ACC-1:3 printer
    serves ACC-1:4 recorder
    => C105 ACC-1:1 ACC-1:2

Instead
    bridge ACC-1 exists=10,20
    port ACC-1:1 pvid=10 member=10 untagged=10
    port ACC-1:2 pvid=20 member=20 untagged=20
    port ACC-1:3 pvid=10 member=10 untagged=10
    port ACC-1:4 pvid=20 member=20 untagged=20
    serves ACC-1:1 PC
    serves ACC-1:2 camera
    serves ACC-1:3 printer
    serves ACC-1:4 recorder
    => clean

When it is intended
    When the desk changes its VLAN with the move: say so under `expected:` in site.yaml.

Reference
    Common practice, no source: most faults of a re-patch are cords one port off.
"""

from __future__ import annotations

from collections.abc import Iterator

from vlancheck.findings.case import Case
from vlancheck.findings.finding import Finding, Severity, evidence

CODE = "C105"
NAME = "Cord in a port that does not carry its frames"


def find(case: Case) -> Iterator[Finding]:
    """Yield a finding for each moved cord, or pair of exchanged cords, that needed frames hang on."""
    if case.comparison is None:
        return
    for cause in case.comparison.causes:
        place = cause.place
        if not place.cord or not cause.needed or cause.expected:
            continue
        was = {move.after: f"{move.anchor.name}, was in {move.before}" for move in case.comparison.moves}
        lines = [evidence(port, case.named_at(port), was.get(port, "")) for port in place.ports]
        yield Finding(
            code=CODE,
            name=NAME,
            severity=Severity.ERROR,
            headline=place.words,
            why="move the cord; the configuration of the port is another one's",
            where=tuple(where for several in lines for where in several),
            at=frozenset(place.ports),
        )
