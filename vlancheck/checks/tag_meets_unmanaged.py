"""A tag that something declared needs meets a box that is not managed.

What it finds
    A cord from a switch port to an unmanaged switch over which the port sends a VLAN with its tag that is needed
    there: declared at the port or at a port of that box, served by a phone behind it, or needed at both of two
    switches that it lies between.

Why it matters
    What such a box does with a tag is nowhere said: it may pass it, pass it to every port, cut frames that are
    longer by the tag, or drop them. The phone at one desk works and at the next does not.

Example
    bridge sw1 exists=10,20
    port sw1:1 pvid=10 member=10,20 untagged=10
    port sw1:2 member=10,20
    device DESK kind=unmanaged
    port DESK:1
    link sw1:1 DESK:1
    vlan 20 -> sw1:1 20, sw1:2 20
    => W110 DESK:1 sw1:1

Instead
    bridge sw1 exists=10,20
    port sw1:1 pvid=10 member=10 untagged=10
    port sw1:2 member=10,20
    device DESK kind=unmanaged
    port DESK:1
    link sw1:1 DESK:1
    vlan 10 -> sw1:1 untagged, sw1:2 10
    => clean

When it is intended
    When it was tried with the very box, and full-size frames: a test by hand that passed says so. Else a managed
    switch there, or a cord of its own for what needs the tag.

Reference
    IEEE Std 802.1Q-2022, 5.4 and 8.6 (what a bridge does with tags binds bridges that know VLANs), from memory.
"""

from __future__ import annotations

from collections.abc import Iterator

from vlancheck.dot1q.model import DeviceKind
from vlancheck.findings.case import Case
from vlancheck.findings.ends import PlainEnd, plain_end
from vlancheck.findings.finding import Finding, Severity, evidence
from vlancheck.places import split_place
from vlancheck.verdicts.verdict import State
from vlancheck.vids import WIRE, first, text

CODE = "W110"
NAME = "A needed tag meets an unmanaged box"


def find(case: Case) -> Iterator[Finding]:
    """Yield one finding for each cord over which a needed tag is sent to an unmanaged box."""
    cords: dict[str, list[tuple[str, PlainEnd]]] = {}
    for link in case.network.links:
        for mine, far in ((link.one, link.other), (link.other, link.one)):
            device = split_place(far)[0]
            if case.network.devices[device].kind is DeviceKind.UNMANAGED and (end := plain_end(case, mine)) is not None:
                cords.setdefault(device, []).append((far, end))
    for device, several in cords.items():
        asked = _asked(case, device)
        for far, end in several:
            others = [other for _, other in several if other is not end]
            if vids := end.tags & (asked | case.needed_frames.get(end.place, 0) | _across(case, end, others)) & WIRE:
                yield _finding(end, far, vids, case)


def _asked(case: Case, device: str) -> int:
    """Return the VIDs that are declared with their tag at ports of a box, and not tried there with success."""
    found = 0
    for verdict in case.verdicts:
        for ending in verdict.endings:
            stop = ending.stop
            if split_place(stop.place)[0] == device and not isinstance(stop.frame, str) and len(stop.frame) == 1:
                found |= 1 << stop.frame[0].vid if ending.state is not State.CARRIED else 0
    return found


def _across(case: Case, end: PlainEnd, others: list[PlainEnd]) -> int:
    """Return the VIDs that switches on both sides of the box tag and need."""
    found = 0
    for other in others:
        pair = (split_place(end.place)[0], split_place(other.place)[0])
        found |= other.tags & case.needed_on.get(pair[0], 0) & case.needed_on.get(pair[1], 0)
    return found


def _finding(end: PlainEnd, far: str, vids: int, case: Case) -> Finding:
    box = split_place(far)[0]
    return Finding(
        code=CODE,
        name=NAME,
        severity=Severity.WARNING,
        headline=f"{end.place} sends VLAN {text(vids)} with its tag to {far}, and {box} is not managed",
        why="what it does with a tag is not defined: it may pass it, spread it to every port, or drop it",
        where=(
            *evidence(end.place, end.why_member(first(vids)), "tagged here", True),
            *evidence(far, case.named_at(far), "the unmanaged box"),
        ),
        vids=vids,
        at=frozenset({end.place, far}),
        settled_by=f"a test of each port of {box} with the tag, and with full-size frames",
        cause=False,
    )
