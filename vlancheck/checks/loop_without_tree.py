"""Cords form a loop through a box that speaks no spanning tree.

What it finds
    A ring of cords on which the same frames come round again, through a switch whose spanning tree is off, or through
    a box that has none: an unmanaged switch, or a phone with both of its jacks patched. Where lines turn spanning tree
    off in some VLANs, a ring is one for those alone in which every switch of it speaks none. Ports that a capture shows
    blocked are no part of a ring, and a ring of bridges that all speak a spanning tree is no finding.

Why it matters
    A broadcast goes round for ever and fills every link it meets. Whether a switch further on hears its own
    spanning-tree frames through such a box, and blocks, depends on the box.

Example
    bridge sw1 exists=10 tree=per-vlan
    port sw1:1 member=10 pvid=10 untagged=10
    port sw1:2 member=10 pvid=10 untagged=10
    device desk kind=unmanaged
    port desk:1
    port desk:2
    link sw1:1 desk:1
    link sw1:2 desk:2
    => K101 desk:1 desk:2 sw1:1 sw1:2

Instead
    bridge sw1 exists=10 tree=per-vlan
    port sw1:1 member=10 pvid=10 untagged=10
    port sw1:2 member=10 pvid=10 untagged=10
    device desk kind=unmanaged
    port desk:1
    port desk:2
    link sw1:1 desk:1
    => clean

When it is intended
    When something else opens the ring that is not in the captures. With two cords for one bundle, configure the
    bundle at both ends.

Reference
    IEEE Std 802.1Q-2022, 8.4 and 13 (a spanning tree keeps the topology free of loops), from memory. That phones and
    small switches do not take part in it is common practice. That one switch on each loop of a VLAN is enough:
    Catalyst 3560 software configuration guide OL-8553-06, "Disabling Spanning Tree", from memory.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

import networkx as nx

from vlancheck.dot1q.model import Bridge, BridgePort, Device, DeviceKind
from vlancheck.dot1q.tags import C_TAG, UNTAGGED
from vlancheck.evidence import Origins, join
from vlancheck.findings.case import Case
from vlancheck.findings.finding import Finding, Severity, Where, evidence
from vlancheck.places import split_place
from vlancheck.vids import WIRE, members, text

CODE = "K101"
NAME = "A loop that no spanning tree opens"
_NO_TREE = (DeviceKind.UNMANAGED, DeviceKind.PHONE)


class _Node(NamedTuple):
    """Where copies of one VLAN, or in a box without VLANs of one frame, spread."""

    device: str
    bridge: str
    vid: int  # relay VID; in a box without VLANs the bit of the frame


class _Ring(NamedTuple):
    """Cords that frames go round by."""

    places: frozenset[str]  # their ends
    devices: frozenset[str]  # the boxes of them


def find(case: Case) -> Iterator[Finding]:
    """Yield one finding for every set of rings through a box without spanning tree."""
    found: dict[_Ring, int] = {}
    for graph in _candidates(case):
        for ring, vids in _rings(case, graph):
            found[ring] = found.get(ring, 0) | vids
    for ring, vids in found.items():
        yield _finding(case, ring, vids)


def _candidates(case: Case) -> Iterator[nx.MultiGraph[str]]:
    """Yield the parts of the cords that hang together in rings, with a box without spanning tree among them."""
    graph: nx.MultiGraph[str] = nx.MultiGraph()
    for link in case.network.links:
        if not all(case.relays(place) or _kind(case, place) in _NO_TREE for place in (link.one, link.other)):
            continue
        graph.add_edge(split_place(link.one)[0], split_place(link.other)[0], ends=(link.one, link.other))
    yield from (part for part in _cyclic(graph) if any(_may_loop(case, device) for device in part.nodes))


def _cyclic(graph: nx.MultiGraph[str]) -> Iterator[nx.MultiGraph[str]]:
    """Yield the parts of a graph in which every edge lies on a ring."""
    rest = graph.copy()
    rest.remove_edges_from(list(nx.bridges(graph)))
    for nodes in nx.connected_components(rest):
        part = rest.subgraph(nodes)
        if part.number_of_edges():
            yield part


def _rings(case: Case, cords: nx.MultiGraph[str]) -> Iterator[tuple[_Ring, int]]:
    """Yield the rings that frames really go round by, VLAN by VLAN, and the VLAN."""
    spread: nx.MultiGraph[str] = nx.MultiGraph()
    nodes: dict[str, _Node] = {}
    for _, _, ends in cords.edges(data="ends"):
        for one, other in _crossings(case, *ends):
            names = [str(tuple(node)) for node in (one, other)]
            nodes.update(zip(names, (one, other), strict=True))
            spread.add_edge(*names, ends=ends)
    for part in _cyclic(spread):
        if any(_tree_off(case, nodes[name].device) for name in part.nodes):
            yield _ring(case, part, nodes)
        else:  # a tree at one box of a ring opens it
            bare = [name for name in part.nodes if _without(case, nodes[name])]
            yield from (_ring(case, inner, nodes) for inner in _cyclic(part.subgraph(bare)))


def _ring(case: Case, part: nx.MultiGraph[str], nodes: dict[str, _Node]) -> tuple[_Ring, int]:
    places = frozenset(place for _, _, ends in part.edges(data="ends") for place in ends)
    vids = 0
    for name in part.nodes:
        if case.network.devices[nodes[name].device].kind not in _NO_TREE:
            vids |= 1 << nodes[name].vid
    return _Ring(places, frozenset(nodes[name].device for name in part.nodes)), vids


def _crossings(case: Case, one: str, other: str) -> Iterator[tuple[_Node, _Node]]:
    """Yield the pairs of VLANs between which a cord surely carries frames both ways."""
    there, back = _sends(case, one), _sends(case, other)
    for frame in _frames(there, back):
        ends = _node(case, one, frame), _node(case, other, frame)
        if ends[0] is not None and ends[1] is not None:
            yield ends[0], ends[1]


def _frames(one: int | None, other: int | None) -> Iterator[int]:
    """Yield the frames that both ends send; a box without VLANs (None) sends what it gets, and two untagged ones."""
    if one is None or other is None:
        yield from members(next((sent for sent in (one, other) if sent is not None), UNTAGGED))
    else:
        yield from members(one & other)


def _sends(case: Case, place: str) -> int | None:
    """Return the frames of at most one tag that surely leave at a place (bit 4095: untagged); None for any."""
    if _kind(case, place) in _NO_TREE:
        return None
    port, bridge = _here(case, place)
    if port is None or bridge is None:
        return 0
    live = port.member.sure & port.forwarding.sure & bridge.exists.sure & bridge.active.sure & WIRE
    bare = live & port.untagged.sure
    return live & ~port.untagged.possible | (UNTAGGED if bare and bare & bare - 1 == 0 else 0)


def _node(case: Case, place: str, frame: int) -> _Node | None:
    """Return where a frame that arrives at a place spreads, when it leaves from there as it came."""
    device, _ = split_place(place)
    if case.network.devices[device].kind in _NO_TREE:
        return _Node(device, "", frame)
    port, bridge = _here(case, place)
    if port is None or bridge is None:
        return None
    vid = port.pvid.value if 1 << frame == UNTAGGED else frame
    if not isinstance(vid, int):
        return None
    if not (port.forwarding.sure & bridge.exists.sure & bridge.active.sure) >> vid & 1:
        return None
    taken = bool(port.untagged.sure >> vid & 1) if 1 << frame == UNTAGGED else bool(port.admit.sure >> vid & 1)
    return _Node(device, port.bridge, vid) if taken and port.member.sure >> vid & 1 else None


def _here(case: Case, place: str) -> tuple[BridgePort | None, Bridge | None]:
    """Return the only bridge port of a place and its bridge, unless it is down, in doubt or changes tags."""
    device, name = split_place(place)
    box = case.network.devices[device]
    several = [port for port in box.bridge_ports.values() if port.port == name]
    if len(several) != 1 or _down(box, several[0]):
        return None, None
    port = several[0]
    if port.select or port.entry or port.exit or port.doubt or C_TAG not in port.tpids:
        return None, None
    return port, box.bridges[port.bridge]


def _down(box: Device, port: BridgePort) -> bool:
    facts = port.up, box.ports[port.port].up, box.ports[port.port].link
    return any(fact.value is not True for fact in facts)


def _kind(case: Case, place: str) -> DeviceKind:
    return case.network.devices[split_place(place)[0]].kind


def _tree_off(case: Case, device: str) -> bool:
    box = case.network.devices[device]
    return box.kind in _NO_TREE or any(bridge.spanning_tree.value == "off" for bridge in box.bridges.values())


def _may_loop(case: Case, device: str) -> bool:
    """Tell whether there is a VLAN in which a box speaks no spanning tree."""
    bridges = case.network.devices[device].bridges.values()
    return _tree_off(case, device) or any(bridge.tree.without.sure for bridge in bridges)


def _without(case: Case, node: _Node) -> bool:
    bridge = case.network.devices[node.device].bridges[node.bridge]
    return bool(bridge.tree.without.sure >> node.vid & 1)


def _finding(case: Case, ring: _Ring, vids: int) -> Finding:
    off = sorted(device for device in ring.devices if _tree_off(case, device))
    here = "speaks no spanning tree" if off else "speaks no spanning tree in it"
    where: list[Where] = []
    silent = off or sorted(ring.devices)
    for device in silent:
        where += evidence(device, _why(case, device, vids), here, not where)
    for place in sorted(ring.places):
        where += evidence(place, case.named_at(place), "on the ring", not where)
    carried = f" in VLAN {text(vids)}" if vids else ""
    return Finding(
        code=CODE,
        name=NAME,
        severity=Severity.ERROR,
        headline=f"{', '.join(sorted(ring.places))} form a loop{carried} through {' and '.join(silent)}, "
        f"where no spanning tree is spoken{'' if off else ' in it'}",
        why="a broadcast comes round again and again",
        where=tuple(where),
        vids=vids,
        at=ring.places,
    )


def _why(case: Case, device: str, vids: int) -> Origins:
    box = case.network.devices[device]
    if box.kind in _NO_TREE:
        return next((port.origins for port in box.ports.values()), ())
    off = [bridge.spanning_tree.origins for bridge in box.bridges.values() if bridge.spanning_tree.value == "off"]
    bare = [bridge.tree.without.why(vid)[1] for bridge in box.bridges.values() for vid in members(vids)]
    return join(*(off or bare))
