"""A port on the way of something declared is shut, or a capture shows no link on it.

What it finds
    A shut port, or one whose link is down in a capture, where frames of something declared are lost; a link between
    two bridges that both would carry needed VLANs over it, with such a port at one end; and a cord to a router whose
    sub-interfaces wait for VLANs that are needed at the switch, with such a port at one end. A jack that shows no link
    is not seen, and no fault: its device may be switched off. A link of which a box itself shut one end is told as
    that.

Why it matters
    Everything on the link is gone, whatever its lists say, and with a router's port every sub-interface on it. Where
    there is a second way, nothing is lost until that one fails too.

Example
    bridge sw1 exists=10
    port sw1:1 member=10 pvid=10 untagged=10
    port sw1:2 member=10 up=no
    bridge sw2 exists=10
    port sw2:1 member=10
    port sw2:2 member=10 pvid=10 untagged=10
    link sw1:2 sw2:1
    vlan 10 -> sw1:1 untagged, sw2:2 untagged
    => P101 sw1:2

Instead
    bridge sw1 exists=10
    port sw1:1 member=10 pvid=10 untagged=10
    port sw1:2 member=10
    bridge sw2 exists=10
    port sw2:1 member=10
    port sw2:2 member=10 pvid=10 untagged=10
    link sw1:2 sw2:1
    vlan 10 -> sw1:1 untagged, sw2:2 untagged
    => clean

When it is intended
    When the link is kept shut as a spare. Take the VLANs off its list, and nothing is reported.

Reference
    IEEE Std 802.1Q-2022, 6.6.2 (a port passes frames only while its MAC is operational), from memory.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from vlancheck.dot1q.model import BridgePort, End
from vlancheck.dot1q.properties import Property
from vlancheck.dot1q.rules import Rule
from vlancheck.evidence import Origins
from vlancheck.findings.case import Case
from vlancheck.findings.finding import Finding, Severity, Where, evidence
from vlancheck.findings.routed import tagged
from vlancheck.places import split_place
from vlancheck.vids import WIRE, text

CODE = "P101"
NAME = "A port on the way is down"
_SHOWN = 4  # sub-interfaces that a headline names
_DOWN = (Rule.PORT_DOWN, Rule.PORT_DOWN_OUT)


def find(case: Case) -> Iterator[Finding]:
    """Yield one finding for every link, or port without one, that is down and needed."""
    needed: dict[tuple[str, ...], int] = {}
    for _, _, way in case.losses():
        if way.reason is not None and way.reason.rule in _DOWN:
            place = way.reason.place
            ends = tuple(sorted({place, case.network.peer.get(place, place)}))
            if case.network.ends_at(place) and not _facts(case, place, link=False):
                continue
            needed[ends] = needed.get(ends, 0) | (1 << way.reason.vid if way.reason.vid else 0)
    for link in case.links():
        if vids := case.needed_across(link) & _members(case, link.one) & _members(case, link.other) & WIRE:
            ends = tuple(sorted((link.one, link.other)))
            needed[ends] = needed.get(ends, 0) | vids
    for link in case.network.links:
        for place, far in ((link.one, link.other), (link.other, link.one)):
            vids = _waited_for(case, place) & _members(case, far) & case.needed_on.get(split_place(far)[0], 0)
            if vids:
                ends = tuple(sorted((place, far)))
                needed[ends] = needed.get(ends, 0) | vids
    for ends, vids in needed.items():
        down = [place for place in ends if _facts(case, place)]
        by_itself = any(Property.SHUT_BY in case.network.port(place).properties for place in ends)
        if down and not by_itself:
            yield _finding(case, ends, sorted(down, key=lambda place: not _facts(case, place, link=False)), vids)


def _finding(case: Case, ends: Sequence[str], down: list[str], vids: int) -> Finding:
    first = down[0]
    state = _state(case, first)
    far = next((place for place in ends if place != first), "")
    parts = [end.name for place in ends for end in _parts(case, place)]
    lost = [", ".join(parts[:_SHOWN]) + (f" and {len(parts) - _SHOWN} more" if len(parts) > _SHOWN else "")]
    lost = [*(lost if parts else []), *([f"the link to {far}"] if far else [])]
    beyond = f", and with it {' and '.join(lost)}" if lost else ""
    where: list[Where] = []
    for place in down:
        where += evidence(place, _facts(case, place), _state(case, place), not where)
    if far and far not in down:
        where += evidence(far, case.named_at(far), "the other end")
    return Finding(
        code=CODE,
        name=NAME,
        severity=Severity.WARNING,
        headline=f"{first} {state}{beyond}" + (f": VLAN {text(vids)} is needed there" if vids else ""),
        why=f"no frame passes {first}, whatever the VLAN lists say",
        where=tuple(where),
        at=frozenset(down),
    )


def _parts(case: Case, place: str) -> list[End]:
    """Return the sub-interfaces on a port that are not shut themselves."""
    device, name = split_place(place)
    ends = case.network.devices[device].ends.values()
    return [end for end in ends if end.port == name != end.name and end.select and end.up.value is not False]


def _waited_for(case: Case, place: str) -> int:
    """Return the VIDs for which sub-interfaces with an address wait at a port where no frame is bridged."""
    found = 0
    for end in _parts(case, place) if case.network.only_ends(place) else ():
        found |= tagged(end) if end.address and tagged(end).bit_count() == 1 else 0
    return found


def _state(case: Case, place: str) -> str:
    return "is shut" if _facts(case, place, link=False) else "has no link"


def _facts(case: Case, place: str, *, link: bool = True) -> Origins:
    """Return what surely puts a port down; without `link` only what shuts it."""
    port = case.network.port(place)
    facts = [port.up, *(one.up for one in _here(case, place)), *([port.link] if link else ())]
    return tuple(origin for fact in facts if fact.value is False for origin in fact.origins)


def _members(case: Case, place: str) -> int:
    found = 0
    for port in _here(case, place):
        found |= port.member.possible
    return found


def _here(case: Case, place: str) -> list[BridgePort]:
    device, name = split_place(place)
    return [port for port in case.network.devices[device].bridge_ports.values() if port.port == name]
