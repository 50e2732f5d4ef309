"""One VID means two things on a switch: what a carrier delivers, and a VLAN of the inside.

What it finds
    A declared VLAN whose number is the one that a service has on the switch where it enters, with endings of its own
    that the service does not have: on that switch, on a switch that it reaches, or on one that is a cord away.

Why it matters
    Where both are on one switch they are one network. Where a link still keeps them apart, one line that adds the
    number to its list joins them, and whoever reads that number cannot tell which of the two is meant.

Example
    bridge SORT-1 exists=310
    port SORT-1:24 member=310
    port SORT-1:1 pvid=310 member=310 untagged=310
    port SORT-1:3 pvid=310 member=310 untagged=310
    port SORT-1:4 pvid=310 member=310 untagged=310
    handoff SORT-1:24
    service internet 310 at SORT-1:24 -> SORT-1:1 untagged
    vlan 310 -> SORT-1:3 untagged, SORT-1:4 untagged
    => R109 SORT-1:3 SORT-1:4

Instead
    bridge SORT-1 exists=30,310
    port SORT-1:24 member=310
    port SORT-1:1 pvid=310 member=310 untagged=310
    port SORT-1:3 pvid=30 member=30 untagged=30
    port SORT-1:4 pvid=30 member=30 untagged=30
    handoff SORT-1:24
    service internet 310 at SORT-1:24 -> SORT-1:1 untagged
    vlan 30 -> SORT-1:3 untagged, SORT-1:4 untagged
    => clean

When it is intended
    When the VLAN is the service, spread to several ports: declare them as its endings, or name the handoff among
    those that the VLAN reaches. Else give the VLAN of the inside another number: the carrier's is not ours to change.

Reference
    IEEE Std 802.1Q-2022, 3 and 8.6 (on one bridge a VID is one VLAN), from memory.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from vlancheck.evidence import Origins
from vlancheck.findings.case import Case
from vlancheck.findings.ends import plain_end
from vlancheck.findings.finding import Finding, Severity, Where, evidence
from vlancheck.findings.zones import Side, sides
from vlancheck.places import split_place
from vlancheck.verdicts.orders import Order, OrderKind

CODE = "R109"
NAME = "One VID means two things on a switch"
_SHOWN = 3  # endings of the VLAN that are evidence


def find(case: Case) -> Iterator[Finding]:
    """Yield one finding for each service and VLAN of the inside with one number."""
    for service in case.orders:
        if service.kind is not OrderKind.SERVICE or any(not batch.shape for batch in service.batches):
            continue  # frames without a tag get a number of ours
        numbers = set(case.relay_vids(service))
        enters = [at for stop in service.enters if stop.place and (at := case.ground.judged_at(stop.place))]
        own = {*enters, *(case.ground.judged_at(stop.place) for stop in service.stops if stop.place)}
        for vlan in case.orders:
            if vlan.kind is not OrderKind.VLAN or vlan.vid not in numbers or not enters:
                continue
            other = [side for side in sides(case, vlan) if side.place not in own and side.vid == vlan.vid]
            if not any(case.ground.judged_at(stop.place) in enters for stop in vlan.stops if stop.place):
                yield from _clash(case, service, vlan, enters, other)


def _clash(case: Case, service: Order, vlan: Order, enters: Sequence[str], other: Sequence[Side]) -> Iterator[Finding]:
    """Yield a finding where endings of the VLAN meet the service, or are a cord away from where it enters."""
    switches = {split_place(place)[0] for place in enters}
    meeting = [side for side in other if _reaches(case, side, enters)]
    ends = [(split_place(link.one)[0], split_place(link.other)[0]) for link in case.network.links]
    beside = {one for pair in ends for one in pair if not switches.isdisjoint(pair)} | switches
    near = meeting or [side for side in other if split_place(side.facing)[0] in beside]
    if not near:
        return
    where: list[Where] = list(
        evidence(enters[0], _lines(case, enters[0], vlan.vid), f"VLAN {vlan.vid}, the carrier's", True)
    )
    for side in near[:_SHOWN]:
        where += evidence(side.facing, _lines(case, side.facing, vlan.vid), f"VLAN {vlan.vid}, of the inside")
    called = vlan.name if vlan.name == f"VLAN {vlan.vid}" else f"VLAN {vlan.vid}, {vlan.name},"
    joined = f"reach {enters[0]}" if meeting else f"are a cord away from {enters[0]}"
    yield Finding(
        code=CODE,
        name=NAME,
        severity=Severity.WARNING if meeting else Severity.NOTE,
        headline=f"VLAN {vlan.vid} is {service.name} at {enters[0]}, and the endings of {called} {joined}",
        why="what the carrier sends and the inside are one network"
        if meeting
        else "a line that adds the number to a list on the way joins the carrier's network and the inside",
        where=tuple(where),
        vids=1 << vlan.vid,
        at=frozenset(place for side in near for place in (side.facing, side.place)),
        cause=bool(meeting),
    )


def _reaches(case: Case, side: Side, enters: Sequence[str]) -> bool:
    """Tell whether what an ending sends certainly comes out where the service enters."""
    return any(copy.port in enters for copy in case.ground.reasons.walk(side.place, side.frame).deliveries)


def _lines(case: Case, place: str, vid: int) -> Origins:
    end = plain_end(case, place)
    return (end.why_member(vid) if end is not None else ()) or case.named_at(place)
