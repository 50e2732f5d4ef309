"""The product's walk and the frame-by-frame reference give every frame the same fate, on random wirings."""

from __future__ import annotations

import os
from random import Random

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from vlancheck.dot1q.tags import Frame
from vlancheck.wiring import Network

from .agreement import ON_ARRIVAL, Reference, shown, walk_differs
from .soak import run
from .wirings import Wiring, wirings

FRAMES = int(os.environ.get("VLANCHECK_FRAMES", "20000"))
SEED = 1


@pytest.mark.parametrize("unknowns", [False, True], ids=["certain", "unknowns"])
def test_every_frame_has_the_same_fate(unknowns: bool) -> None:
    """Half of VLANCHECK_FRAMES each; the message of a failure says how to see that wiring again."""
    counts = run(FRAMES // 2, SEED, unknowns=unknowns)

    assert counts["frames"] >= FRAMES // 2


@pytest.mark.parametrize("unknowns", [False, True], ids=["certain", "unknowns"])
def test_the_wirings_meet_every_rule(unknowns: bool) -> None:
    """A comparison says something only about what happened in it."""
    counts = run(5_000, 2, unknowns=unknowns)
    rules = {rule.word for rule in ON_ARRIVAL} - {"reserved-vid"}  # no frame that can be written has VID 4095
    fates = {"delivered", "not delivered", "taken by an interface", "loop"}
    fates |= {"unproven", "loop, perhaps", "growing, perhaps"} if unknowns else {"growing"}

    assert rules | fates <= set(counts)
    assert counts["delivered"] > counts["frames"] // 6


@settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))
@given(st.booleans().flatmap(lambda unknowns: wirings(unknowns=unknowns)), st.randoms(use_true_random=False))
def test_a_drawn_wiring_agrees(drawn: tuple[Wiring, tuple[Frame, ...]], rng: Random) -> None:
    """The same through hypothesis, which makes a failing wiring small."""
    wiring, frames = drawn
    network = Network(wiring.devices, wiring.links, handoffs=wiring.handoffs)
    reference = Reference(wiring)
    differences = [
        line
        for frame in frames
        if network.boundary
        for line in walk_differs(reference, network, rng.choice(network.boundary), frame)
    ]

    assert not differences, "\n".join([*differences, shown(wiring)])
