"""The situations that a verdict must get right, each a network of its own."""

import pytest

from vlancheck.checks import run
from vlancheck.findings.case import Case
from vlancheck.notation import parse
from vlancheck.notation.judged import case
from vlancheck.verdicts.verdict import Certainty, State, Verdict, Way


def judged(text: str) -> Case:
    """Return the network of a text with its verdicts."""
    return case(parse(text))


def verdict(text: str, name: str) -> Verdict:
    """Return the verdict on one order of a text."""
    return next(one for one in judged(text).verdicts if one.order.name == name)


def states(found: Verdict) -> list[State]:
    """Return the states of the endings."""
    return [ending.state for ending in found.endings]


# ---- a phone with a PC behind it ---------------------------------------------------------------------------------

PHONE = """
bridge ACC-1 exists=20,30,310
port ACC-1:7 pvid=20 member=20,30 untagged=20
port ACC-1:24 member=20,30
device PHONE-1 kind=phone
port PHONE-1:lan
port PHONE-1:pc
bridge-port PHONE-1:lan pvid=1 member=all untagged=all
bridge-port PHONE-1:pc pvid=1 member=all untagged=all
link ACC-1:7 PHONE-1:lan
"""


def test_a_jack_with_a_phone_is_judged_as_two_frames() -> None:
    found = verdict(PHONE + "vlan 20 -> ACC-1:7 untagged, ACC-1:24 20\nvlan 30 -> ACC-1:7 30, ACC-1:24 30", "VLAN 30")
    assert found.state is State.CARRIED
    found = verdict(PHONE + "vlan 20 -> ACC-1:7 untagged, ACC-1:24 20\nvlan 30 -> ACC-1:7 30, ACC-1:24 30", "VLAN 20")
    assert found.state is State.CARRIED


def test_beyond_the_phone_nothing_is_proven() -> None:
    found = verdict(PHONE + "vlan 20 -> PHONE-1:pc untagged, ACC-1:24 20", "VLAN 20")
    assert found.state is State.UNPROVEN
    reason = found.endings[0].reason
    assert reason is not None
    assert reason.settled_by


# ---- a router on a stick -----------------------------------------------------------------------------------------

ROUTER = """
bridge CORE-1 exists=310,320
port CORE-1:1 member=310,320
port CORE-1:24 member=310,320
device RTR-1 kind=router
port RTR-1:wan0
end RTR-1:wan0.310 on=wan0 takes=310,none
link CORE-1:24 RTR-1:wan0
handoff CORE-1:1
"""


def test_a_tag_with_a_sub_interface_is_carried_both_ways() -> None:
    found = verdict(ROUTER + "service office 310 at CORE-1:1 -> RTR-1:wan0 310", "office")
    assert found.state is State.CARRIED
    assert found.endings[0].inward is not None
    assert found.endings[0].inward.way is Way.PROVED


def test_a_tag_without_a_sub_interface_is_a_fault_only_if_declared() -> None:
    found = verdict(ROUTER + "service voice 320 at CORE-1:1 -> RTR-1:wan0 320", "voice")
    assert found.state is State.DROPPED
    assert found.endings[0].reason is not None
    assert "no interface" in found.endings[0].reason.words
    office = verdict(ROUTER + "service office 310 at CORE-1:1 -> RTR-1:wan0 310", "office")
    assert office.state is State.CARRIED, "tag 320, which nobody declared, is no fault of anybody's"


# ---- a tunnel that keeps inner tags --------------------------------------------------------------------------------

TUNNEL = """
bridge EDGE-1 exists=100
port EDGE-1:1 member=100 tpids=88a8 sends=88a8
port EDGE-1:2 pvid=100 member=100 untagged=100 tpids=none
handoff EDGE-1:1
service branch s100 at EDGE-1:1 -> EDGE-1:2 untagged
inner branch all
"""


def test_a_tunnel_carries_every_inner_tag_both_ways() -> None:
    found = verdict(TUNNEL, "branch")
    assert found.state is State.CARRIED
    assert found.endings[0].back is not None
    assert found.endings[0].back.way is Way.PROVED


def test_a_port_that_looks_at_inner_tags_is_no_tunnel() -> None:
    found = verdict(TUNNEL.replace("untagged=100 tpids=none", "untagged=100"), "branch")
    assert found.state in (State.DROPPED, State.MISMATCHED)


# ---- many access ports in one service -----------------------------------------------------------------------------

MANY = """
bridge SORT-1 exists=310
port SORT-1:24 member=310
port SORT-1:1 pvid=310 member=310 untagged=310
port SORT-1:2 pvid=310 member=310 untagged=310
port SORT-1:3 pvid=310 member=310 untagged=310
handoff SORT-1:24
service lab 310 at SORT-1:24 -> SORT-1:1 untagged, SORT-1:2 untagged, SORT-1:3 untagged
"""


def test_endings_are_a_row_each_and_may_hear_each_other() -> None:
    found = verdict(MANY, "lab")
    assert states(found) == [State.CARRIED] * 3
    assert not found.leaks


