"""Untagged VLANs that differ across a link, and a trunk that meets an access port."""

import pytest

from checks.planting import found, planted, told
from vlancheck.findings.finding import Finding, Severity

CLEAN = """
bridge sw1 exists=10,20,99 tree=off
port sw1:1 member=10 pvid=10 untagged=10
port sw1:2 member=10,20,99 pvid=99 untagged=99
port sw1:3 member=20 pvid=20 untagged=20
bridge sw2 exists=10,20,99 tree=off
port sw2:1 member=10 pvid=10 untagged=10
port sw2:2 member=10,20,99 pvid=99 untagged=99
port sw2:3 member=20 pvid=20 untagged=20
link sw1:2 sw2:2
vlan 10 -> sw1:1 untagged, sw2:1 untagged
vlan 20 -> sw1:3 untagged, sw2:3 untagged
"""
ONE = "port sw1:2 member=10,20,99 pvid=99 untagged=99"
OTHER = "port sw2:2 member=10,20,99 pvid=99 untagged=99"


def only(text: str) -> Finding:
    """Return the only finding of a text."""
    (one,) = found(text)
    return one


def test_clean_site_has_no_finding() -> None:
    assert told(CLEAN) == []


def test_needed_vlan_that_changes_is_an_error() -> None:
    one = only(planted(CLEAN, (OTHER, "port sw2:2 member=10,20 pvid=10 untagged=10")))
    assert (one.code, one.at, one.severity) == ("L102", {"sw1:2", "sw2:2"}, Severity.ERROR)
    assert "sw1:2" in one.headline
    assert "sw2:2" in one.headline
    assert any(effect.startswith("VLAN 10") for effect in one.effects)


def test_unused_vlans_that_differ_are_a_note() -> None:
    text = planted(
        CLEAN.replace("exists=10,20,99", "exists=10,20,98,99"),
        (OTHER, "port sw2:2 member=10,20,98 pvid=98 untagged=98"),
    )
    assert told(text) == [("L102", "98-99", "sw1:2 sw2:2")]
    assert only(text).severity is Severity.NOTE


@pytest.mark.parametrize(
    ("one", "other", "says"),
    [
        ("off", "off", "get VLAN 98"),
        ("per-vlan", "per-vlan", "blocks VLAN 98 and VLAN 99"),
        ("one-tree", "one-tree", "get VLAN 98"),
        ("mst", "mst", "get VLAN 98"),
        ("per-vlan", "one-tree", "get VLAN 98"),
        ("off", "unknown", "get VLAN 98"),
        ("unknown", "unknown", "nobody knows"),
        ("per-vlan", "unknown", "nobody knows"),
        ("?", "mst", "nobody knows"),
    ],
)
def test_spanning_tree_decides_what_is_said(one: str, other: str, says: str) -> None:
    text = planted(
        CLEAN.replace("exists=10,20,99", "exists=10,20,98,99"),
        (OTHER, "port sw2:2 member=10,20,98 pvid=98 untagged=98"),
    )
    text = text.replace("99 tree=off", f"99 tree={one}", 1).replace("99 tree=off", f"99 tree={other}", 1)
    finding = only(text)
    assert finding.code == "L102"
    assert says in finding.why
    assert bool(finding.settled_by) is (says == "nobody knows")


def test_two_access_ports_are_merged_whatever_the_tree() -> None:
    text = """
bridge sw1 exists=10 tree=per-vlan
port sw1:1 member=10 pvid=10 untagged=10
port sw1:2 member=10 pvid=10 untagged=10
bridge sw2 exists=20 tree=per-vlan
port sw2:1 member=20 pvid=20 untagged=20
port sw2:2 member=20 pvid=20 untagged=20
link sw1:2 sw2:2
serves sw1:1 a desk
serves sw2:1 a desk
"""
    one = only(text)
    assert (one.code, one.severity) == ("L102", Severity.WARNING)
    assert "frames of VLAN 10 from sw1:2 get VLAN 20 at sw2:2" in one.why


def test_tagged_at_one_end_untagged_at_the_other() -> None:
    """The one end tags its own native VLAN and takes no untagged frame."""
    text = planted(
        CLEAN,
        (ONE, "port sw1:2 member=10,20 pvid=10 untagged=10"),
        (OTHER, "port sw2:2 member=10,20 pvid=none"),
    )
    one = only(text)
    assert (one.code, one.at) == ("L102", {"sw1:2", "sw2:2"})
    assert "takes no untagged frame" in one.headline


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("port sw1:2 member=10,20,99 pvid=99 untagged=99", "port sw2:2 member=10,20 pvid=none"),
        ("port sw1:2 member=10,20 pvid=none", "port sw2:2 member=10,20 pvid=none"),
        ("port sw1:2 member=10,20,99 pvid=99 untagged=99", "port sw2:2 member=10,20 pvid=? untagged=none"),
    ],
    ids=["nobody needs 99", "both tag all", "nobody knows"],
)
def test_harmless_difference_is_quiet(one: str, other: str) -> None:
    assert told(planted(CLEAN, (ONE, one), (OTHER, other))) == []


def test_trunk_meets_access() -> None:
    one = only(planted(CLEAN, (OTHER, "port sw2:2 member=99 pvid=99 untagged=99")))
    assert (one.code, one.at, one.severity) == ("L103", {"sw1:2", "sw2:2"}, Severity.ERROR)
    assert one.vids == 1 << 10 | 1 << 20 | 1 << 99
    assert "frames tagged 10,20 are lost at sw2:2" in one.why
    assert len(one.effects) == 4, "both VLANs at both endings"
    assert one.where[0].place == "sw2:2"
    assert one.where[0].primary


def test_trunk_meets_access_in_another_vlan_is_one_finding() -> None:
    one = only(planted(CLEAN, (OTHER, "port sw2:2 member=10 pvid=10 untagged=10")))
    assert one.code == "L103"
    assert "frames tagged 20 are lost at sw2:2" in one.why
    assert "frames tagged 10 get VLAN 10 at sw2:2" in one.why
    assert "frames of VLAN 10 from there get VLAN 99 at sw1:2" in one.why


def test_trunk_to_access_is_quiet_where_only_its_vlan_is_needed() -> None:
    text = """
bridge sw1 exists=10,20
port sw1:1 member=10 pvid=10 untagged=10
port sw1:2 member=10,20 pvid=10 untagged=10
port sw1:3 member=20 pvid=20 untagged=20
bridge sw2 exists=10
port sw2:1 member=10 pvid=10 untagged=10
port sw2:2 member=10 pvid=10 untagged=10
link sw1:2 sw2:2
serves sw1:3 a desk
vlan 10 -> sw1:1 untagged, sw2:1 untagged
vlan 20 -> sw1:3 untagged
"""
    assert told(text) == []
