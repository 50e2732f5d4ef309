"""Pieces: connectivity of all VIDs at once, and the same answers as a flood of every sender."""

from __future__ import annotations

from random import Random

import networkx as nx
import pytest
from bench.fabric import fabric
from hypothesis import given
from hypothesis import strategies as st
from reference.wirings import drawn

from vlancheck.dot1q.forward import World
from vlancheck.dot1q.tags import C_TAG
from vlancheck.vids import members
from vlancheck.walk.connectivity import components, cycles
from vlancheck.walk.flood import What
from vlancheck.walk.framesets import SINGLE
from vlancheck.walk.layout import Layout
from vlancheck.walk.pieces import ONE_C_TAG, Beyond, Pieces
from vlancheck.walk.relation import Relation, relate, told
from vlancheck.walk.symbolic import Outcome, outcome
from vlancheck.walk.walk import plant
from vlancheck.wiring import Network

from .plants import network

VIDS = 0b11110
LINKS = st.lists(st.tuples(st.integers(0, 5), st.integers(0, 5), st.integers(0, 15).map(lambda bits: bits << 1)))


@given(LINKS)
def test_components_and_cycles_are_those_of_networkx(links: list[tuple[int, int, int]]) -> None:
    """For every VID; a link from a bridge to itself and two links between the same bridges are cycles."""
    held = [VIDS] * 5 + [0b110]
    links = [(one, other, carried & held[one] & held[other]) for one, other, carried in links]
    found = components(held, links)
    rounds = cycles(found, len(held), links)

    for vid in members(VIDS):
        graph = nx.MultiGraph([(one, other) for one, other, carried in links if carried >> vid & 1])
        graph.add_nodes_from(bridge for bridge, bits in enumerate(held) if bits >> vid & 1)
        mine = {
            frozenset(bridge for bridge, bits in piece.items() if bits >> vid & 1): round_ >> vid & 1
            for piece, round_ in zip(found.pieces, rounds, strict=True)
        }
        mine.pop(frozenset(), None)
        theirs = {
            frozenset(part): int(graph.subgraph(part).number_of_edges() >= len(part))
            for part in nx.connected_components(graph)
        }
        assert mine == theirs
    assert found.count == sum(len(parts) for parts in [_parts(links, held, vid) for vid in members(VIDS)])


def _parts(links: list[tuple[int, int, int]], held: list[int], vid: int) -> list[set[int]]:
    graph = nx.Graph([(one, other) for one, other, carried in links if carried >> vid & 1])
    graph.add_nodes_from(bridge for bridge, bits in enumerate(held) if bits >> vid & 1)
    return list(nx.connected_components(graph))


def _same(port: str, found: Outcome[int]) -> Relation[int]:
    return relate(port, (C_TAG,), SINGLE, found, found)


def _compare(wired: Network, port: str, world: World) -> bool:
    """Compare the two ways to work out one sender; False when pieces do not tell."""
    layout = Layout(plant(wired, world))
    place = layout.speaker(port)
    try:
        by_pieces = Pieces(layout).outcome(place, ONE_C_TAG)
    except Beyond:
        return False
    assert _same(port, by_pieces) == _same(port, outcome(layout, place, ONE_C_TAG, SINGLE)), f"{port}, {world}"
    return True


@pytest.mark.parametrize("unknowns", [False, True], ids=["certain", "unknowns"])
def test_pieces_say_what_a_flood_says_of_hostile_wirings(unknowns: bool) -> None:
    """Every sender, and ports with a link too, in both worlds."""
    told_by_pieces = 0
    for number in range(120):
        wiring, _ = drawn(11, number, unknowns=unknowns)
        wired = Network(wiring.devices, wiring.links, handoffs=wiring.handoffs)
        for device in wiring.devices:
            for port in device.ports:
                told_by_pieces += sum(_compare(wired, f"{device.name}:{port}", world) for world in World)

    assert told_by_pieces > 800


def test_pieces_say_what_a_flood_says_of_plain_wirings() -> None:
    """No sender of these needs a flood, unless it is the end of a link."""
    for seed in range(80):
        wired = network(Random(seed), unknowns=seed % 2 == 1)
        for port in wired.boundary:
            assert all(_compare(wired, port, world) for world in World)


def test_a_class_is_heard_at_the_same_places() -> None:
    """Every sender of a fabric with loops, by its class, against a flood of its own."""
    drawn_fabric = fabric(5, switches=25, access=6, uplinks=32, vlans=12, share=0.6, used=3)
    layout = Layout(plant(drawn_fabric.network, World.SURE))
    pieces = Pieces(layout)
    classes = {place: speech for speech, groups in pieces.classes.items() for g in groups for place in g.places}

    assert set(classes) == set(drawn_fabric.network.boundary)
    heard: dict[object, set[tuple[str, int]]] = {}
    for port, speech in classes.items():
        found = outcome(layout, layout.speaker(port), ONE_C_TAG, SINGLE)
        assert _same(port, found) == _same(port, pieces.outcome(layout.speaker(port), ONE_C_TAG))
        places = {(place, bits) for copy, place, bits in told(found.copies, port) if copy.what is What.DELIVERED}
        known = heard.setdefault(speech, places)
        itself = {item for item in known | places if classes[item[0]] == speech}
        assert known - itself == places - itself
    assert 12 < len(heard) < len(classes)
