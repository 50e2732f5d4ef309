"""The outside in a VLAN of the inside: cords and VLANs at a router's two sides, in the notation and in typed lines."""

from __future__ import annotations

from pathlib import Path

import pytest

from checks.planting import found, planted, told
from vlancheck.findings.finding import Severity
from vlancheck.pipeline import open_site

CLEAN = """
bridge s1 exists=10,20,77,310
port s1:24 member=310
port s1:1 pvid=310 member=310 untagged=310
port s1:2 pvid=10 member=10 untagged=10
port s1:3 pvid=10 member=10 untagged=10
port s1:4 pvid=20 member=20 untagged=20
port s1:5 pvid=20 member=20 untagged=20
device r1 kind=router
end r1:wan address=yes
end r1:lan address=yes
link s1:1 r1:wan
link s1:2 r1:lan
handoff s1:24
service internet 310 at s1:24 -> r1:wan untagged
vlan 10 -> r1:lan untagged, s1:3 untagged
vlan 20 -> s1:4 untagged, s1:5 untagged
"""
DESK = "port s1:3 pvid=10 member=10 untagged=10"
WAN = "port s1:1 pvid=310 member=310 untagged=310"
LAN = "port s1:2 pvid=10 member=10 untagged=10"
IN_DESKS = (WAN, "port s1:1 pvid=10 member=10 untagged=10")
IN_PHONES = (WAN, "port s1:1 pvid=20 member=20 untagged=20")
IN_OUTSIDE = (LAN, "port s1:2 pvid=310 member=310 untagged=310")
TAGGED = "service internet 310 at s1:24 -> r1:wan untagged"
BARE = (TAGGED, "service internet untagged at s1:24 -> r1:wan untagged")
HANDOFF = "port s1:24 member=310"


def codes(text: str) -> list[str]:
    """Return the codes of all findings of a text."""
    return [code for code, *_ in told(text)]


def test_each_side_in_the_vlan_of_the_other_is_one_finding_with_all_its_effects() -> None:
    assert told(CLEAN) == []
    assert told(planted(CLEAN, IN_DESKS)) == [("W105", "10,310", "r1:lan r1:wan s1:1 s1:24")]
    assert told(planted(CLEAN, IN_PHONES)) == [("W105", "20,310", "r1:wan s1:1 s1:24 s1:4")]
    (one,) = found(planted(CLEAN, IN_OUTSIDE))
    assert (one.code, one.severity) == ("W105", Severity.ERROR)
    assert sorted(effect.partition(":")[0] for effect in one.effects) == ["VLAN 10", "VLAN 10", "VLAN 10", "internet"]


def test_untagged_handoff_among_desks_is_found() -> None:
    clean = planted(CLEAN, BARE, (HANDOFF, "port s1:24 pvid=310 member=310 untagged=310"))
    assert told(clean) == []
    wrong = planted(CLEAN, BARE, (HANDOFF, "port s1:24 pvid=10 member=10 untagged=10"))
    assert told(wrong) == [("W105", "10,310", "r1:lan r1:wan s1:24 s1:3")]


@pytest.mark.parametrize(
    "swaps",
    [
        (IN_DESKS, ("device r1 kind=router", "device r1 kind=access-point")),
        (IN_DESKS, (LAN, f"{LAN} up=?"), (DESK, f"{DESK} up=?")),
        ((WAN, "port s1:1 pvid=77 member=77 untagged=77"),),
        ((WAN, "port s1:1 pvid=? member=10,310 untagged=10,310"),),
        (IN_OUTSIDE, (WAN, "port s1:1 pvid=310 member=310 untagged=310 up=no")),
    ],
    ids=["no box between", "nothing heard for sure", "a VLAN of nobody", "VLAN unknown", "never meets its own side"],
)
def test_other_faults_are_left_to_other_checks(swaps: tuple[tuple[str, str], ...]) -> None:
    assert "W105" not in codes(planted(CLEAN, *swaps))


def test_service_that_is_the_network_of_the_desks_is_none() -> None:
    text = planted(CLEAN, IN_DESKS, (HANDOFF, "port s1:24 pvid=10 member=10 untagged=10"), BARE)
    assert "W105" not in codes(text.replace("vlan 10 -> ", "vlan 10 -> s1:24 untagged, r1:wan untagged, "))


