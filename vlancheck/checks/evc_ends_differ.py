"""The ends of a carrier's connection are ordered with different CE-VLAN IDs.

What it finds
    An order whose other ends (`ends`, or other handoffs of this site with the same `evc`) have other CE-VLAN IDs, where
    an end has more than one of them, or where they are said to be preserved.

Why it matters
    Some VLANs pass between the places and others do not, and nothing on our switches shows it. It is the carrier's
    order that has to change: a translation on a switch of ours hides it until somebody takes it away.

Example
    bridge sw1 exists=1,310,311
    port sw1:1 member=310,311
    port sw1:2 member=310,311
    handoff sw1:1
    ordered sw1:1 circuit=EX-0001 carrier=metro evc=EVC-7 ce-vlans=0310-0311 ends="Mill Street":0310
    service records 310,311 at sw1:1 -> sw1:2 same
    => E106 sw1:1

Instead
    bridge sw1 exists=1,310,311
    port sw1:1 member=310,311
    port sw1:2 member=310,311
    handoff sw1:1
    ordered sw1:1 circuit=EX-0001 carrier=metro evc=EVC-7 ce-vlans=0310-0311 ends="Mill Street":0310-0311
    service records 310,311 at sw1:1 -> sw1:2 same
    => clean

When it is intended
    With one CE-VLAN ID at each end, and `preserved: no`, when the carrier translates it; nothing is reported then.

Reference
    MEF 10.3, R81 (more than one CE-VLAN ID: the same set at every UNI of the EVC). Access service order form, field
    CE-VLAN (each UNI termination must contain the same set).
"""

from __future__ import annotations

from collections.abc import Iterator

from vlancheck.findings.carrier import declared_tags, services_at
from vlancheck.findings.case import Case
from vlancheck.findings.finding import Finding, Severity, Where, evidence
from vlancheck.site.handoffs import Handoff
from vlancheck.vids import WIRE, text

CODE = "E106"
NAME = "Ends of an EVC carry different CE-VLAN IDs"


def find(case: Case) -> Iterator[Finding]:
    """Yield one finding for every connection whose ends are not ordered alike."""
    told = set()
    for place, orders in case.ordered.items():
        for order in orders:
            if not order.ce_vlans or (order.evc and order.evc in told):
                continue
            ends = list(_ends(case, place, order))
            differ = [(name, vids, where) for name, vids, where in ends if vids != order.ce_vlans]
            most = max((vids.bit_count() for _, vids, _ in ends), default=0)
            if not differ or (order.preserved is False and max(most, order.ce_vlans.bit_count()) == 1):
                continue
            told.add(order.evc)
            yield _finding(case, place, order, differ)


def _ends(case: Case, place: str, order: Handoff) -> Iterator[tuple[str, int, tuple[Where, ...]]]:
    """Yield the other ends: name, CE-VLAN IDs, evidence."""
    for end in order.ends:
        yield end.name, end.ce_vlans, evidence(place, end.where.origins, f"{end.name}: {_told(end.ce_vlans)}")
    for other, several in case.ordered.items():
        for one in several:
            if order.evc and one is not order and one.evc == order.evc and one.ce_vlans:
                words = f"{other}: {_told(one.ce_vlans)}"
                yield other, one.ce_vlans, evidence(other, one.said["ce-vlans"].origins, words)


def _finding(case: Case, place: str, order: Handoff, differ: list[tuple[str, int, tuple[Where, ...]]]) -> Finding:
    vids = 0
    for _, bits, _ in differ:
        vids |= bits ^ order.ce_vlans
    hurt = [one.name for one in services_at(case, place) if declared_tags(one) & WIRE & order.ce_vlans & vids]
    others = ", ".join(f"{name} with {_told(bits)}" for name, bits, _ in differ)
    return Finding(
        code=CODE,
        name=NAME,
        severity=Severity.ERROR if hurt else Severity.WARNING,
        headline=f"{order.evc or order.called} is ordered with {_told(order.ce_vlans)} at {place}, and {others}",
        why=f"VLAN {_told(vids)} does not get through between these ends; the carrier's order has to change",
        where=(
            *evidence(place, order.said["ce-vlans"].origins, f"{place}: {_told(order.ce_vlans)}", True),
            *(one for _, _, where in differ for one in where),
        ),
        vids=vids & WIRE,
        at=frozenset({place}),
        effects=tuple(f"{name}: not carried by the carrier to every end" for name in hurt),
        cause=False,
    )


def _told(vids: int) -> str:
    return "all" if vids == WIRE else text(vids) or "none"
