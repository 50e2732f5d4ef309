"""Random devices, links and frames for comparisons with the reference, from a seed or drawn by hypothesis."""

from __future__ import annotations

from dataclasses import replace
from random import Random
from typing import NamedTuple

from hypothesis import strategies as st

from vlancheck.dot1q.model import Bridge, BridgePort, Device, DeviceKind, Port, PortKind
from vlancheck.dot1q.tags import C_TAG, S_TAG, Frame, Tag
from vlancheck.evidence import UNKNOWN, Cover, Fact, State
from vlancheck.vids import EVERY, WIRE, of

from .shapes import (
    OLD_TAG,
    POOL,
    RELAYS,
    WHY,
    Shape,
    bridge_port,
    chance,
    doubtful,
    ends,
    private_shapes,
    shape,
    subset,
    troubled,
)

Place = tuple[str, str]  # device, port


class Wiring(NamedTuple):
    """Devices joined by links."""

    devices: tuple[Device, ...]
    links: tuple[tuple[str, str], ...]  # pairs of DEVICE:PORT; a port may be joined to itself
    handoffs: frozenset[str]  # DEVICE:PORT of each
    unknowns: bool  # whether some facts may be unknown


def drawn(seed: int, number: int, *, unknowns: bool) -> tuple[Wiring, Random]:
    """Return the wiring of that number and the generator to draw its frames from: the same in every run."""
    rng = Random(f"{seed}/{number}/{unknowns}")
    return wiring(rng, unknowns=unknowns), rng


def wirings(*, unknowns: bool) -> st.SearchStrategy[tuple[Wiring, tuple[Frame, ...]]]:
    """Draw wirings with a few frames; shrinks to few bridges, plain ports, no links and untagged frames."""

    def build(rng: Random) -> tuple[Wiring, tuple[Frame, ...]]:
        return wiring(rng, unknowns=unknowns), tuple(frame(rng) for _ in range(4))

    return st.randoms(use_true_random=False).map(build)


def frame(rng: Random) -> Frame:
    """Draw a frame of up to three tags, C-tags more often than others."""
    depth = rng.choice((0, 1, 1, 1, 2, 2, 3))
    return tuple(
        Tag(rng.choice((C_TAG, C_TAG, C_TAG, S_TAG, OLD_TAG)), rng.choice((*POOL, *POOL, 0, 40))) for _ in range(depth)
    )


def wiring(rng: Random, *, unknowns: bool = False) -> Wiring:
    """Draw devices and links."""
    slots: list[Place] = []
    shapes: dict[Place, Shape] = {}
    kinds: dict[str, DeviceKind] = {}
    for number in range(1, rng.choice((1, 2, 2, 3, 3, 4)) + 1):
        name = f"B{number}"
        kinds[name] = DeviceKind.BRIDGE
        made = private_shapes(rng) if chance(rng, 0.1) else [shape(rng) for _ in range(rng.randint(2, 5))]
        for port, standing in enumerate(made, 1):
            slots.append((name, f"p{port}"))
            shapes[name, f"p{port}"] = standing
    if unknowns and chance(rng, 0.35):
        kinds["U1"] = rng.choice((DeviceKind.UNMANAGED, DeviceKind.PHONE, DeviceKind.ACCESS_POINT))
        for port in ("p1", "p2", "p3")[: rng.randint(2, 3)]:
            slots.append(("U1", port))
            shapes["U1", port] = (bridge_port(1, 0, 2, 2, tpids=frozenset()),)
    for number in range(rng.choice((0, 0, 1, 1, 2))):
        name = f"R{number + 1}"
        kinds[name] = rng.choice((DeviceKind.ROUTER, DeviceKind.HOST))
        slots.append((name, "e0"))
    links = _links(rng, slots)
    for one, other in links:
        if one in shapes and other in shapes and one[0][0] == other[0][0] == "B" and not chance(rng, 0.35):
            shapes[other] = shapes[one]
    devices = tuple(_device(rng, name, kind, shapes, unknowns) for name, kind in kinds.items())
    places = [":".join(place) for place in slots if place in shapes]
    return Wiring(
        devices,
        tuple((":".join(one), ":".join(other)) for one, other in links),
        frozenset(place for place in places if chance(rng, 0.06)),
        unknowns,
    )


