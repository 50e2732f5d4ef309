"""20,000 walks of single frames through the Python interface: `python -m tests.bench.test_bench_walk`, or pytest -s.

The figure is printed and never asserted; what is asserted is that the relation says the same of every frame.
"""

from __future__ import annotations

from random import Random

from vlancheck.walk import Delivery, carriage, walk
from vlancheck.wiring import Network

from .fabric import fabric
from .timing import timed

WALKS = 20_000
WIRINGS = 100
FRAMES = ("untagged", "2", "3", "4.5")


def asked() -> list[tuple[Network, str, str]]:
    """Return small wirings with loops, and a port and a frame for each walk."""
    rng = Random(1)
    networks = [fabric(seed, switches=3, access=4, uplinks=3, vlans=4, share=0.8).network for seed in range(WIRINGS)]
    return [(each, rng.choice(each.boundary), rng.choice(FRAMES)) for each in networks for _ in range(WALKS // WIRINGS)]


def test_walks() -> None:
    """Three switches in a ring, twelve access ports, four VLANs."""
    questions = asked()
    taken, found = timed(lambda: [walk(*question).deliveries for question in questions], 1)
    print(f"\n{len(questions)} walks of single frames: {taken:.2f} s, {sum(map(len, found))} deliveries")

    relations = {id(network): carriage(network) for network, *_ in questions}
    told: list[tuple[Delivery, ...]] = [relations[id(network)].deliveries(*rest) for network, *rest in questions]
    assert told == found


if __name__ == "__main__":
    test_walks()
