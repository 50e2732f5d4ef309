"""Ports that are shut or show no link, on the way of what is declared and beside it."""

import pytest

from checks.planting import found, planted, told

CLEAN = """
bridge sw1 exists=10
port sw1:1 member=10 pvid=10 untagged=10
port sw1:2 member=10
bridge sw2 exists=10
port sw2:1 member=10
port sw2:2 member=10 pvid=10 untagged=10
link sw1:2 sw2:1
vlan 10 -> sw1:1 untagged, sw2:2 untagged
"""

TWO_WAYS = """
bridge sw1 exists=10 tree=per-vlan
port sw1:1 member=10 pvid=10 untagged=10
port sw1:2 member=10
port sw1:3 member=10
bridge sw2 exists=10 tree=per-vlan
port sw2:1 member=10
port sw2:2 member=10 pvid=10 untagged=10
port sw2:3 member=10
link sw1:2 sw2:1
link sw1:3 sw2:3
vlan 10 -> sw1:1 untagged, sw2:2 untagged
"""

ROUTER = """
bridge sw1 exists=10
port sw1:1 member=10 pvid=10 untagged=10
port sw1:2 member=10
device r1 kind=router
port r1:1
end r1:1.10 on=1 takes=10
link sw1:2 r1:1
vlan 10 -> sw1:1 untagged, r1:1 10
"""


@pytest.mark.parametrize(
    ("text", "old", "new", "at"),
    [
        (CLEAN, "port sw1:2 member=10", "port sw1:2 member=10 up=no", "sw1:2"),
        (CLEAN, "port sw2:1 member=10", "port sw2:1 member=10 up=no", "sw2:1"),
        (CLEAN, "port sw1:2 member=10", "port sw1:2 member=10 link=no", "sw1:2"),
        (CLEAN, "port sw1:1 member=10 pvid=10 untagged=10", "port sw1:1 member=10 pvid=10 untagged=10 up=no", "sw1:1"),
        (ROUTER, "port r1:1", "port r1:1 up=no", "r1:1"),
        (ROUTER, "port sw1:2 member=10", "port sw1:2 member=10 up=no", "sw1:2"),
    ],
    ids=["shut", "shut at the far end", "no link", "ending shut", "router shut", "toward a router"],
)
def test_loss_at_a_port_that_is_down(text: str, old: str, new: str, at: str) -> None:
    assert told(text) == []
    (one,) = found(planted(text, (old, new)))
    assert (one.code, one.severity.value, one.at) == ("P101", "error", {at})
    assert one.effects


def test_both_ends_down_are_one_finding_at_the_shut_one_first() -> None:
    text = planted(
        CLEAN,
        ("port sw1:2 member=10", "port sw1:2 member=10 link=no"),
        ("port sw2:1 member=10", "port sw2:1 member=10 up=no"),
    )
    (one,) = found(text)
    assert one.at == {"sw1:2", "sw2:1"}
    assert one.headline.startswith("sw2:1 is shut")
    assert [where.place for where in one.where if where.primary] == ["sw2:1"]


def test_second_way_that_is_shut_is_a_warning() -> None:
    assert told(TWO_WAYS) == []
    (one,) = found(planted(TWO_WAYS, ("port sw1:3 member=10", "port sw1:3 member=10 up=no")))
    assert (one.code, one.severity.value, one.at, one.effects) == ("P101", "warning", {"sw1:3"}, ())


@pytest.mark.parametrize(
    ("text", "old", "new"),
    [
        (TWO_WAYS, "port sw1:3 member=10", "port sw1:3 member=none up=no"),
        (TWO_WAYS, "port sw1:3 member=10", "port sw1:3 member=10 up=?"),
        (CLEAN, "bridge sw2 exists=10", "bridge sw2 exists=10\nport sw2:9 member=10 pvid=10 untagged=10 link=no"),
        (CLEAN, "bridge sw2 exists=10", "bridge sw2 exists=10\nport sw2:9 member=10 pvid=10 untagged=10 up=no"),
    ],
    ids=["list is empty", "nobody knows", "jack without link", "shut jack that nothing needs"],
)
def test_quiet(text: str, old: str, new: str) -> None:
    assert told(planted(text, (old, new))) == []


def test_ending_at_a_jack_without_link_is_not_told_as_a_port_that_is_down() -> None:
    old = "port sw2:2 member=10 pvid=10 untagged=10"
    assert "P101" not in {one.code for one in found(planted(CLEAN, (old, old + " link=no")))}


ROUTED = """
bridge s1 exists=10,20
port s1:1 member=10,20
port s1:2 pvid=10 member=10 untagged=10
device r1 kind=router
port r1:0
end r1:0.10 on=0 takes=10 address=yes
end r1:0.20 on=0 takes=20 address=yes
end r1:0.30 on=0 takes=30 up=no
link s1:1 r1:0
serves s1:2 PC
"""


def test_main_interface_that_is_shut_names_its_sub_interfaces() -> None:
    assert told(ROUTED) == []
    (one,) = found(planted(ROUTED, ("port r1:0", "port r1:0 up=no")))
    assert (one.code, one.at) == ("P101", frozenset({"r1:0"}))
    assert one.headline == "r1:0 is shut, and with it 0.10, 0.20 and the link to s1:1: VLAN 10 is needed there"
    (one,) = found(planted(ROUTED, ("port s1:1 member=10,20", "port s1:1 member=10,20 up=no")))
    assert one.headline == "s1:1 is shut, and with it 0.10, 0.20 and the link to r1:0: VLAN 10 is needed there"


def test_main_interface_of_which_nothing_is_needed_may_be_shut() -> None:
    spare = planted(ROUTED, ("port r1:0", "port r1:0 up=no"))
    assert told(planted(spare, ("serves s1:2 PC", ""))) == []
    assert (
        told(planted(spare, ("end r1:0.10 on=0 takes=10 address=yes", "end r1:0.10 on=0 takes=10 address=yes up=no")))
        == []
    )