def _links(rng: Random, slots: list[Place]) -> list[tuple[Place, Place]]:
    """Pair ports off at random, some with themselves; what is left over has no link."""
    free = list(slots)
    rng.shuffle(free)
    links = []
    wanted = rng.randint(0, len(slots) // 2)
    while len(links) < wanted and len(free) > 1:
        one = free.pop()
        if chance(rng, 0.07):
            links.append((one, one))
        else:
            far = [place for place in free if place[0] != one[0]] or free
            other = far[-1] if not chance(rng, 0.2) else free[-1]
            free.remove(other)
            links.append((one, other))
    return links


def _device(rng: Random, name: str, kind: DeviceKind, shapes: dict[Place, Shape], unknowns: bool) -> Device:
    if kind in (DeviceKind.ROUTER, DeviceKind.HOST):
        standing = ends(rng, "e0")
        if unknowns and chance(rng, 0.1):
            standing = [replace(end, up=Fact(UNKNOWN, WHY)) for end in standing]
        return Device(name=name, kind=kind, ports={"e0": _port(rng, "e0", unknowns)}, ends=_named(standing))
    mine = {place[1]: made for place, made in shapes.items() if place[0] == name}
    bridges = ("",) if not chance(rng, 0.12) else ("a", "b")
    bridge_ports: list[BridgePort] = []
    for port, made in mine.items():
        bridge = rng.choice(bridges)
        for one in made:
            if kind is DeviceKind.BRIDGE:
                one = troubled(rng, one)
                one = doubtful(rng, one) if unknowns else one
            bridge_ports.append(replace(one, name=port + one.name, port=port, bridge=bridge))
    ports = {port: _port(rng, port, unknowns) for port in mine}
    if kind is DeviceKind.BRIDGE and chance(rng, 0.2):
        vid = rng.choice(POOL)
        inside = bridge_port(vid, 0, 1 << vid, 1 << vid)
        bridge_ports.append(replace(inside, name=f"vlan{vid}", port=f"vlan{vid}", bridge=bridges[0]))
        ports[f"vlan{vid}"] = Port(name=f"vlan{vid}", kind=PortKind.INSIDE)
    standing = ends(rng, next(iter(mine))) if kind is DeviceKind.BRIDGE and chance(rng, 0.08) else []
    return Device(
        name=name,
        kind=kind,
        bridges={bridge: _bridge(rng, bridge, unknowns and kind is DeviceKind.BRIDGE) for bridge in bridges},
        ports=ports,
        bridge_ports=_named(bridge_ports),
        ends=_named([replace(end, name=f"ip-{end.name}") for end in standing]),
    )


def _named(standing: list) -> dict:  # type: ignore[type-arg]
    return {one.name: one for one in standing}


def _port(rng: Random, name: str, unknowns: bool) -> Port:
    states = (True, False, UNKNOWN) if unknowns else (True, False)
    up = rng.choice(states) if chance(rng, 0.03) else True
    link = rng.choice(states) if chance(rng, 0.03) else True
    return Port(name=name, up=Fact(up, WHY), link=Fact(link, WHY))


def _bridge(rng: Random, name: str, unknowns: bool) -> Bridge:
    exists = EVERY if not chance(rng, 0.2) else subset(rng, share=0.8) | of(RELAYS) | 2
    active = EVERY if not chance(rng, 0.1) else ~subset(rng, share=0.3)
    covers = [Cover.of(exists if not chance(rng, 0.3) else exists & (WIRE | of(RELAYS)), WHY), Cover.of(active, WHY)]
    if unknowns:
        covers = [
            cover.write(subset(rng, share=0.4) if chance(rng, 0.5) else EVERY, State.UNKNOWN, WHY)
            if chance(rng, 0.1)
            else cover
            for cover in covers
        ]
    return Bridge(name=name, exists=covers[0], active=covers[1], spanning_tree=Fact("off"))
