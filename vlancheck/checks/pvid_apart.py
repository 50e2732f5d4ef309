"""A port sends frames of one VLAN untagged, and takes untagged frames for another one, or for none.

What it finds
    A port where no other switch is plugged in, and whose PVID is not the VLAN that it is an untagged member of; one
    that is an untagged member of several VLANs; and one that sends a VLAN untagged and takes tagged frames only.

Why it matters
    What is plugged in hears its VLAN, and what it sends goes into another one: it gets no answer, or an address of
    the wrong network. On switches where PVID and membership are set on two pages, one of the two is easily left.

Example
    bridge sw1 exists=1,30
    port sw1:1 pvid=1 member=30 untagged=30
    port sw1:2 pvid=30 member=30 untagged=30
    serves sw1:1 PC stores
    => P113 sw1:1

Instead
    bridge sw1 exists=1,30
    port sw1:1 pvid=30 member=30 untagged=30
    port sw1:2 pvid=30 member=30 untagged=30
    serves sw1:1 PC stores
    => clean

When it is intended
    Where ports of several VLANs share one server and no router: each of them is an untagged member of the server's
    VLAN too, and the server's port of all of theirs. Where all of that is found in the lines, nothing is reported.
    Also where another rule (the address, the protocol) puts frames into VLANs before the PVID does.

Reference
    IEEE Std 802.1Q-2022, 6.9 (an untagged frame gets the PVID) and 8.8.2 (the untagged set is set by itself), clauses
    from memory. EnGenius EGS7228FP manual, p. 78 (PVID and untagged membership are set apart).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from vlancheck.dot1q.model import BridgePort, DeviceKind
from vlancheck.evidence import UNKNOWN, Origins, join
from vlancheck.findings.case import Case
from vlancheck.findings.declared import declared_at
from vlancheck.findings.ends import plain_end
from vlancheck.findings.finding import Finding, Severity, Where, evidence
from vlancheck.places import split_place
from vlancheck.site.boxes import Occupancy
from vlancheck.vids import WIRE, members, text

CODE = "P113"
NAME = "PVID and untagged VLAN of a port differ"
_NAMED = 4  # ports that a headline names
_PASSING = frozenset(
    {DeviceKind.BRIDGE, DeviceKind.ROUTER, DeviceKind.FIREWALL, DeviceKind.THROUGH, DeviceKind.CARRIER_BOX}
)


def find(case: Case) -> Iterator[Finding]:
    """Yield a finding for each port that sends and takes of different VLANs, and for those of a box with one more."""
    for name, device in case.network.devices.items():
        if device.kind is not DeviceKind.BRIDGE or device.owner:
            continue
        found = [
            port
            for port in device.bridge_ports.values()
            if _apart(port, device.bridge_ports) and _edge(case, f"{name}:{port.port}")
        ]
        several: dict[tuple[int, object], list[BridgePort]] = {}
        for port in found:
            if plain_end(case, f"{name}:{port.port}") is None:
                continue
            if isinstance(port.pvid.value, int) and _bare(port) >> port.pvid.value & 1:
                several.setdefault((_bare(port), port.pvid.value), []).append(port)
            else:
                yield _finding(case, name, [port])
        for ports in several.values():
            yield _finding(case, name, ports, extra=True)


def _edge(case: Case, place: str) -> bool:
    """Tell whether something may be plugged in that passes no frames on, and that is no handoff's."""
    if place in case.network.handoffs or case.ground.inside(place):
        return False
    far = case.network.peer.get(place)
    if far is not None and case.network.devices[split_place(far)[0]].kind in _PASSING:
        return False
    return case.ground.occupancy(place).state is not Occupancy.EMPTY or bool(declared_at(case, place))


def _apart(port: BridgePort, others: Mapping[str, BridgePort]) -> bool:
    """Tell whether the two ways of a port surely differ."""
    sends, may_send, pvid = _bare(port), port.member.possible & port.untagged.possible & WIRE, port.pvid.value
    if not sends or pvid is UNKNOWN:
        return False
    if pvid is None or not may_send >> pvid & 1:
        return True
    extra = sends & ~(1 << pvid) if sends >> pvid & 1 else 0
    return any(not _shared(vid, pvid, others) for vid in members(extra))


def _shared(vid: int, pvid: int, others: Mapping[str, BridgePort]) -> bool:
    """Tell whether a port of that VLAN sends our frames on untagged as well, as where several VLANs share a server."""
    return any(one.pvid.value == vid and _bare(one) >> pvid & 1 for one in others.values())


def _bare(port: BridgePort) -> int:
    return port.member.sure & port.untagged.sure & WIRE


def _finding(case: Case, device: str, ports: Sequence[BridgePort], *, extra: bool = False) -> Finding:
    """Return the finding about ports that are set alike; `extra`: they send VLANs beside that of their PVID."""
    places = [f"{device}:{port.port}" for port in ports]
    sends, pvid = _bare(ports[0]), ports[0].pvid.value
    own = 1 << pvid if isinstance(pvid, int) else 0
    if extra:
        why = f"frames of VLAN {text(sends & ~own)} come out there as well, and nothing answers into it"
    elif own:
        why = "what is plugged in hears one VLAN and speaks into another"
    else:
        why = "what is plugged in hears, and is not heard"
    where: list[Where] = []
    for place, port in zip(places, ports, strict=True):
        where += evidence(place, port.pvid.origins or case.named_at(place), "untagged frames that come in", not where)
        where += evidence(place, _behind(port, sends & ~own), f"VLAN {text(sends & ~own)} untagged")
    return Finding(
        code=CODE,
        name=NAME,
        severity=_severity(case, places, sends & ~own if extra else 0),
        headline=_headline(case, places, sends, f"for VLAN {pvid}" if own else ""),
        why=why,
        where=tuple(where),
        vids=sends | own,
        at=frozenset(places),
    )


def _headline(case: Case, places: Sequence[str], sends: int, taken: str) -> str:
    one, more = len(places) == 1, len(places) - _NAMED
    named = ", ".join(places[:_NAMED]) + (f" and {more} more" if more > 0 else "")
    takes = f"take{'s' if one else ''} {f'untagged frames {taken}' if taken else 'no untagged frame'}"
    vlans = f"VLAN{'s' if sends.bit_count() > 1 else ''} {text(sends)}"
    hangs = f"; `{case.endpoints[places[0]].text}` hangs there" if one and places[0] in case.endpoints else ""
    return f"{named} send{'s' if one else ''} {vlans} untagged and {takes}{hangs}"


def _severity(case: Case, places: Sequence[str], extra: int) -> Severity:
    if extra and not extra & case.needed_on.get(split_place(places[0])[0], 0):
        return Severity.NOTE
    used = any(case.ground.occupancy(one).state is Occupancy.OCCUPIED or declared_at(case, one) for one in places)
    return Severity.WARNING if used else Severity.NOTE


def _behind(port: BridgePort, vids: int) -> Origins:
    covers = (port.untagged, port.member)
    return join(*(origins for cover in covers for bits, _, origins in cover.parts if bits & vids))
