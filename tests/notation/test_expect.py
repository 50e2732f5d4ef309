"""Expectations come true or are told as differences; each sort of claim can fail."""

from __future__ import annotations

import subprocess
import sys

import pytest
from hypothesis import given, settings
from reference.wirings import Wiring, wirings

from vlancheck.dot1q.tags import Frame, format_frame
from vlancheck.notation import Claim, Copy, Expectation, parse, write
from vlancheck.notation.expect import check
from vlancheck.walk import Walk, walk
from vlancheck.wiring import Network

TWO = """
port  sw1:1  pvid=10 member=10,20 untagged=10
port  sw1:2  pvid=10 member=10 untagged=10
port  sw2:1  pvid=10 member=10,20 untagged=10
port  sw2:2  member=10,20
port  sw2:3  pvid=10 member=10 untagged=10
link  sw1:1  sw2:1
"""  # ends on line 7
RING = """
port  sw1:1  member=10
port  sw1:2  member=10
port  sw1:3  pvid=10 member=10 untagged=10
link  sw1:1  sw1:2
"""
GROWS = """
port  sw1:1  pvid=10 tpids=none
port  sw1:2  member=10
port  sw1:3  pvid=10 member=10 untagged=10
link  sw1:1  sw1:2
"""
DOUBTFUL = """
port  sw1:1  pvid=10 member=10 untagged=10
port  sw1:2  member=?10
port  sw1:3  member=10
"""
STICK = """
port  sw1:1  member=10,20
port  sw1:2  pvid=10 member=10 untagged=10
port  rtr:wan
end   rtr:wan.10 on=wan takes=10
device rtr kind=router
link  sw1:1  rtr:wan
"""
BUNDLE = """
port  sw1:1  bundle=lag1 bundle-mode=active
port  sw1:2  bundle=lag1 bundle-mode=active
port  sw1:lag1 member=10
port  sw1:3  pvid=10 member=10 untagged=10
port  sw2:1  bundle=lag9 bundle-mode=passive
port  sw2:2  bundle=lag9 bundle-mode=passive
port  sw2:lag9 member=10
port  sw2:3  member=10
link  sw1:1 sw2:1
link  sw1:2 sw2:2
"""
SETTLED = """
port  sw1:1  pvid=1 member=1 untagged=1
negotiate sw1:1 protocol=trunking mode=auto alone=access outcomes=on:trunk
variant sw1:1 access pvid=1 member=1 untagged=1
variant sw1:1 trunk pvid=1 member=1-4094 untagged=1
port  sw1:2  pvid=10 member=10 untagged=10
port  sw2:1  pvid=1 member=1-4094 untagged=1
negotiate sw2:1 protocol=trunking mode=on alone=trunk
variant sw2:1 trunk pvid=1 member=1-4094 untagged=1
port  sw2:2  member=10
link  sw1:1 sw2:1
"""

TRUE = [
    (TWO, "expect sw1:2 untagged -> sw2:3 untagged, sw2:2 10"),
    (TWO, "expect sw1:2 20 -> nothing\nlost sw1:2 20 at sw1:2 by not-admitted"),
    (RING, "loop sw1:3 untagged\nexpect sw1:3 untagged -> sw1:3 untagged"),
    (GROWS, "growing sw1:3 untagged"),
    (DOUBTFUL, "expect sw1:1 untagged -> sw1:3 10\nunproven sw1:1 untagged -> sw1:2 10"),
    (STICK, "expect sw1:2 untagged -> rtr:wan 10"),
    (STICK, "expect sw1:2 untagged -> rtr:wan 10 to wan.10"),
    (BUNDLE, "expect sw1:3 untagged -> sw2:3 10"),
    (SETTLED, "expect sw1:2 untagged -> sw2:2 10"),
    (TWO + "handoff sw1:1\n", "expect sw1:2 untagged -> sw1:1 untagged"),
]


@pytest.mark.parametrize(("plant", "claims"), TRUE)
def test_what_comes_true(plant: str, claims: str) -> None:
    """Nothing is different."""
    notation = parse(plant + claims)

    assert notation.expectations
    assert check(notation) == []


FALSE = {
    "another frame": (
        TWO,
        "expect sw1:2 untagged -> sw2:3 untagged, sw2:2 untagged",
        "untagged from sw1:2: expected sw2:2 untagged, sw2:3 untagged; came out sw2:2 10, sw2:3 untagged",
    ),
    "one copy too many": (TWO, "expect sw1:2 untagged -> sw2:3 untagged", "came out sw2:2 10, sw2:3 untagged"),
    "one copy too few": (TWO, "expect sw1:2 20 -> sw2:2 20", "expected sw2:2 20; came out nothing"),
    "nothing": (TWO, "expect sw1:2 untagged -> nothing", "expected nothing; came out sw2:2 10"),
    "lost elsewhere": (
        TWO,
        "lost sw1:2 20 at sw2:1 by not-admitted",
        "20 from sw1:2: expected lost at sw2:1 by not-admitted; lost at sw1:2 by not-admitted",
    ),
    "lost by another rule": (TWO, "lost sw1:2 20 at sw1:2 by no-pvid", "lost at sw1:2 by not-admitted"),
    "not lost": (TWO, "lost sw1:2 untagged at sw1:2 by no-pvid", "expected lost at sw1:2 by no-pvid; lost"),
    "unproven too": (
        DOUBTFUL,
        "expect sw1:1 untagged -> sw1:3 10",
        "expected, whole sw1:3 10; unproven as well sw1:2 10",
    ),
    "proved": (DOUBTFUL, "unproven sw1:1 untagged -> sw1:3 10", "expected unproven sw1:3 10; unproven sw1:2 10"),
    "no loop": (TWO, "loop sw1:2 untagged", "expected to loop; it does neither loop nor grow"),
    "loops and does not grow": (RING, "growing sw1:3 untagged", "expected to grow; it loops"),
    "grows and does not loop": (GROWS, "loop sw1:3 untagged", "expected to loop; it grows"),
    "grows, so nothing is known": (GROWS, "expect sw1:3 untagged -> nothing", "it grows, so that nothing is known"),
    "another interface": (STICK, "expect sw1:2 untagged -> rtr:wan 10 to wan.20", "came out rtr:wan 10"),
}


