"""The roles of ports are those that bridges find by exchanging messages, and the links that forward are a tree."""

from __future__ import annotations

from random import Random

import networkx as nx
from hypothesis import given, settings
from hypothesis import strategies as st

from vlancheck.wiring.election import Cord, Jack, Role, Span, Speaker, roles

from .messages import Bridge, Port, settled

EXAMPLES = 400


def wiring(rng: Random) -> tuple[dict[str, Speaker], list[Cord]]:
    """Draw bridges and cords of which everything is known; few values, so that much is decided by tie-breaks."""
    count = rng.randint(1, 6)
    addresses = rng.sample([f"02:00:00:00:00:{number:02x}" for number in range(20)], count)
    speakers = {
        f"b{number}": Speaker(Span(priority, priority), address)
        for number, address in enumerate(addresses)
        for priority in [rng.choice((4096, 32768))]
    }
    cords: list[Cord] = []
    numbers = dict.fromkeys(speakers, 0)
    for _ in range(rng.randint(0, 2 * count + 1)):
        pair = [rng.choice(list(speakers)) for _ in range(2)]
        cords.append((jack(rng, pair[0], numbers), jack(rng, pair[1], numbers)))
    return speakers, cords


def jack(rng: Random, bridge: str, numbers: dict[str, int]) -> Jack:
    numbers[bridge] += 1
    cost, priority = rng.choice((1, 2, 4)), rng.choice((64, 128, 128))
    return Jack(f"{bridge}:{numbers[bridge]}", bridge, Span(cost, cost), Span(priority, priority), numbers[bridge])


def blurred(rng: Random, speakers: dict[str, Speaker], cords: list[Cord]) -> tuple[dict[str, Speaker], list[Cord]]:
    """Return the same wiring, of which some numbers are no longer known."""

    def wide(span: Span, low: int, high: int) -> Span:
        if rng.random() < 0.8:
            return span
        return Span(rng.randint(low, span.low), rng.randint(span.high, high))

    def end(one: Jack) -> Jack:
        number = None if rng.random() < 0.2 else one.number
        return one._replace(cost=wide(one.cost, 1, 6), priority=wide(one.priority, 0, 240), number=number)

    fewer = {
        name: Speaker(wide(one.priority, 0, 61440), "" if rng.random() < 0.3 else one.address)
        for name, one in speakers.items()
    }
    return fewer, [(end(one), end(other)) for one, other in cords]


def by_messages(speakers: dict[str, Speaker], cords: list[Cord]) -> dict[str, str]:
    bridges = {name: Bridge((one.priority.low, one.address)) for name, one in speakers.items()}
    for one in (jack for cord in cords for jack in cord):
        assert one.number is not None
        bridges[one.bridge].ports[one.place] = Port(one.place, one.cost.low, (one.priority.low, one.number))
    return settled(bridges, [((one.bridge, one.place), (other.bridge, other.place)) for one, other in cords])


@settings(max_examples=EXAMPLES, deadline=None)
@given(st.randoms(use_true_random=False))
def test_what_is_known_wholly_has_the_roles_that_messages_give(rng: Random) -> None:
    """With nothing unknown each port has one role, the one that an exchange of messages ends with."""
    speakers, cords = wiring(rng)

    found = roles(speakers, cords)

    assert {place: [one.value for one in several] for place, several in found.items()} == {
        place: [role] for place, role in by_messages(speakers, cords).items()
    }


@settings(max_examples=EXAMPLES, deadline=None)
@given(st.randoms(use_true_random=False))
def test_what_is_not_known_excludes_no_role_that_messages_give(rng: Random) -> None:
    """Where numbers are not known, the role that the true numbers give is among those that a port may have."""
    speakers, cords = wiring(rng)

    found = roles(*blurred(rng, speakers, cords))

    for place, role in by_messages(speakers, cords).items():
        assert Role(role) in found[place]


@settings(max_examples=EXAMPLES, deadline=None)
@given(st.randoms(use_true_random=False))
def test_the_links_that_forward_are_a_tree(rng: Random) -> None:
    """On every wiring the links with two forwarding ends join all bridges that hang together, without a ring."""
    speakers, cords = wiring(rng)
    found = roles(speakers, cords)
    whole: nx.MultiGraph[str] = nx.MultiGraph()
    tree: nx.MultiGraph[str] = nx.MultiGraph()
    for graph in (whole, tree):
        graph.add_nodes_from(speakers)
    for one, other in cords:
        whole.add_edge(one.bridge, other.bridge)
        if all(Role.BLOCKED not in found[jack.place] for jack in (one, other)):
            tree.add_edge(one.bridge, other.bridge)

    assert nx.is_forest(tree)
    assert sorted(map(sorted, nx.connected_components(tree))) == sorted(map(sorted, nx.connected_components(whole)))
