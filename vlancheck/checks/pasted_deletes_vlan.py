"""A line to be pasted deletes a VLAN that ports of the same box use.

What it finds
    A planned line that takes a VLAN out of the table of a box, while ports of that box are in it, tag it, or are the
    box's own interface in it, and no planned line moves them elsewhere. Trunks that carry all VLANs use none of them,
    unless something beyond needs it.

Why it matters
    The ports stay up, keep their lines and lose every frame of the VLAN; nothing warns who types it. The line was
    meant for another number, or was half typed when it was sent off.

Example
    deleted ACC-1 30
    bridge ACC-1 exists=1,10
    port ACC-1:1 member=30 pvid=30 untagged=30
    port ACC-1:2 member=10 pvid=10 untagged=10
    => T103 ACC-1

Instead
    deleted ACC-1 30
    bridge ACC-1 exists=1,10
    port ACC-1:1 member=10 pvid=10 untagged=10
    port ACC-1:2 member=10 pvid=10 untagged=10
    => clean

When it is intended
    When the VLAN is to go: move its ports first, or shut them, in the same lines.

Reference
    "127 With One Blow!", mostlynetworks.com, 2011 (a line that is half typed is carried out when the session leaves
    configuration mode). That ports of a deleted VLAN stay in it, and carry nothing, is common practice.
"""

from __future__ import annotations

from collections.abc import Iterator

from vlancheck.findings.case import Case
from vlancheck.findings.deleted import Deleted, Use, deleted
from vlancheck.findings.finding import Finding, Severity, Where, evidence
from vlancheck.places import split_place
from vlancheck.vids import text

CODE = "T103"
NAME = "A pasted line deletes a VLAN in use"
_NAMED = 4  # ports named in the headline


def find(case: Case) -> Iterator[Finding]:
    """Yield a finding for each box at which planned lines delete VLANs under its ports."""
    for one in deleted(case):
        yield _finding(one)


def _finding(one: Deleted) -> Finding:
    typed = list(dict.fromkeys(f"`{line.text.strip()}`" for line in one.lines))
    deletes = f"{typed[0]} deletes" if len(typed) == 1 else f"{' and '.join(typed[:2]) or 'lines to be pasted'} delete"
    vlans = f"VLAN {text(one.vids)}"
    where: list[Where] = list(evidence(one.device, one.lines, f"{vlans} is gone", True))
    for user in one.users[:_NAMED]:
        where += evidence(user.place, user.origins, f"uses {vlans}", not where)
    return Finding(
        code=CODE,
        name=NAME,
        severity=Severity.WARNING if any(user.matters for user in one.users) else Severity.NOTE,
        headline=f"{deletes} {vlans} at {one.device}, which is {_told(one)}",
        why=f"from then on {one.device} loses every frame of {vlans}, and its ports stay up",
        where=tuple(where),
        vids=one.vids,
        at=frozenset({one.device}),
    )


def _told(one: Deleted) -> str:
    """Return where the VLAN is used, by how."""
    parts = []
    left = _NAMED
    for use in Use:
        ports = [split_place(user.place)[1] for user in one.users if user.use is use]
        if shown := ports[:left]:
            left -= len(shown)
            more = f" and {len(ports) - len(shown)} more" if len(ports) > len(shown) else ""
            parts.append(f"{use} {', '.join(shown)}{more}")
    return ", ".join(parts)
