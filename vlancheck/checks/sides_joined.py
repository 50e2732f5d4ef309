"""The outside is in a VLAN of the inside: a router's two sides hear each other, or the carrier's cord is among desks.

What it finds
    A port toward a router, a firewall or a host where a service ends that is in a declared VLAN of the inside, and
    hears it; the port toward the inside of such a box that is in the VLAN of its own service; and a handoff whose
    untagged frames are put into a declared VLAN of the inside, while its service ends elsewhere.

Why it matters
    What the box is to keep apart is one network: the carrier, or its addresses, reach the desks, and the box is left
    out.

Example
    bridge SORT-1 exists=10,310
    port SORT-1:24 member=310
    port SORT-1:1 pvid=10 member=10 untagged=10
    port SORT-1:2 pvid=10 member=10 untagged=10
    port SORT-1:3 pvid=10 member=10 untagged=10
    device RTR-1 kind=router
    end RTR-1:wan address=yes
    end RTR-1:lan address=yes
    link SORT-1:1 RTR-1:wan
    link SORT-1:2 RTR-1:lan
    handoff SORT-1:24
    service internet 310 at SORT-1:24 -> RTR-1:wan untagged
    vlan 10 -> RTR-1:lan untagged, SORT-1:3 untagged
    => W105 RTR-1:lan RTR-1:wan SORT-1:1 SORT-1:24

Instead
    bridge SORT-1 exists=10,310
    port SORT-1:24 member=310
    port SORT-1:1 pvid=310 member=310 untagged=310
    port SORT-1:2 pvid=10 member=10 untagged=10
    port SORT-1:3 pvid=10 member=10 untagged=10
    device RTR-1 kind=router
    end RTR-1:wan address=yes
    end RTR-1:lan address=yes
    link SORT-1:1 RTR-1:wan
    link SORT-1:2 RTR-1:lan
    handoff SORT-1:24
    service internet 310 at SORT-1:24 -> RTR-1:wan untagged
    vlan 10 -> RTR-1:lan untagged, SORT-1:3 untagged
    => clean

When it is intended
    When the service is the network of the desks, without a router between: declare their ports as its endings.

Reference
    IEEE Std 802.1Q-2022, 8.6.4 (frames of a VLAN leave at every other member port), from memory. That no port is on
    both sides of a router is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from vlancheck.dot1q.model import DeviceKind
from vlancheck.findings.case import Case
from vlancheck.findings.ends import plain_end
from vlancheck.findings.finding import Finding, Severity, Where, evidence
from vlancheck.findings.zones import Side, hears, sides, ways_in
from vlancheck.verdicts.orders import Order, OrderKind
from vlancheck.verdicts.verdict import State
from vlancheck.vids import of

CODE = "W105"
NAME = "The outside is in a VLAN of the inside"
_SHOWN = 3  # inside places that are evidence
_BETWEEN = (DeviceKind.ROUTER, DeviceKind.FIREWALL, DeviceKind.HOST)


def find(case: Case) -> Iterator[Finding]:
    """Yield one finding for each switch port, or handoff, that puts one side into the VLAN of the other."""
    services = [order for order in case.orders if order.kind is OrderKind.SERVICE]
    if not services:
        return
    open_ = {
        (verdict.order.name, ending.at)
        for verdict in case.verdicts
        for ending in verdict.endings
        if ending.state not in (State.CARRIED, State.NOT_YET)
    }
    inside = {order.vid: sides(case, order) for order in case.orders if order.kind is OrderKind.VLAN}
    for service in services:
        own = set(case.relay_vids(service))
        outer = sides(case, service)
        lost = [one for one in outer if (service.name, one.place) in open_]
        for vid, inner in inside.items():
            if vid not in own:
                yield from _outside(case, service, own, lost, inner)
            if vid not in own or all(not batch.shape for batch in service.batches):
                yield from _inside(case, service, own, outer, inner)  # else it is not a cord, but a number
        for way in ways_in(case, service):
            elsewhere = {one.vid for one in lost if one.vid != way.vid}
            heard = _heard(case, way, inside.get(way.vid, ()))
            if elsewhere and heard:
                told = f"{service.name}: what comes untagged from the handoff {way.place} is in VLAN {way.vid}"
                yield _finding(case, way, heard, told, elsewhere, {one.place for one in (*heard, *lost)})


def _outside(
    case: Case, service: Order, own: set[int], lost: Sequence[Side], inner: Sequence[Side]
) -> Iterator[Finding]:
    """Yield a finding for each port of a box toward the outside that is in a VLAN of the inside."""
    enters = {case.ground.judged_at(stop.place) for stop in service.enters if stop.place}
    for wan in lost:
        if wan.vid not in own and _keeps_apart(case, wan) and (heard := _heard(case, wan, inner)):
            told = f"{service.name}: {wan.place} is at {wan.facing} in VLAN {wan.vid}"
            yield _finding(case, wan, heard, told, own, {*enters, heard[0].place})


def _inside(
    case: Case, service: Order, own: set[int], outer: Sequence[Side], inner: Sequence[Side]
) -> Iterator[Finding]:
    """Yield a finding for each port of a box toward the inside that is in the VLAN of its own service."""
    named = {one.place for one in inner}
    for lan in inner:
        beside = [one for one in outer if one.device == lan.device and one.place not in named]
        wans = [one for one in beside if _keeps_apart(case, one)]
        if lan.vid in own and _keeps_apart(case, lan) and (heard := _heard(case, lan, wans)):
            told = f"{lan.place} is at {lan.facing} in VLAN {lan.vid}, that of {service.name}"
            vids = {one.order.vid for one in inner}
            yield _finding(case, lan, heard, told, vids, {one.place for one in (*heard, *inner)})


def _heard(case: Case, side: Side, others: Sequence[Side]) -> list[Side]:
    """Return the others in the VLAN of a side that it certainly reaches; none when it is one of them."""
    if any(one.place == side.place for one in others):
        return []
    return [one for one in others if one.vid == side.vid and hears(case, side, one)]


def _keeps_apart(case: Case, side: Side) -> bool:
    """Tell whether a side is a port of a box that keeps two networks apart."""
    return case.network.only_ends(side.place) and case.network.devices[side.device].kind in _BETWEEN


def _finding(case: Case, wrong: Side, heard: Sequence[Side], told: str, vids: set[int], at: set[str]) -> Finding:
    return Finding(
        code=CODE,
        name=NAME,
        severity=Severity.ERROR,
        headline=f"{told}, and reaches {heard[0].place}",
        why="the carrier's side and the inside are one network there, past the box that keeps them apart",
        where=_where(case, wrong, heard),
        vids=of((wrong.vid, *vids)),
        at=frozenset({wrong.facing, wrong.place, *at} - {""}),
    )


def _where(case: Case, wrong: Side, heard: Sequence[Side]) -> tuple[Where, ...]:
    found: list[Where] = []
    for one in (wrong, *heard[:_SHOWN]):
        end = plain_end(case, one.facing)
        lines = end.port.pvid.origins if end is not None and not one.frame else ()
        found += evidence(one.facing, lines or case.named_at(one.facing), f"in VLAN {one.vid}", not found)
    return tuple(found)