def test_service_whose_tag_becomes_a_vlan_of_the_inside_on_its_way_is_none() -> None:
    text = planted(
        CLEAN,
        (HANDOFF, "port s1:24 member=20\nentry s1:24 match=310 pop=1 push=20\nexit s1:24 match=20 pop=1 push=310"),
        IN_PHONES,
    )
    assert "W105" not in codes(text)


SORTING = """\
SORT-1#show running-config
version 15.2
hostname SORT-1
vtp mode transparent
vlan 10,310
interface GigabitEthernet1/0/1
 switchport mode access
 switchport access vlan 310
interface GigabitEthernet1/0/2
 switchport mode access
 switchport access vlan 10
interface GigabitEthernet1/0/3
 switchport mode access
 switchport access vlan 10
interface GigabitEthernet1/0/24
 switchport trunk allowed vlan 310
 switchport mode trunk
end
SORT-1#
"""
PROCURVE = """\
SORT-1# show running-config

Running configuration:

; J9775A Configuration Editor; Created on release #YA.16.10.0009
hostname "SORT-1"
vlan 1
   name "DEFAULT_VLAN"
   no untagged 1-3,24
   untagged 4-23,25-28
   no ip address
   exit
vlan 10
   name "desks"
   untagged 2-3
   no ip address
   exit
vlan 310
   name "internet"
   untagged 1
   tagged 24
   no ip address
   exit
SORT-1#
"""
ROUTER = """\
RTR-1#show running-config
version 15.1
hostname RTR-1
interface GigabitEthernet0/0
 ip address 198.51.100.2 255.255.255.252
interface GigabitEthernet0/1
 ip address 192.0.2.1 255.255.255.0
end
RTR-1#
"""
SITE = """\
site: Mill Race surgery
handoffs:
  - {at: "SORT-1:24", carrier: metro, circuit: EX-0009, owner: service desk, phone: 555-0101}
links:
  - ["SORT-1:1", "RTR-1:Gi0/0"]
  - ["SORT-1:2", "RTR-1:Gi0/1"]
services:
  - {name: internet, tag: 310, enters: "SORT-1:24", leaves: [{at: "RTR-1:Gi0/0", frame: untagged}]}
vlans:
  - {vid: 10, name: desks, reaches: [{at: "RTR-1:Gi0/1", frame: untagged}, {at: "SORT-1:3", frame: untagged}]}
"""


@pytest.mark.parametrize(
    ("switch", "edit"),
    [
        (SORTING, ("", "")),
        (SORTING, ("access vlan 310\n", "access vlan 10\n")),
        (PROCURVE, ("", "")),
        (PROCURVE, ("   untagged 2-3\n", "   untagged 1-3\n")),
    ],
)
def test_cord_toward_the_carrier_in_a_port_of_the_desks(tmp_path: Path, switch: str, edit: tuple[str, str]) -> None:
    text = switch.replace(*edit, 1) if edit[0] else switch
    if edit[0].startswith("   untagged"):
        text = text.replace("   untagged 1\n   tagged 24", "   tagged 24")
    (tmp_path / "captures").mkdir()
    (tmp_path / "captures" / "SORT-1.txt").write_text(text, encoding="utf-8")
    (tmp_path / "captures" / "RTR-1.txt").write_text(ROUTER, encoding="utf-8")
    (tmp_path / "site.yaml").write_text(SITE, encoding="utf-8")
    made = open_site(tmp_path).audit("as-found").findings
    if not edit[0]:
        assert made == ()
        return
    (one,) = made
    assert (one.code, one.effects[0].partition(":")[0]) == ("W105", "internet")
    assert {"RTR-1:GigabitEthernet0/0", "RTR-1:GigabitEthernet0/1"} <= one.at


def test_everything_in_one_vlan_without_tags_is_told_at_the_inside() -> None:
    text = planted(CLEAN, IN_DESKS, BARE, (HANDOFF, "port s1:24 pvid=10 member=10 untagged=10"))
    (one,) = found(text)
    assert (one.code, one.vids) == ("W105", 1 << 10)
    assert one.headline == "r1:lan is at s1:2 in VLAN 10, that of internet, and reaches r1:wan"
