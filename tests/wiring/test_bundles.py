"""Bundles are one port as far as both ends prove them, and in doubt where they are torn."""

from __future__ import annotations

import itertools

import pytest

from vlancheck.walk import walk
from vlancheck.wiring import Link, Network, wire
from vlancheck.wiring.bundles import modes_pair

from .boxes import access, bridge_port, switch


def trunks(*names: str) -> list:
    return [bridge_port(name, member="10,20") for name in names]


def pair(mine: str, theirs: str, *, cords: tuple[tuple[str, str], ...] = (("1", "1"), ("2", "2"))) -> Network:
    """Return two switches with two cords between their bundles."""
    one = switch("A", access("9", 10), *trunks("1", "2", "Po1"), bundles={"1": ("Po1", mine), "2": ("Po1", mine)})
    two = switch("B", access("9", 10), *trunks("1", "2", "Po7"), bundles={"1": ("Po7", theirs), "2": ("Po7", theirs)})
    return wire([one, two], [Link(f"A:{a}", f"B:{b}") for a, b in cords])


# IEEE Std 802.1AX, 6.4: at least one end must be active; a static end and a negotiating one do not form a bundle.
# `desirable` and `auto` are another maker's protocol with the same rule (common practice, no source).
FORMS = {("on", "on"), ("active", "active"), ("active", "passive"), ("desirable", "desirable"), ("auto", "desirable")}


@pytest.mark.parametrize(
    ("mine", "theirs"), list(itertools.product(["on", "active", "passive", "desirable", "auto"], repeat=2))
)
def test_modes_pair_as_the_standard_says(mine: str, theirs: str) -> None:
    """Every pair of modes forms a bundle or not."""
    assert modes_pair(mine, theirs) is (tuple(sorted((mine, theirs))) in FORMS)


def test_a_proved_bundle_is_one_link_and_no_loop() -> None:
    """Two cords between two bundles carry a frame once."""
    network = pair("active", "passive")
    walked = walk(network, "A:9", "untagged")

    assert network.peer == {"A:Po1": "B:Po7", "B:Po7": "A:Po1"}
    assert [(d.port, d.frame) for d in walked.deliveries] == [("B:9", "untagged")]
    assert walked.loops == ()


def test_members_that_do_not_pair_walk_alone() -> None:
    """Passive with passive forms no bundle: two plain links, which are a loop."""
    network = pair("passive", "passive")
    walked = walk(network, "A:9", "untagged")

    assert network.peer["A:1"] == "B:1"
    assert walked.loops


def test_a_static_end_acts_whatever_is_beyond() -> None:
    """`on` is one port even when the far end negotiates: both cords lead from one place to two, which is a doubt."""
    network = pair("on", "active")
    walked = walk(network, "A:9", "untagged")

    assert walked.deliveries == ()
    assert {item.port for item in walked.unproven} == {"A:1", "A:2"}
    assert "Po1" in walked.unproven[0].reason


def test_one_cord_of_a_bundle_is_enough() -> None:
    """A bundle with one member in use is that member."""
    network = pair("active", "active", cords=(("1", "2"),))

    assert network.peer == {"A:Po1": "B:Po7", "B:Po7": "A:Po1"}
    assert network.stands_for["B:2"] == "B:Po7"


def test_a_bundle_torn_between_two_boxes_is_unproven() -> None:
    """Cords of one bundle that land on two boxes prove nothing."""
    member = {"1": ("Po1", "active"), "2": ("Po1", "active")}
    one = switch("A", access("9", 10), *trunks("1", "2", "Po1"), bundles=member)
    two = switch("B", access("9", 10), *trunks("1", "Po7"), bundles={"1": ("Po7", "active")})
    three = switch("C", access("9", 10), *trunks("1", "Po7"), bundles={"1": ("Po7", "active")})
    walked = walk(wire([one, two, three], [Link("A:1", "B:1"), Link("A:2", "C:1")]), "A:9", "untagged")

    assert walked.deliveries == ()
    assert not walked.complete


def test_a_bundle_without_cords_is_a_boundary_port() -> None:
    """With nothing plugged in, the bundle stands for its members."""
    one = switch("A", access("9", 10), *trunks("1", "Po1"), bundles={"1": ("Po1", "active")})
    network = wire([one], [])

    assert network.boundary == ("A:9", "A:Po1")
    assert [(d.port, d.frame) for d in walk(network, "A:9", "untagged").deliveries] == [("A:Po1", "10")]
    assert walk(network, "A:1", "10").deliveries[0].port == "A:9"
