"""Boxes and links in, the same boxes out with what spanning tree makes of rings and of links whose native VLANs differ.

Blocked ports block where a capture says so, and where priorities, addresses and costs prove it.  Where neither does, a
ring is left to the tree: one tree a VLAN keeps every VLAN connected over the links that carry it; one tree for all may
cut a VLAN that some link of the ring does not carry.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace

from vlancheck.dot1q.model import BridgePort, Device, DeviceKind
from vlancheck.evidence import Kind, Origin, Origins, State
from vlancheck.places import split_place
from vlancheck.vids import WIRE, text
from vlancheck.wiring.network import Link
from vlancheck.wiring.tree import OFF, PER_VLAN, captured, computed, misguarded

_Edit = tuple[str, int, State, Origins]  # DEVICE:PORT, VIDs, what holds for them, why
_NATIVE = "per-VLAN spanning tree blocks a port whose neighbour's untagged VLAN is another one"
_SOURCE = "Cisco, Troubleshoot PVID- and Type-Inconsistencies, document 24063"


def settle_spanning(devices: Iterable[Device], links: Sequence[Link]) -> tuple[Device, ...]:
    """Return the boxes with what the spanning tree forwards, where the wiring decides it."""
    boxes = {device.name: device for device in devices}
    _carry_out(boxes, [edit for link in links for edit in _native(boxes, link)])
    _carry_out(boxes, [(one.place, one.vids, State.OUT, one.why) for one in misguarded(boxes, links)])
    known: dict[str, int] = {}  # DEVICE:PORT -> VIDs of which it is computed what the tree does there
    edits: list[_Edit] = []
    for one in computed(boxes, links):
        known[one.place] = known.get(one.place, 0) | one.vids
        if not one.forwards:
            edits.append((one.place, one.vids, State.OUT, one.why))
    _carry_out(boxes, edits)
    _carry_out(boxes, [edit for ring in _rings(boxes, links) for edit in _ring(boxes, ring, known)])
    return tuple(boxes.values())


def _carry_out(boxes: dict[str, Device], edits: Iterable[_Edit]) -> None:
    for place, vids, state, why in edits:
        device, port = split_place(place)
        boxes[device] = _decided(boxes[device], port, vids, state, why)


def _decided(device: Device, port: str, vids: int, state: State, why: Origins) -> Device:
    """Return the box with some VIDs of a port decided, captured decisions apart."""
    changed = {}
    for name, bridge_port in device.bridge_ports.items():
        if bridge_port.port == port:
            kept = captured(bridge_port.forwarding)
            forwarding = bridge_port.forwarding.write(vids & ~kept, state, why)
            changed[name] = replace(bridge_port, forwarding=forwarding)
    return replace(device, bridge_ports={**device.bridge_ports, **changed}) if changed else device


# ---- links whose native VLANs differ -----------------------------------------------------------------------------


def _native(boxes: dict[str, Device], link: Link) -> Iterator[_Edit]:
    ends = [found for place in (link.one, link.other) if (found := _trunk(boxes, place)) is not None]
    if len(ends) < 2:
        return
    (one, mine, vid), (other, theirs, their_vid) = ends
    if vid == their_vid:
        return
    vids = 1 << vid | 1 << their_vid
    trees = (mine, theirs)
    if trees == (PER_VLAN, PER_VLAN):
        state, words = State.OUT, f"{_NATIVE}: {link.one} has {vid}, {link.other} has {their_vid}"
        why: Origins = (Origin(Kind.DEFAULT, words, source=_SOURCE), *one.pvid.origins, *other.pvid.origins)
    elif "unknown" in trees and OFF not in trees:
        state = State.UNKNOWN
        words = f"the untagged VLANs of {link.one} ({vid}) and {link.other} ({their_vid}) are merged or blocked"
        settle = "which spanning tree both ends speak, and what it does at this link"
        why = (Origin(Kind.ASSUMED, words, settle=settle), *one.pvid.origins, *other.pvid.origins)
    else:
        return
    yield link.one, vids, state, why
    yield link.other, vids, state, why


def _trunk(boxes: dict[str, Device], place: str) -> tuple[BridgePort, str, int] | None:
    """Return what takes and sends the untagged frames of a port that tags others, its bridge's tree, and their VID."""
    device, port = split_place(place)
    for one in boxes[device].bridge_ports.values():
        if one.port == port and not one.select:
            tagged = one.member.possible & ~one.untagged.sure & WIRE
            vid = one.pvid.value
            if tagged and isinstance(vid, int) and (one.untagged.sure & one.member.sure) >> vid & 1:
                return one, str(boxes[device].bridges[one.bridge].spanning_tree.value), vid
    return None