@pytest.mark.parametrize("name", FALSE)
def test_what_does_not_come_true(name: str) -> None:
    """One sentence with the line, what was expected and what came out."""
    plant, claim, sentence = FALSE[name]
    text = plant + claim

    (difference,) = check(parse(text, file="fault.jot"))

    assert difference.startswith(f"fault.jot:{text.count(chr(10)) + 1}: ")
    assert sentence in difference


def fates(walked: Walk) -> tuple[object, ...]:
    """Return everything a walk says, without its evidence."""
    return (
        walked.deliveries,
        {(loss.port, loss.frame, loss.rule) for loss in walked.losses},
        sorted((one.port, one.frame) for one in walked.unproven),
        walked.loops,
    )


@settings(max_examples=60, deadline=None)
@given(wirings(unknowns=True))
def test_a_network_that_went_through_text_carries_the_same(case: tuple[Wiring, tuple[Frame, ...]]) -> None:
    """Deliveries, losses, unproven copies and loops of every frame are the ones of the boxes as they were."""
    wiring, frames = case
    text = write(wiring.devices, wiring.links, sorted(wiring.handoffs))
    found = parse(text)
    before = Network(wiring.devices, wiring.links, handoffs=wiring.handoffs)
    after = Network(found.devices, found.links, handoffs=found.handoffs)

    assert after.boundary == before.boundary
    for port in before.boundary:
        for frame in frames:
            assert fates(walk(after, port, frame)) == fates(walk(before, port, frame)), text


@settings(max_examples=40, deadline=None)
@given(wirings(unknowns=False))
def test_an_anonymous_network_carries_the_same(case: tuple[Wiring, tuple[Frame, ...]]) -> None:
    """What is expected of every frame comes true under the new names too."""
    wiring, frames = case
    network = Network(wiring.devices, wiring.links, handoffs=wiring.handoffs)
    expected = []
    for port in network.boundary:
        for frame in frames:
            walked = walk(network, port, frame)
            if any(loop.growing for loop in walked.loops):
                expected.append(Expectation(Claim.GROWING, port, format_frame(frame)))
            else:
                copies = tuple(Copy(one.port, one.frame, one.interface) for one in walked.deliveries)
                expected.append(Expectation(Claim.EXPECT, port, format_frame(frame), copies))
    text = write(wiring.devices, wiring.links, sorted(wiring.handoffs), expectations=expected, anonymous=True)

    found = parse(text)

    assert len(found.expectations) == len(expected)
    assert check(found) == [], text


PRIVATE = """
device "Quayside core" owner="Mistral Clinics" kind=router
bridge "Quayside core:guests of Mistral"
bridge "Quayside core:staff"
port  "Quayside core:to Ward 3" bridge=staff pvid=10 member=10 untagged=10 isolation=Ward description="Dr Vane"
port  "Quayside core:pc Vane" bundle=VaneLag
bridge-port "Quayside core:Ward sub" on="pc Vane" bridge=staff member=10 select=10
end   "Quayside core:Ward end" on="pc Vane" takes=30
setting "Quayside core" domain=mistral bundle-alone=suspended
unread "Quayside core:to Ward 3" text="snmp community Mistral" why="Vane"
link  "Quayside core:to Ward 3" "Quayside core:pc Vane"
handoff "Quayside core:to Ward 3"
expect "Quayside core:to Ward 3" 10 -> "Quayside core:pc Vane" 10 to "Ward sub"
=> L101 "Quayside core:to Ward 3"
"""


def test_an_anonymous_text_names_nobody() -> None:
    """Not one private word is left; VIDs, and the setting that decides where frames go, are."""
    said = parse(PRIVATE)
    text = write(
        said.devices,
        said.links,
        said.handoffs,
        expectations=said.expectations,
        findings=said.findings,
        anonymous=True,
    )

    assert not [word for word in ("Quay", "istral", "Ward", "Vane", "ane", "guests", "staff", "snmp") if word in text]
    assert "bundle-alone=suspended" in text
    assert len(parse(text).devices) == 1


def test_reading_and_writing_walk_nothing() -> None:
    """`vlancheck.notation` loads neither the walk nor the wiring."""
    code = (
        "import sys, vlancheck.notation; print([m for m in sys.modules if m.startswith(('vlancheck.w', 'networkx'))])"
    )

    loaded = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout

    assert loaded.strip() == "[]"
