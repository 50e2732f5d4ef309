"""VLANs that a bridge does not have: in the middle of a way, and at its own ports."""

import pytest

from checks.planting import found, planted, told
from vlancheck.findings.finding import Severity

CLEAN = """
bridge sw1 exists=1,10,20
port sw1:1 member=10,20
port sw1:2 member=10,20
bridge sw2 exists=1,10,20
port sw2:1 member=1-4094 untagged=1 pvid=1
port sw2:2 member=1-4094 untagged=1 pvid=1
bridge sw3 exists=1,10,20
port sw3:1 member=10,20
port sw3:2 member=10 pvid=10 untagged=10
port sw3:3 member=20 pvid=20 untagged=20
link sw1:2 sw2:1
link sw2:2 sw3:1
handoff sw1:1
service records 10 at sw1:1 -> sw3:2 untagged
service voice 20 at sw1:1 -> sw3:3 untagged
"""
MIDDLE = "bridge sw2 exists=1,10,20"


def test_clean_site_has_no_finding() -> None:
    assert told(CLEAN) == []


@pytest.mark.parametrize(
    ("old", "new", "codes"),
    [
        (MIDDLE, "bridge sw2 exists=1,10", [("V101", "20", "sw2")]),
        (MIDDLE, "bridge sw2 exists=1", [("V101", "10,20", "sw2")]),
        (MIDDLE, "bridge sw2 exists=1,10,20 active=all,!20", [("V101", "20", "sw2")]),
        ("bridge sw1 exists=1,10,20", "bridge sw1 exists=1,10", [("V101", "20", "sw1")]),
        ("bridge sw3 exists=1,10,20", "bridge sw3 exists=1,10", [("V102", "20", "sw3")]),
    ],
    ids=["one", "all in one finding", "suspended", "where it enters", "where it ends"],
)
def test_planted_fault_is_found(old: str, new: str, codes: list[tuple[str, str, str]]) -> None:
    text = planted(CLEAN, (old, new))
    assert told(text) == codes
    (one,) = found(text)
    assert one.severity is Severity.ERROR
    assert any(effect.startswith("voice") for effect in one.effects)
    assert one.where[0].origin.line, "the line of the bridge is shown"


def test_suspended_is_said() -> None:
    (one,) = found(planted(CLEAN, (MIDDLE, "bridge sw2 exists=1,10,20 active=all,!20")))
    assert "has suspended VLAN 20" in one.headline


def test_vlan_that_nobody_needs_may_be_missing() -> None:
    assert told(planted(CLEAN, (MIDDLE, "bridge sw2 exists=10,20"))) == []


def test_table_that_was_not_read_is_no_certain_finding() -> None:
    assert "V101" not in [one.code for one in found(planted(CLEAN, (MIDDLE, "bridge sw2 exists=1,10,?20")))]


def test_device_at_the_end_of_a_way_need_not_have_what_passes_by() -> None:
    text = CLEAN + "bridge sw4 exists=1\nport sw4:1 member=1-4094 pvid=1 untagged=1\n"
    text += "port sw2:3 member=1-4094 pvid=1 untagged=1\nlink sw2:3 sw4:1\n"
    assert told(text) == []


EDGE = """
bridge sw1 exists=1,10
port sw1:1 member=10 pvid=10 untagged=10
port sw1:2 member=30 pvid=30 untagged=30
port sw1:3 member=30 pvid=30 untagged=30
port sw1:4 member=40 pvid=40 untagged=40
"""


def test_all_dead_ports_of_a_bridge_are_one_finding() -> None:
    (one,) = found(EDGE)
    assert (one.code, one.vids, one.at) == ("V102", 1 << 30 | 1 << 40, {"sw1"})
    assert all(port in one.headline for port in ("sw1:2", "sw1:3", "sw1:4"))
    assert one.severity is Severity.WARNING


@pytest.mark.parametrize(
    ("more", "codes"),
    [
        ("empty sw1:2 sw1:3 sw1:4", []),
        ("unseen sw1:2 sw1:3 sw1:4", []),
        ("empty sw1:3 sw1:4", [("V102", "30", "sw1")]),
        ("empty sw1:2 sw1:3 sw1:4\nserves sw1:4 a desk", [("V102", "40", "sw1")]),
    ],
    ids=["nothing there", "nobody knows", "one plugged in", "declared"],
)
def test_only_ports_in_use_count(more: str, codes: list[tuple[str, str, str]]) -> None:
    assert told(f"{EDGE}{more}\n") == codes


def test_native_vlan_of_a_link_may_be_missing() -> None:
    text = """
bridge sw1 exists=10
port sw1:1 member=10 pvid=10 untagged=10
port sw1:2 member=1,10 pvid=1 untagged=1
bridge sw2 exists=10
port sw2:1 member=10 pvid=10 untagged=10
port sw2:2 member=1,10 pvid=1 untagged=1
link sw1:2 sw2:2
vlan 10 -> sw1:1 untagged, sw2:1 untagged
"""
    assert told(text) == []
