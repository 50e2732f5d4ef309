"""A switch's own address is no longer reached from where it was reached before.

What it finds
    An interface of a switch itself that has an address and is up, and that a router, or the own address of another
    switch, could exchange frames with in the earlier survey and cannot now.

Why it matters
    The switch goes on forwarding, and nobody can log in any more: whatever is wrong after that takes a console cord,
    and a way into the closet.

Before
    bridge ACC-1 exists=10,99 tree=per-vlan
    port ACC-1:1 pvid=10 member=10 untagged=10
    port ACC-1:24 member=10,99
    port ACC-1:Vlan99 kind=inside pvid=99 member=99 untagged=99
    setting ACC-1 "address:Vlan99"=192.0.2.11
    bridge CORE-1 exists=10,99 tree=per-vlan
    port CORE-1:1 member=10,99
    port CORE-1:2 pvid=10 member=10 untagged=10
    port CORE-1:Vlan99 kind=inside pvid=99 member=99 untagged=99
    setting CORE-1 "address:Vlan99"=192.0.2.10
    link ACC-1:24 CORE-1:1

Example
    bridge ACC-1 exists=10,99 tree=per-vlan
    port ACC-1:1 pvid=10 member=10 untagged=10
    port ACC-1:24 member=10,99
    port ACC-1:Vlan99 kind=inside pvid=99 member=99 untagged=99
    setting ACC-1 "address:Vlan99"=192.0.2.11
    bridge CORE-1 exists=10,99 tree=per-vlan
    port CORE-1:1 member=10
    port CORE-1:2 pvid=10 member=10 untagged=10
    port CORE-1:Vlan99 kind=inside pvid=99 member=99 untagged=99
    setting CORE-1 "address:Vlan99"=192.0.2.10
    link ACC-1:24 CORE-1:1
    => M101 ACC-1:Vlan99 CORE-1:1 CORE-1:Vlan99

Instead
    bridge ACC-1 exists=10,99 tree=per-vlan
    port ACC-1:1 pvid=10 member=10 untagged=10
    port ACC-1:24 member=10,99
    port ACC-1:Vlan99 kind=inside pvid=99 member=99 untagged=99
    setting ACC-1 "address:Vlan99"=192.0.2.11
    bridge CORE-1 exists=10,99 tree=per-vlan
    port CORE-1:1 member=10,99
    port CORE-1:2 pvid=10 member=10 untagged=10
    port CORE-1:Vlan99 kind=inside pvid=99 member=99 untagged=99
    setting CORE-1 "address:Vlan99"=192.0.2.10
    link ACC-1:24 CORE-1:1
    => clean

When it is intended
    When the switch gets another address with the rebuild, or another way in: check that one before the last cord is
    moved.

Reference
    Common practice, no source: never take the management VLAN off a link without a second way in.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from vlancheck.dot1q.model import DeviceKind
from vlancheck.dot1q.tags import C_TAG, UNTAGGED
from vlancheck.findings.case import Case
from vlancheck.findings.finding import Finding, Severity, Where, evidence
from vlancheck.places import split_place
from vlancheck.verdicts.reasons import Reason

CODE = "M101"
NAME = "A switch's own address is cut off"
GENERAL = 2
_SHOWN = 3  # partners that a headline names
_ROUTED = (DeviceKind.ROUTER, DeviceKind.FIREWALL)


def find(case: Case) -> Iterator[Finding]:
    """Yield one finding for each place at which own addresses of switches are cut off."""
    found: dict[str, dict[str, list[str]]] = {}
    reasons: dict[str, Reason] = {}
    for place, gone in _cut_off(case).items():
        reason = case.ground.reasons.lost(place, (), gone[0])
        reasons.setdefault(reason.place, reason)
        found.setdefault(reason.place, {})[place] = gone
    for spot, cut in found.items():
        yield _finding(case, reasons[spot], cut)


def _cut_off(case: Case) -> dict[str, list[str]]:
    """Return the own interfaces that lost partners, and which; not those that only lost one that lost more."""
    if case.earlier is None:
        return {}
    before = {place.casefold(): _reached(case.earlier, place) for place in _own(case.earlier)}
    there = {case.was(one).casefold(): one for one in _partners(case)}
    found: dict[str, list[str]] = {}
    alone: set[str] = set()
    for place in _own(case):
        now = _reached(case, place)
        was = {there[one.casefold()] for one in before.get(case.was(place).casefold(), ()) if one.casefold() in there}
        gone = [one for one in sorted(was - now) if not _open(case, place, one)]
        if gone:
            found[place] = gone
            if not now or any(not case.ground.inside(one) for one in gone):
                alone.add(place)
    return {place: gone for place, gone in found.items() if place in alone or not alone.issuperset(gone)}


def _own(case: Case) -> Iterator[str]:
    """Yield the switches' own interfaces that have an address and are not shut."""
    for device, box in case.network.devices.items():
        if box.kind is not DeviceKind.BRIDGE or box.owner:
            continue
        for port in box.bridge_ports.values():
            place = f"{device}:{port.port}"
            shut = port.up.value is False or box.ports[port.port].up.value is False
            if case.ground.inside(place) and case.ground.has_address(place) and not shut:
                yield place


def _partners(case: Case) -> set[str]:
    """Return the places from which somebody may log in: routers, and the other switches' own addresses."""
    routed = {
        f"{device}:{end.port}"
        for device, box in case.network.devices.items()
        if box.kind in _ROUTED
        for end in box.ends.values()
    }
    return routed | set(_own(case))


def _reached(case: Case, place: str) -> set[str]:
    """Return the partners that an untagged frame of an own interface surely reaches."""
    walked = case.ground.reasons.walk(place, ())
    return {one.port for one in walked.deliveries} & _partners(case) - {place}


def _open(case: Case, place: str, partner: str) -> bool:
    """Tell whether nobody knows if an untagged frame of a place reaches a partner."""
    return bool(case.ground.carried.open_at(place, (C_TAG,), partner) & UNTAGGED)


def _finding(case: Case, reason: Reason, cut: Mapping[str, list[str]]) -> Finding:
    told = []
    for place, gone in cut.items():
        shown = ", ".join(gone[:_SHOWN]) + (f" and {len(gone) - _SHOWN} more" if len(gone) > _SHOWN else "")
        told.append(f"{place}, the switch's own address, no longer reaches {shown}")
    where: list[Where] = list(evidence(reason.place or next(iter(cut)), reason.evidence, reason.words, True))
    vids = 0
    for place in cut:
        where += evidence(place, case.named_at(place), "its own address")
        vids |= _vid(case, place)
    return Finding(
        code=CODE,
        name=NAME,
        severity=Severity.ERROR,
        headline=f"{' and '.join(cut)} {'are' if len(cut) > 1 else 'is'} cut off: {reason.words}",
        why="whoever is logged in over the network loses the switch, and needs a console cord to come back",
        where=tuple(where),
        vids=vids,
        at=frozenset({*cut, *([reason.place] if reason.place else [])}),
        effects=tuple(told),
    )


def _vid(case: Case, place: str) -> int:
    device, name = split_place(place)
    found = 0
    for port in case.network.devices[device].bridge_ports.values():
        if port.port == name and isinstance(port.pvid.value, int):
            found |= 1 << port.pvid.value
    return found