# ---- rings -------------------------------------------------------------------------------------------------------


def _rings(boxes: dict[str, Device], links: Sequence[Link]) -> Iterator[list[Link]]:
    """Yield the links of every part of the wiring in which each link lies on a ring of bridges."""
    between: dict[frozenset[str], list[Link]] = {}
    for link in links:
        ends = [split_place(place) for place in (link.one, link.other)]
        if any(not _bridging(boxes[device], port) for device, port in ends) or ends[0][0] == ends[1][0]:
            continue
        if any(_cut(boxes[device], port) for device, port in ends):
            continue  # a text says it is blocked: the ring is open there
        between.setdefault(frozenset((ends[0][0], ends[1][0])), []).append(link)
    if sum(map(len, between.values())) < len(frozenset().union(*between)):
        return  # too few links for a ring, and the graph library need not be loaded
    import networkx as nx

    graph: nx.Graph[str] = nx.Graph(tuple(pair) for pair in between)
    for block in nx.biconnected_components(graph):
        inside = [link for pair, several in between.items() if pair <= block for link in several]
        if len(inside) >= len(block):
            yield inside


def _bridging(device: Device, port: str) -> bool:
    kinds = (DeviceKind.CARRIER_BOX, DeviceKind.PHONE, DeviceKind.ACCESS_POINT)
    return device.kind not in kinds and any(one.port == port for one in device.bridge_ports.values())


def _cut(device: Device, port: str) -> bool:
    """Tell whether a text says that spanning tree forwards nothing at a port."""
    found = [one for one in device.bridge_ports.values() if one.port == port]
    return all(not one.forwarding.possible & one.member.possible and captured(one.forwarding) for one in found)


def _ring(boxes: dict[str, Device], ring: list[Link], known: Mapping[str, int]) -> Iterator[_Edit]:
    """Yield, for one tree for all VLANs, the VLANs that it may cut, since some link of the ring does not carry them."""
    trees = set()
    for link in ring:
        for place in (link.one, link.other):
            device, port = split_place(place)
            for one in boxes[device].bridge_ports.values():
                if one.port == port:
                    trees.add(boxes[device].bridges[one.bridge].spanning_tree.value)
    if trees <= {PER_VLAN} or trees <= {OFF}:
        return
    carried = [_carried(boxes, link) for link in ring]
    everywhere = somewhere = carried[0]
    for vids in carried[1:]:
        everywhere &= vids
        somewhere |= vids
    if not (cut := somewhere & ~everywhere & WIRE):
        return
    for link, vids in zip(ring, carried, strict=True):
        if mine := cut & vids & ~(known.get(link.one, 0) & known.get(link.other, 0)):
            lacking = next(one for one, theirs in zip(ring, carried, strict=True) if mine & ~theirs)
            words = (
                f"{link.one} to {link.other} lies on a ring, and {lacking.one} to {lacking.other} does not carry "
                f"VLAN {text(mine)}: one tree for all VLANs may block the links that do"
            )
            settle = "the spanning-tree state of the ring's ports"
            why = (Origin(Kind.ASSUMED, words, settle=settle),)
            for place in (link.one, link.other):
                yield place, mine & ~_without(boxes, place), State.UNKNOWN, why


def _without(boxes: dict[str, Device], place: str) -> int:
    """Return the VIDs that no tree of any bridge at a port blocks."""
    device, port = split_place(place)
    box, vids = boxes[device], WIRE
    for one in box.bridge_ports.values():
        if one.port == port:
            vids &= box.bridges[one.bridge].tree.without.sure
    return vids


def _carried(boxes: dict[str, Device], link: Link) -> int:
    """Return the VIDs that a link may carry, by both ends."""
    found = WIRE
    for place in (link.one, link.other):
        device, port = split_place(place)
        vids = 0
        for one in boxes[device].bridge_ports.values():
            if one.port == port:
                vids |= one.member.possible & boxes[device].bridges[one.bridge].exists.possible
        found &= vids
    return found
