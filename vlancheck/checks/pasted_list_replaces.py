"""A line to be pasted takes the place of a port's list of VLANs.

What it finds
    A planned line that names some VLANs and, with that, takes out the others that the port carried with their tag:
    a list written without the word that adds to it.

Why it matters
    Every VLAN that the line does not name stops at this port at once, often with the session in which it was typed.

Before
    bridge CORE-1 exists=10,20,30
    port CORE-1:1 member=10,20
    port CORE-1:2 member=10,20,30
    bridge ACC-1 exists=10,20,30
    port ACC-1:1 member=10,20,30
    port ACC-1:2 member=10,20,30
    link CORE-1:1 ACC-1:1

Example
    typed CORE-1:1
    bridge CORE-1 exists=10,20,30
    port CORE-1:1 member=30
    port CORE-1:2 member=10,20,30
    bridge ACC-1 exists=10,20,30
    port ACC-1:1 member=10,20,30
    port ACC-1:2 member=10,20,30
    link CORE-1:1 ACC-1:1
    => T101 CORE-1:1

Instead
    typed CORE-1:2
    bridge CORE-1 exists=10,20,30
    port CORE-1:1 member=10,20
    port CORE-1:2 member=10,20,30
    bridge ACC-1 exists=10,20,30
    port ACC-1:1 member=10,20,30
    port ACC-1:2 member=10,20,30
    link CORE-1:1 ACC-1:1
    => clean

When it is intended
    When the VLANs that go are meant to go: take them out by a line that says so, and by nothing else.

Reference
    Catalyst 3750 Metro Command Reference, p. 754, "switchport trunk": a bare list replaces, `add` adds.
"""

from __future__ import annotations

from collections.abc import Iterator

from vlancheck.findings.case import Case
from vlancheck.findings.finding import Finding, Severity, evidence
from vlancheck.findings.pasted import replaced
from vlancheck.vids import text

CODE = "T101"
NAME = "A pasted line replaces a list of VLANs"


def find(case: Case) -> Iterator[Finding]:
    """Yield a finding for each port of which a pasted line replaces the list."""
    for one in replaced(case):
        yield Finding(
            code=CODE,
            name=NAME,
            severity=Severity.WARNING,
            headline=f"`{one.line.text.strip()}` takes VLAN {text(one.lost)} out of {one.place}: it replaces the list",
            why=f"{one.place} carries {text(one.before)} now, and {text(one.after) or 'none'} after the line; "
            f"a line that adds leaves the others in",
            where=(
                *evidence(one.place, (one.line,), "replaces the list", True),
                *evidence(one.place, one.was, "before"),
            ),
            vids=one.before ^ one.after,
            at=frozenset({one.place}),
        )
