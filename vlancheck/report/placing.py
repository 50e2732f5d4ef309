"""What is known of a place, in one line and as a document."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from vlancheck.dot1q.model import Seen
from vlancheck.evidence import UNKNOWN
from vlancheck.places import split_place
from vlancheck.site.boxes import Boxes, Occupancy
from vlancheck.site.lookup import About
from vlancheck.site.placed import PlacedVlan
from vlancheck.site.spots import SpotKind
from vlancheck.vids import WIRE
from vlancheck.vids import text as ranges
from vlancheck.wiring import Network

SCHEMA = "vlancheck/at/1"
_MOST_MACS = 4  # addresses named in one line; the document has all


def text(network: Network, boxes: Boxes, found: Sequence[About]) -> str:
    """Return one line for each place."""
    return "\n".join("; ".join(_parts(network, boxes, one)) for one in found)


def document(network: Network, boxes: Boxes, found: Sequence[About], survey: str) -> dict[str, Any]:
    """Return the places as JSON fields; the schema only grows."""
    return {
        "schema": SCHEMA,
        "survey": survey,
        "places": [
            {
                "name": one.spot.name,
                "kind": one.spot.kind.value,
                "ports": list(one.places),
                "vlans": [_vlan(network, place) for place in one.places],
                "serves": one.endpoint.text if one.endpoint else "",
                "services": [service.declared.name for service in one.services],
                "vlan_orders": [_named(vlan) for vlan in one.vlans if not _kept_out(vlan, one)],
                "never": [_named(vlan) for vlan in one.vlans if _kept_out(vlan, one)],
                "path": [_path(one, place) for place in one.places],
                "holds": [{"why": hold.why, "owner": hold.owner, "assumed": hold.assumed} for hold in one.holds],
                "handoff": one.handoff.declared.circuit or one.handoff.declared.at if one.handoff else "",
                "plugged": [occupied.state.value for occupied in one.occupancy],
                "seen": [_sighting(place, shown) for place, shown in one.seen],
                "contradictions": [clash.message for clash in one.contradictions],
                "doubts": [doubt.why for doubt in one.doubts],
            }
            for one in found
        ],
    }


def _parts(network: Network, boxes: Boxes, one: About) -> Iterator[str]:
    name = one.spot.name if one.spot.kind is SpotKind.PORT else f"{one.spot.kind.value} {one.spot.name}"
    yield name + (f" ({one.endpoint.text})" if one.endpoint else "")
    for hold in one.holds:
        asked = f", ask {hold.owner} first" if hold.owner else ", ask its owner first"
        yield f"HOLD: {hold.why or 'do not touch'}{asked}" + (" (taken from what it serves)" if hold.assumed else "")
    if one.spot.absent:
        yield "this survey has no capture or row of it"
    if not one.places:
        yield "nothing is patched here"
    for place in one.places:
        where = "" if place == one.spot.name else f"{place} "
        yield f"{where}{_vlan(network, place)}"
        if path := _path(one, place):
            yield f"path {path}"
    for occupied in one.occupancy:
        if occupied.state is not Occupancy.OCCUPIED:
            yield "nothing plugged in" if occupied.state is Occupancy.EMPTY else "nobody says what is plugged in"
    yield from _shown([shown for _, shown in one.seen])
    if one.handoff:
        declared = one.handoff.declared
        named = (f" {declared.circuit}" if declared.circuit else "") + (
            f" of {declared.carrier}" if declared.carrier else ""
        )
        call = " ".join(word for word in (declared.owner, declared.phone) if word)
        yield f"handoff{named}" + (f"; call {call}" if call else "")
    names = [service.declared.name for service in one.services]
    names += [_named(vlan) for vlan in one.vlans if not _kept_out(vlan, one)]
    if names:
        yield f"serves {', '.join(names)}"
    if kept := [_named(vlan) for vlan in one.vlans if _kept_out(vlan, one)]:
        yield f"must never carry {', '.join(kept)}"
    for clash in one.contradictions:
        yield f"contradiction: {clash.message}"
    for doubt in one.doubts:
        yield f"doubtful row: {doubt.why}"


def _sighting(place: str, shown: Seen) -> dict[str, Any]:
    return {
        "port": place,
        "mac": shown.mac,
        "vid": shown.vid,
        "neighbour": shown.neighbour,
        "neighbour_port": shown.neighbour_port,
    }


def _shown(seen: Sequence[Seen]) -> Iterator[str]:
    """Yield what captures show behind a port: addresses with the VLANs they were learned in, and neighbours."""
    vids: dict[str, list[str]] = {}
    for one in seen:
        if one.mac:
            known = vids.setdefault(one.mac, [])
            known += [str(one.vid)] if one.vid is not None and str(one.vid) not in known else []
    named = [f"{mac} in VLAN {','.join(found)}" if found else mac for mac, found in vids.items()]
    if named:
        more = f" and {len(named) - _MOST_MACS} more" if len(named) > _MOST_MACS else ""
        yield f"seen {', '.join(named[:_MOST_MACS])}{more}"
    heard = dict.fromkeys(f"{one.neighbour} {one.neighbour_port}".strip() for one in seen if one.neighbour)
    if heard:
        yield f"neighbour {', '.join(heard)}"


def _named(vlan: PlacedVlan) -> str:
    return vlan.declared.name or f"VLAN {vlan.declared.vid}"


def _kept_out(vlan: PlacedVlan, about: About) -> bool:
    """Tell whether a place is one that a VLAN must not touch."""
    names = {about.spot.name, *about.places}
    return any(names.intersection((spot.name, *spot.places)) for spot in vlan.never)


def _vlan(network: Network, place: str) -> str:
    """Return the VLANs of a port in words."""
    place = network.stands_for.get(place, place)
    device, port = split_place(place)
    if device not in network.devices or port not in network.devices[device].ports:
        return "no capture of this survey shows it"
    box = network.devices[device]
    parts = []
    for one in box.bridge_ports.values():
        if one.port != port:
            continue
        if one.doubt:
            return "VLANs unproven (unread lines)"
        tagged = one.member.possible & ~one.untagged.sure & WIRE
        untagged = "VLAN unknown untagged" if one.pvid.value is UNKNOWN else f"VLAN {one.pvid.value} untagged"
        parts += [untagged] if one.pvid.value is not None else []
        parts += ["all VLANs tagged" if tagged == WIRE else f"VLAN {ranges(tagged)} tagged"] if tagged else []
    ends = [end.name for end in box.ends.values() if end.port == port]
    if ends and not parts:
        return f"frames end here ({', '.join(ends)})"
    return ", ".join(parts) or "no VLAN"


def _path(one: About, place: str) -> str:
    for chain in one.chains:
        if place in chain.ports:
            names = [chain.ends[0].name, *chain.passed, chain.ends[1].name]
            ordered = list(dict.fromkeys(names if chain.ends[0].name == place else reversed(names)))
            labels = f" (cord {', '.join(chain.labels)})" if chain.labels else ""
            return " - ".join(ordered) + labels
    return ""
