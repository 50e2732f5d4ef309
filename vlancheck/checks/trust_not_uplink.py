"""A box watches DHCP or ARP, and does not trust the port by which the gateway is reached.

What it finds
    A box whose lines turn on the watching of DHCP in VLANs that are needed on it, while no port by which a server
    could answer is trusted, or one of two ways to the gateway is not; and the same of ARP. Where a moved cord lost
    the trust, that is told of the move.

Why it matters
    Answers of a DHCP server that come in at a port without trust are dropped, and ARP of a gateway whose address no
    binding backs: the desks of this box get no address, or lose the gateway, one by one as their leases end.

Example
    bridge ACC-1 exists=10 tree=per-vlan
    setting ACC-1 dhcp-watched=yes dhcp-watched-vlans=10
    port ACC-1:1 pvid=10 member=10 untagged=10
    port ACC-1:24 member=10
    bridge CORE-1 exists=10 tree=per-vlan
    port CORE-1:1 member=10
    port CORE-1:Vlan10 kind=inside pvid=10 member=10 untagged=10
    setting CORE-1 "address:Vlan10"=192.0.2.1
    link ACC-1:24 CORE-1:1
    serves ACC-1:1 PC stores
    => P111 ACC-1:24

Instead
    bridge ACC-1 exists=10 tree=per-vlan
    setting ACC-1 dhcp-watched=yes dhcp-watched-vlans=10
    port ACC-1:1 pvid=10 member=10 untagged=10
    port ACC-1:24 member=10
    set ACC-1:24 dhcp-trust=yes
    bridge CORE-1 exists=10 tree=per-vlan
    port CORE-1:1 member=10
    port CORE-1:Vlan10 kind=inside pvid=10 member=10 untagged=10
    setting CORE-1 "address:Vlan10"=192.0.2.1
    link ACC-1:24 CORE-1:1
    serves ACC-1:1 PC stores
    => clean

When it is intended
    Where every address is typed in by hand. Where the server hangs on another trusted port of the box, nothing is
    reported.

Reference
    Catalyst 3560 software configuration guide OL-8553-06, "DHCP Snooping Configuration Guidelines" (a port toward a
    server is trusted) and "Dynamic ARP Inspection" (so are ports between switches), from memory. ComNet CWGE24MS2
    manual, p. 201.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from vlancheck.dot1q.model import Device, DeviceKind
from vlancheck.dot1q.properties import Property
from vlancheck.evidence import Origins
from vlancheck.findings.case import Case
from vlancheck.findings.finding import Finding, Severity, Where, evidence
from vlancheck.findings.moved import moved_cords
from vlancheck.findings.settings import is_on, with_bundle
from vlancheck.findings.toward import carries, gateway_ports
from vlancheck.places import split_place
from vlancheck.site.boxes import Occupancy
from vlancheck.vids import members, of, parse, text

CODE = "P111"
NAME = "The way to the gateway is not trusted"
_DHCP, _DHCP_VLANS, _ARP_VLANS = "dhcp-watched", "dhcp-watched-vlans", "arp-watched-vlans"


def find(case: Case) -> Iterator[Finding]:
    """Yield one finding for each set of ports of a watching box whose trust is missing."""
    for name, device in case.network.devices.items():
        if device.kind is not DeviceKind.BRIDGE or device.owner:
            continue
        for which, vids, lines in _watched(device):
            found: dict[tuple[str, ...], list[int]] = {}
            for vid in members(vids & case.needed_on.get(name, 0)):
                if (blind := _blind(case, name, vid, which)) is not None:
                    found.setdefault(blind, []).append(vid)
            for places, several in found.items():
                yield _finding(case, name, which, places, several, lines)


def _watched(device: Device) -> Iterator[tuple[Property, int, Origins]]:
    """Yield which trust is asked for in which VLANs, with the lines."""
    on, dhcp, arp = (device.settings.get(key) for key in (_DHCP, _DHCP_VLANS, _ARP_VLANS))
    if on is not None and on.value == "yes" and dhcp is not None and isinstance(dhcp.value, str):
        yield Property.DHCP_TRUST, parse(dhcp.value), (*on.origins, *dhcp.origins)
    if arp is not None and isinstance(arp.value, str):
        yield Property.ARP_TRUST, parse(arp.value), arp.origins


def _blind(case: Case, name: str, vid: int, which: Property) -> tuple[str, ...] | None:
    """Return the ports whose trust is missing, () where no port at all has it; None where nothing is missing."""
    ways = gateway_ports(case, name, vid)
    if ways is None:
        return None
    missing = tuple(place for place in ways if not _trusted(case, place, which))
    trusted = [place for place in _places(case, name) if _trusted(case, place, which)]
    if not ways:
        return () if which is Property.DHCP_TRUST and not trusted else None
    if not missing or any(_told_of_a_move(case, place, which) for place in missing):
        return None
    elsewhere = [place for place in trusted if place not in ways and carries(case, place, vid) and _used(case, place)]
    if which is Property.DHCP_TRUST and elsewhere:
        return None  # the server may be there
    return missing


def _places(case: Case, name: str) -> list[str]:
    return list(dict.fromkeys(f"{name}:{one.port}" for one in case.network.devices[name].bridge_ports.values()))


def _trusted(case: Case, place: str, which: Property) -> bool:
    device, port = split_place(place)
    box = case.devices[device]
    names = (port, *box.members(port))
    return any(is_on(with_bundle(case, f"{device}:{one}", which), which) for one in names)


def _used(case: Case, place: str) -> bool:
    """Tell whether something may be plugged into a port."""
    if case.network.port(place).up.value is False:
        return False
    return place in case.network.peer or case.ground.occupancy(place).state is not Occupancy.EMPTY


def _told_of_a_move(case: Case, place: str, which: Property) -> bool:
    for one in moved_cords(case):
        at = case.network.stands_for.get(one.after, one.after)
        if at == place and case.earlier is not None and is_on(with_bundle(case.earlier, one.before, which), which):
            return True
    return False


def _finding(
    case: Case, name: str, which: Property, places: Sequence[str], several: Sequence[int], lines: Origins
) -> Finding:
    vids = of(several)
    where: list[Where] = []
    for place in places:
        where += evidence(place, case.named_at(place), "toward the gateway, not trusted", not where)
    where += evidence(name, lines, "watched", not where)
    what = "DHCP" if which is Property.DHCP_TRUST else "ARP"
    if places:
        ways = gateway_ports(case, name, several[0]) or ()
        rest = [place for place in ways if place not in places]
        told = f"and does not trust {' and '.join(places)}, toward the gateway"
        told += f", as it does {' and '.join(rest)}" if rest else ""
    else:
        rest, told = [], "and trusts no port at all"
    dropped = "answers of a DHCP server" if which is Property.DHCP_TRUST else "ARP frames that no binding backs"
    if rest:
        after = " once the other way fails"
    else:
        after = ": behind this box nobody gets an address" if which is Property.DHCP_TRUST else ", the gateway's too"
    return Finding(
        code=CODE,
        name=NAME,
        severity=Severity.ERROR if places and not rest and _new(case, places, which) else Severity.WARNING,
        headline=f"{name} watches {what} in VLAN {text(vids)} {told}",
        why=f"{dropped} are dropped where they come in{after}",
        where=tuple(where),
        vids=vids,
        at=frozenset(places or (name,)),
        settled_by="" if places else f"where the DHCP server of VLAN {text(vids)} is",
        cause=False,
    )


def _new(case: Case, places: Sequence[str], which: Property) -> bool:
    """Tell whether the box had a trusted port in the earlier survey."""
    if case.earlier is None:
        return False
    then = split_place(case.was(places[0]))[0]
    box = case.earlier.devices.get(then)
    return box is not None and any(is_on(port, which) for port in box.ports.values())
