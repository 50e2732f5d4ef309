"""A line to be pasted makes a port carry all VLANs.

What it finds
    A port that carried a list of VLANs with their tag, and all of them, or perhaps all, once planned lines are pasted:
    because a line says so, or because it takes the last VLAN out of the list. Releases differ in what a list is then:
    some write `none`, others forget the list, and a port without a list carries all.

Why it matters
    VLANs meet that were apart, and a ring that a list kept open closes.

Before
    bridge CORE-1 exists=10,20
    port CORE-1:1 member=20
    port CORE-1:2 member=10 pvid=10 untagged=10
    port CORE-1:3 member=20 pvid=20 untagged=20

Example
    typed CORE-1:1
    bridge CORE-1 exists=10,20
    port CORE-1:1 member=all
    port CORE-1:2 member=10 pvid=10 untagged=10
    port CORE-1:3 member=20 pvid=20 untagged=20
    => T102 CORE-1:1

Instead
    typed CORE-1:1
    bridge CORE-1 exists=10,20
    port CORE-1:1 member=20
    port CORE-1:2 member=10 pvid=10 untagged=10
    port CORE-1:3 member=20 pvid=20 untagged=20
    => clean

When it is intended
    When the port is to carry whatever VLAN there is. When it is to carry none, type `none` in place of taking the last
    VLAN out, or give the full list that it is to have.

Reference
    "No More VLANs Jumping on the Trunk", mostlynetworks.com, 2014. Other releases write an empty list instead, from
    memory; a line that says `none` means the same on all.
"""

from __future__ import annotations

from collections.abc import Iterator

from vlancheck.findings.case import Case
from vlancheck.findings.finding import Finding, Severity, evidence
from vlancheck.findings.pasted import opened
from vlancheck.vids import text

CODE = "T102"
NAME = "A pasted line opens a port to all VLANs"


def find(case: Case) -> Iterator[Finding]:
    """Yield a finding for each port that carries all VLANs by a pasted line."""
    for one in opened(case):
        yield Finding(
            code=CODE,
            name=NAME,
            severity=Severity.WARNING,
            headline=f"`{one.line.text.strip()}` {'may make' if one.perhaps else 'makes'} {one.place} carry all VLANs; "
            f"it carries {text(one.before) or 'none'} now",
            why=f"{f'{one.perhaps}; then ' if one.perhaps else ''}VLANs come in from the far end and go out there that "
            "were kept apart; type `none` for an empty list, or the full list that it is to have",
            where=(*evidence(one.place, (one.line,), "opens it", True), *evidence(one.place, one.was, "before")),
            at=frozenset({one.place}),
        )
