"""A phone is at a port that gives it no voice VLAN, or one that is not there, or tells it of none.

What it finds
    A port with a phone that tags no VLAN, where the same phone had one before, or where most phones of the box have
    one; a voice VLAN that the box of the phone does not have; and a box with phones whose lines turn off every
    protocol by which a phone is told its voice VLAN.

Why it matters
    The phone starts, asks for an address in the VLAN of the PCs, and finds no phone system there, or gets no address
    at all. The PC behind it works, so the port looks right.

Example
    bridge sw1 exists=10,20
    port sw1:1 pvid=10 member=10,20 untagged=10
    port sw1:2 pvid=10 member=10,20 untagged=10
    port sw1:3 pvid=10 member=10 untagged=10
    serves sw1:1 phone 211
    serves sw1:2 phone 212
    serves sw1:3 phone 213
    => P109 sw1:3

Instead
    bridge sw1 exists=10,20
    port sw1:1 pvid=10 member=10,20 untagged=10
    port sw1:2 pvid=10 member=10,20 untagged=10
    port sw1:3 pvid=10 member=10,20 untagged=10
    serves sw1:1 phone 211
    serves sw1:2 phone 212
    serves sw1:3 phone 213
    => clean

When it is intended
    Where phones are in the untagged VLAN, before and after, nothing is reported. A phone whose voice VLAN is typed
    into it, or comes by DHCP, needs to be told by no protocol.

Reference
    ANSI/TIA-1057, 10.2.3 (a phone is told its VLAN by LLDP-MED), from memory. Catalyst 3560 software configuration
    guide OL-8553-06, "Configuring Voice VLAN" (a phone is told by CDP).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from vlancheck.dot1q.model import Device
from vlancheck.dot1q.properties import Property
from vlancheck.evidence import Fact, Origins, join
from vlancheck.findings.case import Case
from vlancheck.findings.ends import PlainEnd, plain_end
from vlancheck.findings.finding import Finding, Severity, Where, evidence
from vlancheck.findings.moved import MovedCord, kinds_at, moved_cords
from vlancheck.findings.settings import word
from vlancheck.places import split_place
from vlancheck.site.cordkinds import says_analog
from vlancheck.site.endpoints import EndpointKind
from vlancheck.vids import members, text

CODE = "P109"
NAME = "A phone without its voice VLAN"
_VOICE = 4  # tagged VLANs at a port with a phone that are taken for voice, at most
_OF_HOSTS = "lldp"  # setting: whether the box speaks the protocol that every make of phone hears
_OF_MAKERS = "cdp"  # setting: the same of the maker's own, where the family has one
_NAMED = 4  # ports that a headline names


def find(case: Case) -> Iterator[Finding]:
    """Yield a finding for each phone that lost its voice VLAN, each box without it, and each that tells of none."""
    phones = _phones(case)
    moved = {one.after: one for one in moved_cords(case)}
    for place, end in phones.items():
        if not end.may_tag and (lost := _lost(case, place, phones, moved.get(place))):
            yield lost
    for device in {split_place(place)[0]: None for place in phones}:
        tagging = [place for place, end in phones.items() if split_place(place)[0] == device and _voice(end)]
        yield from _absent(case, device, {place: phones[place] for place in tagging})
        yield from _untold(case, device, tagging)


def _phones(case: Case) -> dict[str, PlainEnd]:
    """Return the ports with phones that speak Ethernet, as far as all is known of them."""
    found = {}
    for place, endpoint in case.endpoints.items():
        if EndpointKind.PHONE not in endpoint.kinds or place in case.analog or says_analog(endpoint.text):
            continue
        if case.ground.judged_at(place) == place and (end := plain_end(case, place)) is not None:
            found[place] = end
    return found


def _voice(end: PlainEnd) -> int:
    """Return the VLANs (a bitset) that a port surely tags for a phone; none where it tags as many as an uplink."""
    return end.tags if end.tags.bit_count() <= _VOICE else 0


def _lost(case: Case, place: str, phones: Mapping[str, PlainEnd], move: MovedCord | None) -> Finding | None:
    """Return that the phone at a port had a voice VLAN before, or that most others of its box have one."""
    was = move.before if move else case.was(place)
    if case.earlier is not None and was in case.earlier.endpoints:
        if EndpointKind.PHONE not in kinds_at(case.earlier, was) or case.earlier.ground.judged_at(was) != was:
            return None
        before = plain_end(case.earlier, was)
        told_of_the_move = move is not None and word(move.was, Property.VOICE) != word(move.now, Property.VOICE)
        if before is None or not _voice(before) or told_of_the_move:
            return None
        vids, then = _voice(before), f"; {was} tagged {text(_voice(before))} for it before"
        shown = evidence(was, join(*(before.why_member(vid) for vid in members(vids))), "before")
    else:
        here = [one for one in phones if split_place(one)[0] == split_place(place)[0]]
        others = [one for one in here if _voice(phones[one])]
        if len(others) < 2 or len(others) * 2 <= len(here):
            return None
        vids = _voice(phones[others[0]])
        then = f", as {len(others)} other ports of the box with phones do ({text(vids)} at {others[0]})"
        shown = evidence(others[0], join(*(phones[others[0]].why_member(vid) for vid in members(vids))), "another")
    port = phones[place].port
    return Finding(
        code=CODE,
        name=NAME,
        severity=Severity.WARNING,
        headline=f"{place} (`{case.endpoints[place].text}`) tags no VLAN{then}",
        why=f"the phone is in VLAN {port.pvid.value}, where the PCs are, and finds no phone system there",
        where=(
            *evidence(place, port.pvid.origins or case.named_at(place), "no voice VLAN", True),
            *shown,
            *evidence(place, case.endpoints[place].origins, "the phone"),
        ),
        vids=vids,
        at=frozenset({place}),
    )


def _absent(case: Case, device: str, tagging: Mapping[str, PlainEnd]) -> Iterator[Finding]:
    """Yield that a box lacks the voice VLAN of its one phone in it; of one that must cross it another check tells."""
    for place, end in tagging.items():
        for vid in members(_voice(end) & ~end.bridge.exists.possible):
            if any(_voice(other) >> vid & 1 for at, other in tagging.items() if at != place) or _beyond(
                case, device, vid
            ):
                continue
            yield Finding(
                code=CODE,
                name=NAME,
                severity=Severity.WARNING,
                headline=f"{device} does not have VLAN {vid}, the voice VLAN of {place} "
                f"(`{case.endpoints[place].text}`)",
                why="what the phone tags is lost where it comes in",
                where=(
                    *evidence(place, end.why_member(vid), f"tags VLAN {vid}", True),
                    *evidence(device, end.bridge.exists.why(vid)[1], f"does not have VLAN {vid}"),
                ),
                vids=1 << vid,
                at=frozenset({place}),
            )


def _beyond(case: Case, device: str, vid: int) -> bool:
    """Tell whether a VLAN is needed over a link of the box."""
    links = (link for link in case.network.links if device in (split_place(link.one)[0], split_place(link.other)[0]))
    return any(case.needed_across(link) >> vid & 1 for link in links)


def _untold(case: Case, device: str, tagging: list[str]) -> Iterator[Finding]:
    """Yield that a box tells the phones at its ports of no voice VLAN, since it speaks no protocol that does."""
    silent = _silent(case.devices[device])
    if not tagging or not silent:
        return
    then = case.earlier.devices.get(split_place(case.was(tagging[0]))[0]) if case.earlier else None
    if then is not None and _silent(then):
        return  # as before: the phones know their VLAN in another way
    told = ", ".join(tagging[:_NAMED]) + (f" and {len(tagging) - _NAMED} more" if len(tagging) > _NAMED else "")
    where: list[Where] = [*evidence(device, silent, "turned off", True)]
    for place in tagging[:_NAMED]:
        where += evidence(place, case.named_at(place), "a voice VLAN")
    yield Finding(
        code=CODE,
        name=NAME,
        severity=Severity.WARNING if then is not None else Severity.NOTE,
        headline=f"{device} tells no phone which VLAN is for voice: {told}",
        why="a phone that is not told stays in the untagged VLAN, unless its VLAN is typed into it or comes by DHCP",
        where=tuple(where),
        at=frozenset(tagging),
        settled_by="how the phones know their VLAN: the settings of one of them, as it shows them",
        cause=False,
    )


def _silent(device: Device) -> Origins:
    """Return the lines by which a box speaks no protocol that tells phones; () where it does, or nobody knows."""
    none = Fact("")
    hosts, makers = device.settings.get(_OF_HOSTS, none), device.settings.get(_OF_MAKERS, none)
    if makers.value == "no" and hosts.value in ("", "no"):  # such families speak the other one only if a line says so
        return join(makers.origins, hosts.origins)
    return hosts.origins if hosts.value == "no" and not makers.value else ()
