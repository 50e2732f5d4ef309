"""How one frame goes toward one place is what a walk of it says; a verdict tells the way back where it matters."""

from __future__ import annotations

import pytest
from reference.wirings import drawn, frame
from report.sites import ONE_WAY

from vlancheck.dot1q.tags import format_frame
from vlancheck.notation import parse
from vlancheck.notation.judged import case
from vlancheck.verdicts.course import Course, course, followed
from vlancheck.verdicts.ground import Ground
from vlancheck.verdicts.verdict import State
from vlancheck.walk import Walk, walk
from vlancheck.wiring import Network


@pytest.mark.parametrize("unknowns", [False, True], ids=["certain", "unknowns"])
def test_random_wirings(unknowns: bool) -> None:
    """It arrives where the walk delivers it, and as that says; where it is lost, that has no copy there."""
    met = {"arrives": 0, "lost": 0, "open": 0}
    for number in range(120):
        wiring, rng = drawn(4, number, unknowns=unknowns)
        network = Network(wiring.devices, wiring.links, handoffs=wiring.handoffs)
        ground = Ground(network)
        for sender in network.boundary[:2]:
            sent = frame(rng)
            if len(sent) > 2:
                continue
            walked = walk(network, sender, sent)
            if any(loop.growing for loop in walked.loops):
                continue
            for to in network.boundary:
                if to != sender:
                    met[agrees(course(ground, sender, sent, to), walked)] += 1
    assert met["arrives"] > 30
    assert met["lost"] > 50
    assert (met["open"] > 10) is unknowns


def agrees(made: Course, walked: Walk) -> str:
    """Require that a course is what the walk of its frame says, and return what becomes of it."""
    there = {one.frame for one in walked.deliveries if one.port == made.to}
    doubted = {one.port for one in walked.unproven}
    if made.arrives:
        assert made.arrives in there
        assert not made.lost
        assert made.path or made.sender == made.to
        return "arrives"
    assert made.reason is not None
    if made.lost:
        assert not there
        assert made.to not in doubted
        return "lost"
    assert doubted
    return "open"


def test_a_way_back_that_alone_is_lost_is_followed() -> None:
    """Frames come in, and those sent back die at the port that takes none with a tag."""
    judged = case(parse(ONE_WAY))
    (ending,) = followed(judged.ground, judged.verdicts[0]).endings
    assert ending.state is State.DROPPED
    assert [hop.port for hop in ending.path] == ["A:1", "A:2", "B:1", "B:2"]
    assert [hop.port for hop in ending.path_back] == ["B:2", "B:1"]
    assert ending.back is not None
    assert ending.back.reason is not None
    assert ending.back.reason.place == "A:2"


def test_the_frame_is_told_as_it_is_sent() -> None:
    judged = case(parse(ONE_WAY))
    made = course(judged.ground, "A:1", (), "B:2")
    assert (made.frame, made.arrives) == (format_frame(()), "untagged")
