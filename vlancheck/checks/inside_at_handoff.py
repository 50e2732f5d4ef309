"""A VLAN of the inside, VLAN 1 or one in which a switch is managed, goes out toward the carrier.

What it finds
    A VLAN in which a switch has an interface with an address of its own, or VLAN 1 with something plugged in, whose
    frames were followed to a handoff and come out there, though nobody declared them there.

Why it matters
    The switches can be reached from the carrier's side, and what the switches say to each other is heard there. Two
    customers of one carrier may find themselves in one network.

Example
    bridge sw1 exists=1,99,310
    port sw1:1 member=99,310
    port sw1:2 member=310 pvid=310 untagged=310
    port sw1:vlan99 kind=inside member=99 pvid=99 untagged=99
    setting sw1 address:vlan99=192.0.2.7
    handoff sw1:1
    service records 310 at sw1:1 -> sw1:2 untagged
    => H102 sw1:1

Instead
    bridge sw1 exists=1,99,310
    port sw1:1 member=310
    port sw1:2 member=310 pvid=310 untagged=310
    port sw1:vlan99 kind=inside member=99 pvid=99 untagged=99
    setting sw1 address:vlan99=192.0.2.7
    handoff sw1:1
    service records 310 at sw1:1 -> sw1:2 untagged
    => clean

When it is intended
    When the carrier manages the switch, or the service ends at the switch's own interface: declare it, and nothing
    is reported.

Reference
    IEEE Std 802.1Q-2022, 8.8 (the frames of a VLAN leave at every member port), from memory. That neither VLAN 1 nor
    the management VLAN goes to a carrier is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator

from vlancheck.findings.case import Case
from vlancheck.findings.ends import plain_end
from vlancheck.findings.finding import Finding, Severity, Where, evidence
from vlancheck.findings.handoffs import Inside, from_inside
from vlancheck.vids import of, text

CODE = "H102"
NAME = "A VLAN of the inside goes out to the carrier"


def find(case: Case) -> Iterator[Finding]:
    """Yield one finding for every handoff at which management VLANs or VLAN 1 come out."""
    by_handoff: dict[str, list[Inside]] = {}
    for inside in from_inside(case):
        by_handoff.setdefault(inside.handoff, []).append(inside)
    for handoff, several in by_handoff.items():
        yield _finding(case, handoff, several)


def _finding(case: Case, handoff: str, several: list[Inside]) -> Finding:
    end = plain_end(case, handoff)
    where: list[Where] = []
    for one in several:
        origins = end.why_member(one.vid) if end is not None else ()
        label = f"VLAN {one.vid} comes out {'untagged' if one.frame == 'untagged' else f'as {one.frame}'}"
        where += evidence(handoff, origins or case.named_at(handoff), label, not where)
    for one in several:
        label = "a switch's own interface with an address" if one.own else f"a port in VLAN {one.vid}"
        where += evidence(one.sender, case.named_at(one.sender), label)
    told = " and ".join(f"VLAN {one.vid} ({'management, ' if one.own else ''}from {one.sender})" for one in several)
    vids = of(one.vid for one in several)
    return Finding(
        code=CODE,
        name=NAME,
        severity=Severity.WARNING,
        headline=f"{told} goes out to the carrier at {handoff}",
        why=f"what is sent to everyone in VLAN {text(vids)} is heard beyond the handoff",
        where=tuple(where),
        vids=vids,
        at=frozenset({handoff}),
    )