def test_endings_kept_apart_must_not_hear_each_other() -> None:
    found = verdict(MANY + "apart lab", "lab")
    assert found.state is State.LEAKED
    assert {leak.at for leak in found.leaks} == {"SORT-1:1", "SORT-1:2", "SORT-1:3"}
    apart = MANY.replace("untagged=310", "untagged=310 isolation=users") + "apart lab"
    assert verdict(apart, "lab").state is State.CARRIED


# ---- a switch's own VLAN interface ---------------------------------------------------------------------------------

OWN = """
bridge SORT-1 exists=20,310
port SORT-1:24 member=310
port SORT-1:1 pvid=310 member=310 untagged=310
port SORT-1:2 pvid=20 member=20 untagged=20
port SORT-1:3 pvid=20 member=20 untagged=20
port SORT-1:Vlan310 kind=inside pvid=310 member=310 untagged=310
port SORT-1:Vlan20 kind=inside pvid=20 member=20 untagged=20
handoff SORT-1:24
"""
ORDERED = "service lab 310 at SORT-1:24 -> SORT-1:1 untagged\nvlan 20 -> SORT-1:2 untagged, SORT-1:3 untagged\n"


def test_an_interface_with_an_address_in_a_carrier_vlan_is_a_leak() -> None:
    text = OWN + ORDERED + 'setting SORT-1 "address:Vlan310"=192.0.2.1 "address:Vlan20"=192.0.2.2'
    found = verdict(text, "lab")
    assert [(leak.at, leak.what, leak.certainty) for leak in found.leaks] == [
        ("SORT-1:Vlan310", "interface", Certainty.PROVED)
    ]
    inside = verdict(text, "VLAN 20")
    assert inside.state is State.CARRIED, "in an inside VLAN it is no leak"


def test_an_interface_without_an_address_is_nothing() -> None:
    assert verdict(OWN + ORDERED, "lab").state is State.CARRIED


def test_an_interface_that_is_declared_is_an_ending() -> None:
    text = OWN + "service lab 310 at SORT-1:24 -> SORT-1:1 untagged, SORT-1:Vlan310 untagged\n"
    found = verdict(text + 'setting SORT-1 "address:Vlan310"=192.0.2.1', "lab")
    assert states(found) == [State.CARRIED, State.CARRIED]
    assert not found.leaks


# ---- an unmanaged switch in the path -------------------------------------------------------------------------------

UNMANAGED = """
bridge ACC-1 exists=20,30
port ACC-1:5 pvid=20 member=20 untagged=20
port ACC-1:6 pvid=20 member=20 untagged=20
device DESKSW kind=unmanaged
port DESKSW:1
port DESKSW:2
bridge-port DESKSW:1 pvid=1 member=all untagged=all tpids=none
bridge-port DESKSW:2 pvid=1 member=all untagged=all tpids=none
link ACC-1:5 DESKSW:1
"""


def test_untagged_frames_are_carried_to_our_port_and_unproven_beyond() -> None:
    assert verdict(UNMANAGED + "vlan 20 -> ACC-1:5 untagged, ACC-1:6 untagged", "VLAN 20").state is State.CARRIED
    beyond = verdict(UNMANAGED + "vlan 20 -> DESKSW:2 untagged, ACC-1:6 untagged", "VLAN 20")
    assert beyond.state is State.UNPROVEN


def test_tagged_copies_toward_an_unmanaged_switch_are_a_leak_at_our_port() -> None:
    text = UNMANAGED.replace(
        "port ACC-1:5 pvid=20 member=20 untagged=20", "port ACC-1:5 pvid=20 member=20,30 untagged=20"
    )
    text += "port ACC-1:24 member=30\nport ACC-1:8 pvid=30 member=30 untagged=30\nhandoff ACC-1:24\n"
    found = verdict(text + "service lab 30 at ACC-1:24 -> ACC-1:8 untagged", "lab")
    assert [(leak.at, leak.frame, leak.certainty) for leak in found.leaks] == [("ACC-1:5", "30", Certainty.PROVED)]


# ---- a spare trunk that allows all ---------------------------------------------------------------------------------

SPARE = """
bridge SORT-1 exists=310
port SORT-1:24 member=310
port SORT-1:1 pvid=310 member=310 untagged=310
port SORT-1:9 pvid=1 member=1-4094 untagged=1
handoff SORT-1:24
service lab 310 at SORT-1:24 -> SORT-1:1 untagged
"""


@pytest.mark.parametrize(
    ("plugged", "state", "leaks", "notes"),
    [
        ("empty SORT-1:9", State.CARRIED, [], ["SORT-1:9"]),
        ("unseen SORT-1:9", State.UNPROVEN, ["SORT-1:9"], []),
        ("", State.LEAKED, ["SORT-1:9"], []),
    ],
)
def test_a_spare_trunk(plugged: str, state: State, leaks: list[str], notes: list[str]) -> None:
    found = verdict(SPARE + plugged, "lab")
    assert found.state is state
    assert [leak.at for leak in found.leaks] == leaks
    assert [note.at for note in found.notes] == notes


# ---- a ring of which one uplink lacks a VLAN -----------------------------------------------------------------------

