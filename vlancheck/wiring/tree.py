"""Boxes and links in, what spanning tree forwards and blocks at their ports out, as far as what is known decides it.

Bridges that hear each other must speak one sort of tree: one for each VLAN, MST, or one for all.  What lies behind
handoffs and ports without a cord is taken to speak none.  Where a box between them may pass their frames on, a port may
shut, or a captured state says otherwise, nothing is computed.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from typing import NamedTuple

from vlancheck.dot1q.model import Bridge, BridgePort, Device, DeviceKind
from vlancheck.dot1q.properties import Property
from vlancheck.dot1q.tree import OWN_REGION, Given, given
from vlancheck.evidence import UNKNOWN, Cover, Fact, Kind, Origin, Origins, State, join
from vlancheck.places import split_place
from vlancheck.vids import EVERY, WIRE, first, text
from vlancheck.wiring.election import Jack, Role, Roles, Span, Speaker, connected, possible_roots, roles
from vlancheck.wiring.network import Link

PER_VLAN, ONE_TREE, MST, OFF = "per-vlan", "one-tree", "mst", "off"
COMMON = 0  # instance that all bridges of any kind have in common
_SILENCE = (Kind.ASSUMED, Kind.DEFAULT)
_NO_RELAY = frozenset({DeviceKind.CARRIER_BOX})  # nothing leads from one of its ports to another
_NO_TREE = frozenset({DeviceKind.UNMANAGED, DeviceKind.PHONE, DeviceKind.ACCESS_POINT})
_NOT_SET = frozenset({"no", "off", "none", "disable", "disabled"})
_ANY_PRIORITY, _ANY_PORT_PRIORITY, _ANY_COST = Span(0, 0xFFFF), Span(0, 0xFF), Span(1, 200_000_000)
_SHORT = {10: 100, 100: 19, 1000: 4, 10000: 2}  # IEEE Std 802.1D-1998, Table 8-5
_LONG = 20_000_000  # divided by Mbit/s: IEEE Std 802.1D-2004, Table 17-3
_ONE_SPEED = re.compile(r"(?:auto )?(\d+)")  # the speed that is set, or the only one that is offered
_RULE = "IEEE Std 802.1D-2004, 17.3.1 and 17.7"
_MST_RULE = "IEEE Std 802.1Q-2022, 13.9 to 13.13"

ROOT_GUARD_RULE = "Dell EMC Networking N-Series user's guide 6.6.3, p. 869 (manualowl.com)"

_Node = tuple[str, str]  # device, bridge


class Decision(NamedTuple):
    """What spanning tree does at a port, computed."""

    place: str  # DEVICE:PORT
    vids: int  # VLANs it is so for
    forwards: bool  # whether they pass
    why: Origins  # what decides it


class _End(NamedTuple):
    """An end of a cord at a bridge."""

    place: str
    device: Device
    port: BridgePort
    bridge: Bridge

    @property
    def node(self) -> _Node:
        return self.device.name, self.bridge.name


class _Cord(NamedTuple):
    """A cord between two bridges, converters on the way left out."""

    one: _End
    other: _End


class _Tree(NamedTuple):
    """One tree of a part of the wiring."""

    instance: int  # number by which priorities and costs are given
    vids: int  # VLANs that follow it
    cords: tuple[_Cord, ...]  # cords whose ends take part


def computed(boxes: Mapping[str, Device], links: Sequence[Link]) -> Iterator[Decision]:
    """Yield what spanning tree does at every port where that is certain and a ring makes it matter."""
    if not any(bridge.tree.priorities for box in boxes.values() for bridge in box.bridges.values()):
        return
    for cords in _parts(_cords(boxes, links)):
        for tree in _trees(cords):
            yield from _decided(tree)


def misguarded(boxes: Mapping[str, Device], links: Sequence[Link]) -> Iterator[Decision]:
    """Yield the ports with a root guard that surely hear of a better root: they forward nothing."""
    if not any(Property.ROOT_GUARD in port.properties for box in boxes.values() for port in box.ports.values()):
        return
    for cords in _parts(_cords(boxes, links), rings=False):
        for tree in _trees(cords, least=1):
            yield from _kept_out(tree)


# ---- parts of the wiring in which bridges hear each other ------------------------------------------------------------


def _cords(boxes: Mapping[str, Device], links: Sequence[Link]) -> list[_Cord]:
    peer = {mine: far for link in links for mine, far in ((link.one, link.other), (link.other, link.one))}
    found: dict[frozenset[str], _Cord] = {}
    for place in peer:
        far = _beyond(boxes, peer, place)
        if far and (pair := frozenset((place, far))) not in found:
            ends = [_end(boxes, one) for one in (place, far)]
            if ends[0] is not None and ends[1] is not None:
                found[pair] = _Cord(ends[0], ends[1])
    return list(found.values())


def _beyond(boxes: Mapping[str, Device], peer: Mapping[str, str], place: str) -> str:
    """Return the port at the far end of a cord, through media converters; "" where they lead nowhere."""
    far, passed = peer[place], 0
    while far and (box := boxes[split_place(far)[0]]).kind is DeviceKind.THROUGH and passed < len(boxes):
        other = next((f"{box.name}:{name}" for name in box.ports if f"{box.name}:{name}" != far), "")
        far, passed = peer.get(other, ""), passed + 1
    return far if passed < len(boxes) else ""


def _end(boxes: Mapping[str, Device], place: str) -> _End | None:
    """Return an end of a cord, by the bridge port that takes what no other of the same port selects."""
    device, name = split_place(place)
    box = boxes[device]
    if box.kind in _NO_RELAY or box.kind is DeviceKind.THROUGH:
        return None
    several = [one for one in box.bridge_ports.values() if one.port == name]
    port = next((one for one in several if not one.select), several[0] if several else None)
    return _End(place, box, port, box.bridges[port.bridge]) if port else None


def _parts(cords: Sequence[_Cord], *, rings: bool = True) -> Iterator[list[_Cord]]:
    """Yield the cords of every part of which everything is known that decides who hears whom, and that has a ring."""
    live = [cord for cord in cords if not any(_down(end) for end in cord)]
    groups = _Groups()
    for one, other in live:
        if _speaks(one) == _speaks(other) and not any(_filters(end) for end in (one, other)):
            groups.join(one.node, other.node)
    within: dict[_Node, list[_Cord]] = {}
    into: dict[_Node, list[_Node]] = {}  # a group of boxes without a tree -> the groups it has cords to
    vague: set[_Node] = set()
    for cord in live:
        ends = [end for end in cord if _speaks(end)]
        if len(ends) == 1:
            silent = next(end for end in cord if not _speaks(end))
            if not _filters(ends[0]):
                into.setdefault(groups.of(silent.node), []).append(groups.of(ends[0].node))
        elif ends and not any(_filters(end) for end in ends):
            within.setdefault(groups.of(ends[0].node), []).append(cord)
        if any(_vague(end) for end in ends):
            vague.update(groups.of(end.node) for end in ends)
    for several in into.values():
        if len(several) > 1:
            vague.update(several)  # what is between may pass on the frames of the tree, or not
    for group, found in within.items():
        if group not in vague and (not rings or len(found) >= len({end.node for cord in found for end in cord})):
            yield found


class _Groups:
    """Bridges that hang together."""

    def __init__(self) -> None:
        self.first: dict[_Node, _Node] = {}

    def of(self, node: _Node) -> _Node:
        """Return the bridge that stands for the group of `node`."""
        while (up := self.first.get(node, node)) != node:
            node = up
        return node

    def join(self, one: _Node, other: _Node) -> None:
        """Put two bridges into one group."""
        self.first[self.of(one)] = self.of(other)


def _speaks(end: _End) -> bool:
    return end.device.kind not in _NO_TREE and end.bridge.spanning_tree.value != OFF


def _down(end: _End) -> bool:
    port = end.device.ports[end.port.port]
    return any(fact.value is False for fact in (port.up, port.link, end.port.up))


def _filters(end: _End) -> bool:
    return _set(end, Property.BPDU_FILTER) is True


def _vague(end: _End) -> bool:
    """Tell whether it is not known if a port takes part, or whether it may shut instead."""
    port = end.device.ports[end.port.port]
    several = [one for one in end.device.bridge_ports.values() if one.port == end.port.port]
    unknown = any(fact.value is UNKNOWN for fact in (port.up, port.link, end.port.up))
    guards = [_set(end, which) for which in (Property.BPDU_FILTER, Property.BPDU_GUARD, Property.ROOT_GUARD)]
    shuts = guards[1] is True and not _filters(end)
    apart = Property.TREE_HERE in port.properties  # what becomes there of BPDUs that arrive is not said
    return unknown or shuts or apart or None in guards or len(several) != 1 or bool(end.port.select or end.port.doubt)


def _set(end: _End, which: Property) -> bool | None:
    """Tell whether a port is set to something; None where that is not known, or hangs on what happens there."""
    fact = end.device.ports[end.port.port].properties.get(which)
    if fact is None:
        return False
    if not isinstance(fact.value, str):
        return None
    said = fact.value.casefold()
    return False if said in _NOT_SET else None if " " in said else True


# ---- trees -----------------------------------------------------------------------------------------------------------


def _trees(cords: Sequence[_Cord], least: int = 2) -> Iterator[_Tree]:
    """Yield the trees of a part of the wiring; none where its bridges speak different sorts."""
    bridges = {end.node: end.bridge for cord in cords for end in cord}.values()
    sorts = {bridge.spanning_tree.value for bridge in bridges}
    if sorts == {PER_VLAN}:
        yield from _per_vlan(cords, least)
    elif sorts == {MST} and len(found := {_region(bridge) for bridge in bridges}) == 1 and _shared(*found):
        members = _members(next(iter(bridges)).tree.instances)
        yield from (_Tree(number, vids, tuple(cords)) for number, vids in members.items() if vids)
    elif (
        sorts <= {ONE_TREE, MST}
        and all(bridge.tree.priorities for bridge in bridges)
        and _apart([_region(bridge) for bridge in bridges])
    ):
        yield _Tree(COMMON, WIRE, tuple(cords))


def _per_vlan(cords: Sequence[_Cord], least: int) -> Iterator[_Tree]:
    """Yield a tree for every set of VLANs that the same ports take part in with the same numbers."""
    carried, odd = [], 0
    for cord in cords:
        here, not_clear = _carried(cord)
        carried.append(here)
        odd |= not_clear
    sets = [*carried, *_given_sets(cords)]
    classes = [WIRE & ~odd]
    for one in sets:
        classes = [part for bits in classes for part in (bits & one, bits & ~one) if part]
    for bits in classes:
        mine = tuple(cord for cord, here in zip(cords, carried, strict=True) if here & bits)
        if len(mine) >= least:
            yield _Tree(first(bits), bits, mine)


def _carried(cord: _Cord) -> tuple[int, int]:
    """Return the VLANs whose trees run over a cord, and those of which that is not clear."""
    kept, bare, unknown = [], [], 0
    for end in cord:
        here = end.port.member & end.bridge.exists & end.bridge.active
        not_known = here.possible & ~here.sure | end.port.untagged.possible & ~end.port.untagged.sure & here.possible
        inconsistent = ~end.port.forwarding.possible & ~captured(end.port.forwarding)  # blocked by another rule
        kept.append(here.sure & ~end.port.untagged.sure & ~inconsistent)
        bare.append(here.sure & end.port.untagged.sure & ~inconsistent)
        unknown |= not_known
        vid = end.port.pvid.value
        if bare[-1] and bare[-1] != (1 << vid if isinstance(vid, int) else 0):
            unknown |= bare[-1]
    if bare[0] != bare[1]:
        unknown |= bare[0] | bare[1]
    return (kept[0] & kept[1] | bare[0] & bare[1]) & WIRE, unknown & WIRE


def _given_sets(cords: Sequence[_Cord]) -> Iterator[int]:
    """Yield the sets of VLANs that numbers are given to, and those of which states were captured."""
    for cord in cords:
        for end in cord:
            port = end.device.ports[end.port.port].tree
            for one in (*end.bridge.tree.priorities, *port.costs, *port.shown_costs, *port.priorities):
                if one.instances != EVERY:
                    yield one.instances
            yield from (bits for bits, _, _ in end.port.forwarding.parts if bits != EVERY)


def _region(bridge: Bridge) -> tuple[str, frozenset[tuple[int, int]]] | None:
    """Return the MST region of a bridge, as all of it must be the same (IEEE Std 802.1Q-2022, 13.8); None: unknown."""
    name = bridge.tree.region.value
    if name is UNKNOWN or (name is None and bridge.spanning_tree.value == MST):
        return None
    return name or "", frozenset(_members(bridge.tree.instances).items())


def _shared(region: tuple[str, frozenset[tuple[int, int]]] | None) -> bool:
    """Tell whether several bridges can be in a region, and all of it is known."""
    return region is not None and region[0] != OWN_REGION


def _apart(regions: Sequence[tuple[str, frozenset[tuple[int, int]]] | None]) -> bool:
    """Tell whether one common tree runs from bridge to bridge: no two share a region, or all do."""
    named = [region for region in regions if region is None or region[0]]
    own = [region for region in named if region is not None and region[0] != OWN_REGION]
    if None in named:
        return False
    return len(set(own)) == len(own) or (len(set(own)) == 1 and len(own) == len(regions))


def _members(instances: Sequence[Given]) -> dict[int, int]:
    """Return the VLANs of each MST instance; a VLAN is in the one it was put into last."""
    found = {COMMON: WIRE}
    for one in instances:
        found = {number: bits & ~one.instances for number, bits in found.items()}
        found[one.number] = found.get(one.number, 0) | one.instances & WIRE
    return {number: bits for number, bits in found.items() if bits}


# ---- one tree --------------------------------------------------------------------------------------------------------


def _decided(tree: _Tree) -> Iterator[Decision]:
    ends = {end.place: end for cord in tree.cords for end in cord}
    speakers = {_name(end): _speaker(end, tree.instance) for end in ends.values()}
    cords = [(_jack(cord.one, tree), _jack(cord.other, tree)) for cord in tree.cords]
    found = roles(speakers, cords)
    if not all(_agrees(ends[place], may, tree.vids) for place, may in found.items()):
        return
    far = {mine.place: other for cord in tree.cords for mine, other in (cord, cord[::-1])}
    near: dict[_Node, list[_End]] = {}
    for end in ends.values():
        near.setdefault(end.node, []).append(end)
    roots: dict[str, list[str]] = {}
    for part in connected(speakers, cords) if {Role.BLOCKED} in found.values() else ():
        roots.update(dict.fromkeys(part, possible_roots({name: speakers[name] for name in sorted(part)})))
    for place, may in found.items():
        if may == {Role.BLOCKED}:
            why = _why(tree, near, roots[_name(ends[place])], ends[place], far[place])
            yield Decision(place, tree.vids, forwards=False, why=why)
        elif Role.BLOCKED not in may:
            yield Decision(place, tree.vids, forwards=True, why=())


def _kept_out(tree: _Tree) -> Iterator[Decision]:
    """Yield the guarded ports that are on the way to the root, or at an end of a link that another one leads to it."""
    ends = {end.place: end for cord in tree.cords for end in cord}
    guarded = [end for end in ends.values() if _set(end, Property.ROOT_GUARD) is True]
    if not guarded:
        return
    speakers = {_name(end): _speaker(end, tree.instance) for end in ends.values()}
    cords = [(_jack(cord.one, tree), _jack(cord.other, tree)) for cord in tree.cords]
    found = roles(speakers, cords)
    for end in guarded:
        if Role.DESIGNATED in found[end.place]:
            continue
        part = next(part for part in connected(speakers, cords) if _name(end) in part)
        roots = possible_roots({name: speakers[name] for name in sorted(part)})
        named = " or ".join(root.partition("/")[0] for root in roots)
        which = f"VLAN {text(tree.vids)}" if tree.vids != WIRE else "all VLANs"
        words = f"computed: {named} is the root of the tree of {which}, and {end.place} lets in no way to it"
        rooted = [one for one in ends.values() if _name(one) in roots]
        lines = [end.device.ports[end.port.port].properties[Property.ROOT_GUARD].origins]
        lines += [_from_bridge(one, tree.instance) for one in (*rooted[:1], end)]
        kept = tuple(one for one in join(*lines) if one.kind not in _SILENCE)
        yield Decision(end.place, tree.vids, False, (Origin(Kind.DEFAULT, words, source=ROOT_GUARD_RULE), *kept))


def _agrees(end: _End, may: Roles, vids: int) -> bool:
    """Tell whether nothing that was read speaks against the roles that a port may have."""
    if _set(end, Property.ROOT_GUARD) and may != {Role.DESIGNATED}:
        return False
    for bits, state, origins in end.port.forwarding.parts:
        against = Role.BLOCKED not in may if state is State.OUT else state is State.IN and may == {Role.BLOCKED}
        if bits & vids and shown(origins) and against:
            return False
    return True


def captured(cover: Cover) -> int:
    """Return the VIDs of which a text says what spanning tree does."""
    found = 0
    for bits, _, origins in cover.parts:
        if shown(origins):
            found |= bits
    return found


def shown(origins: Origins) -> bool:
    """Tell whether a text is among the origins."""
    return any(origin.kind not in _SILENCE for origin in origins)


def _name(end: _End) -> str:
    return "/".join(end.node)


def _speaker(end: _End, instance: int) -> Speaker:
    tree = end.bridge.tree
    address = tree.address.value
    return Speaker(_point(given(tree.priorities, instance), _ANY_PRIORITY), address if isinstance(address, str) else "")


def _jack(end: _End, tree: _Tree) -> Jack:
    port = end.device.ports[end.port.port].tree
    number = port.number.value
    return Jack(
        place=end.place,
        bridge=_name(end),
        cost=_point(_cost(end, tree.instance), _ANY_COST),
        priority=_point(given(port.priorities, tree.instance), _ANY_PORT_PRIORITY),
        number=number if isinstance(number, int) else None,
    )


def _point(found: Given | None, otherwise: Span) -> Span:
    return Span(found.number, found.number) if found else otherwise


def _cost(end: _End, instance: int) -> Given | None:
    """Return the path cost of a port: as set, as shown, or by the speed that lines fix."""
    port = end.device.ports[end.port.port]
    if (said := given(port.tree.costs, instance) or given(port.tree.shown_costs, instance)) is not None:
        return said
    speed, table = port.properties.get(Property.SPEED), end.bridge.tree.costs
    if speed is None or not isinstance(speed.value, str) or not (one := _ONE_SPEED.fullmatch(speed.value)):
        return None
    if end.device.members(port.name) or not (rate := int(one[1])):
        return None  # the speed of a bundle is that of its members that work
    match table.value:
        case "short":
            number = _SHORT.get(rate)
        case "long":
            number = max(1, _LONG // rate)
        case _:
            number = None
    return Given(number, origins=join(speed.origins, table.origins)) if number else None


def _why(tree: _Tree, near: Mapping[_Node, Sequence[_End]], roots: Sequence[str], blocked: _End, far: _End) -> Origins:
    """Return why a port blocks: the rule, and the lines that make the root and the ways to it what they are."""
    which = f"VLAN {text(tree.vids)}" if tree.vids != WIRE else "all VLANs"
    named = " or ".join(root.partition("/")[0] for root in roots)
    words = (
        f"computed: the tree of {which} has its root at {named}, "
        f"and {blocked.place} is neither the way to it nor the way of {far.place} to it"
    )
    sort = blocked.bridge.spanning_tree.value
    rooted = [several[0] for several in near.values() if _name(several[0]) in roots]
    lines = [_from_bridge(end, tree.instance) for end in (*rooted, blocked, far)]
    for end in (*near[blocked.node], *(near[far.node] if far.node != blocked.node else ())):
        if (cost := _cost(end, tree.instance)) is not None:
            lines.append(cost.origins)
    kept = tuple(one for one in join(*lines) if one.kind not in _SILENCE)
    return (Origin(Kind.DEFAULT, words, source=_MST_RULE if sort == MST else _RULE), *kept)


def _from_bridge(end: _End, instance: int) -> Origins:
    said = given(end.bridge.tree.priorities, instance)
    address: Fact[str] = end.bridge.tree.address
    return join(said.origins if said else (), address.origins if address.value is not UNKNOWN else ())
