"""A walk that watches everywhere knows of each port what a walk that watches this one alone knows."""

from __future__ import annotations

from random import Random

import pytest

from vlancheck.walk import walk
from vlancheck.walk.flood import EVERYWHERE

from .plants import FRAMES, network


@pytest.mark.parametrize("seed", range(60))
def test_the_losses_at_a_port_are_those_of_a_walk_that_watches_it(seed: int) -> None:
    rng = Random(seed)
    made = network(rng, unknowns=seed % 2 == 0)
    places = sorted(f"{box.name}:{port}" for box in made.devices.values() for port in box.ports)
    for sender in rng.sample(places, min(3, len(places))):
        for sent in rng.sample(FRAMES, min(3, len(FRAMES))):
            everywhere = walk(made, sender, sent, EVERYWHERE)
            for place in places:
                alone = walk(made, sender, sent, place)
                assert everywhere.losses_at(place) == alone.losses
                assert everywhere.deliveries == alone.deliveries