RING = """
bridge CORE-1 exists=20 tree={tree}
bridge ACC-1 exists=20 tree={tree}
bridge ACC-2 exists=20 tree={tree}
port CORE-1:1 pvid=1 member=1,20 untagged=1
port CORE-1:2 pvid=1 member=1,20 untagged=1{blocked}
port ACC-1:1 pvid=1 member=1,20 untagged=1
port ACC-1:2 pvid=1 member=1 untagged=1
port ACC-2:1 pvid=1 member=1,20 untagged=1
port ACC-2:2 pvid=1 member=1 untagged=1
port ACC-1:9 pvid=20 member=20 untagged=20
port ACC-2:9 pvid=20 member=20 untagged=20
link CORE-1:1 ACC-1:1
link CORE-1:2 ACC-2:1
link ACC-1:2 ACC-2:2
vlan 20 -> ACC-1:9 untagged, ACC-2:9 untagged
"""


@pytest.mark.parametrize(
    ("tree", "state"),
    [("per-vlan", State.CARRIED), ("one-tree", State.UNPROVEN), ("mst", State.UNPROVEN), ("unknown", State.UNPROVEN)],
)
def test_a_ring_with_one_uplink_that_lacks_a_vlan(tree: str, state: State) -> None:
    found = verdict(RING.format(tree=tree, blocked=""), "VLAN 20")
    assert found.state is state
    if state is State.UNPROVEN:
        assert found.endings[0].reason is not None
        assert "may block" in found.endings[0].reason.words
        assert "spanning-tree state" in found.endings[0].reason.settled_by


def test_a_ring_captured_as_blocked_on_the_only_carrier() -> None:
    found = verdict(RING.format(tree="one-tree", blocked=" forwarding=none"), "VLAN 20")
    assert State.DROPPED in states(found)
    reasons = [ending.reason for ending in found.endings if ending.state is State.DROPPED]
    assert any(one is not None and "spanning tree does not forward" in one.words for one in reasons)


# ---- native VLANs that differ on a link ----------------------------------------------------------------------------

NATIVE = """
bridge CORE-1 exists=10,20,30 tree={one}
bridge ACC-1 exists=10,20,30 tree={other}
port CORE-1:1 pvid=10 member=10,20,30 untagged=10
port ACC-1:1 pvid=20 member=10,20,30 untagged=20
port CORE-1:8 pvid=10 member=10 untagged=10
port ACC-1:9 pvid=20 member=20 untagged=20
port CORE-1:7 pvid=10 member=10 untagged=10
link CORE-1:1 ACC-1:1
vlan 10 -> CORE-1:8 untagged, CORE-1:7 untagged
only 10
"""


@pytest.mark.parametrize(
    ("one", "other", "merged"),
    [
        ("per-vlan", "per-vlan", "blocked"),
        ("off", "off", "merged"),
        ("one-tree", "one-tree", "merged"),
        ("per-vlan", "off", "merged"),
        ("unknown", "per-vlan", "open"),
        ("unknown", "unknown", "open"),
    ],
)
def test_native_vlans_that_differ(one: str, other: str, merged: str) -> None:
    found = verdict(NATIVE.format(one=one, other=other), "VLAN 10")
    leaks = {leak.at: leak.certainty for leak in found.leaks}
    if merged == "merged":
        assert leaks == {"ACC-1:9": Certainty.PROVED}
    elif merged == "blocked":
        assert leaks == {}
        across = NATIVE.replace("CORE-1:7 untagged\nonly", "ACC-1:7 10\nonly") + "port ACC-1:7 member=10\n"
        assert State.DROPPED in states(verdict(across.format(one=one, other=other), "VLAN 10"))
    else:
        assert leaks == {"ACC-1:9": Certainty.POSSIBLE}
        assert found.state is State.UNPROVEN
        reason = found.leaks[0].reason
        assert reason is not None
        assert "merged or blocked" in reason.words


# ---- what is found of them -----------------------------------------------------------------------------------------


def test_a_service_that_is_neither_carried_nor_unproven_is_always_an_error() -> None:
    texts = [MANY + "apart lab", SPARE, NATIVE.format(one="off", other="off"), TUNNEL.replace(" tpids=none", "")]
    for text in texts:
        made = judged(text)
        assert any(one.state in (State.DROPPED, State.MISMATCHED, State.LEAKED) for one in made.verdicts), text
        assert any(finding.severity.value == "error" for finding in run(made)), text


def test_an_ending_in_another_vlan_makes_no_leak_of_its_neighbours() -> None:
    """One cause: the ending is dropped; the ports of the VLAN that it stands in are none of the service's."""
    text = """
bridge SORT-1 exists=310,20
port SORT-1:24 member=310
port SORT-1:1 pvid=20 member=20 untagged=20
port SORT-1:2 pvid=20 member=20 untagged=20
port SORT-1:3 pvid=20 member=20 untagged=20
handoff SORT-1:24
service lab 310 at SORT-1:24 -> SORT-1:1 untagged
"""
    made = judged(text)
    (lab,) = made.verdicts
    assert states(lab) == [State.DROPPED]
    assert not lab.leaks
    assert [finding.code for finding in run(made)] == ["S101"]
