"""Tags that are needed behind a box that is not managed, and those that nobody needs there."""

from __future__ import annotations

from pathlib import Path

import pytest

from checks.planting import planted, told
from vlancheck.pipeline import open_site

CLEAN = """
bridge sw1 exists=10,20
port sw1:1 pvid=10 member=10 untagged=10
port sw1:2 member=10,20
port sw1:3 pvid=20 member=20 untagged=20
bridge sw2 exists=10,20
port sw2:1 pvid=10 member=10 untagged=10
port sw2:2 pvid=20 member=20 untagged=20
device hub kind=unmanaged
port hub:1
port hub:2
link sw1:1 hub:1
vlan 10 -> sw1:1 untagged, sw1:2 10
"""
PORT = "port sw1:1 pvid=10 member=10 untagged=10"
TRUNK = (PORT, "port sw1:1 pvid=10 member=10,20 untagged=10")
VLAN = "vlan 10 -> sw1:1 untagged, sw1:2 10"
FOUND = [("W110", "20", "hub:1 sw1:1")]


def test_tag_that_is_needed_at_the_port_is_found() -> None:
    assert told(CLEAN) == []
    assert told(planted(CLEAN, TRUNK)) == [], "nobody needs the tag there"
    assert told(planted(CLEAN, TRUNK, (VLAN, f"{VLAN}\nvlan 20 -> sw1:1 20, sw1:2 20"))) == FOUND
    phone = f'{VLAN}\nserves sw1:1 "phone + PC"'
    assert [one for one in told(planted(CLEAN, TRUNK, (VLAN, phone))) if one[0] == "W110"] == FOUND


def test_box_between_two_switches() -> None:
    between = (
        TRUNK,
        ("link sw1:1 hub:1", "link sw1:1 hub:1\nlink sw2:1 hub:2"),
        ("port sw2:1 pvid=10 member=10 untagged=10", "port sw2:1 pvid=10 member=10,20 untagged=10"),
        (VLAN, "serves sw1:3 printer\nserves sw2:2 PC"),
    )
    made = [one for one in told(planted(CLEAN, *between)) if one[0] == "W110"]
    assert made == [("W110", "20", "hub:1 sw1:1"), ("W110", "20", "hub:2 sw2:1")]
    alone = (*between[:-1], (VLAN, "serves sw1:3 printer"))
    assert "W110" not in {code for code, *_ in told(planted(CLEAN, *alone))}


@pytest.mark.parametrize(
    "swap",
    [
        ("device hub kind=unmanaged", "device hub kind=phone"),
        ("port sw1:1 pvid=10 member=10,20 untagged=10", "port sw1:1 pvid=10 member=10,?20 untagged=10"),
        ("port sw1:1 pvid=10 member=10,20 untagged=10", "port sw1:1 pvid=10 member=10,20 untagged=10 up=no"),
    ],
    ids=["a phone knows its tag", "perhaps tagged", "shut"],
)
def test_boxes_that_know_tags_and_ports_that_may_send_none(swap: tuple[str, str]) -> None:
    text = planted(CLEAN, TRUNK, (VLAN, f"{VLAN}\nvlan 20 -> sw1:1 20, sw1:2 20"))
    assert "W110" not in {code for code, *_ in told(planted(text, swap))}


SWITCHES = {
    "cisco_ios": """\
ACC-1#show running-config
version 15.2
hostname ACC-1
vtp mode transparent
vlan 10,20
interface GigabitEthernet1/0/1
 switchport mode access
 switchport access vlan 10
 switchport voice vlan 20
interface GigabitEthernet1/0/2
 switchport trunk allowed vlan 10,20
 switchport mode trunk
end
ACC-1#
""",
    "hp_procurve": """\
ACC-1# show running-config

Running configuration:

; J9775A Configuration Editor; Created on release #YA.16.10.0009
hostname "ACC-1"
vlan 1
   name "DEFAULT_VLAN"
   no untagged 1-2
   untagged 3-28
   no ip address
   exit
vlan 10
   name "desks"
   untagged 1
   tagged 2
   no ip address
   exit
vlan 20
   name "phones"
   tagged 1-2
   voice
   no ip address
   exit
ACC-1#
""",
}
SITE = """\
site: Ferry lane workshop
devices:
  DESK: {kind: unmanaged}
  PANEL-D: {kind: panel}
links:
  - ["ACC-1:1", "DESK:1"]
  - ["PANEL-D:1", "DESK:2"]
vlans:
  - {vid: 20, name: phones, reaches: [{at: "DESK:2", frame: 20}, {at: "ACC-1:2", frame: 20}]}
"""


@pytest.mark.parametrize("family", SWITCHES)
def test_phone_declared_behind_the_box(tmp_path: Path, family: str) -> None:
    (tmp_path / "captures").mkdir()
    (tmp_path / "captures" / "ACC-1.txt").write_text(SWITCHES[family], encoding="utf-8")
    (tmp_path / "site.yaml").write_text(SITE, encoding="utf-8")
    report = open_site(tmp_path).audit("as-found")
    assert [one.code for one in report.findings] == ["W110"]
    (tmp_path / "site.yaml").write_text(SITE.replace('"DESK:2", frame: 20', '"DESK:2", frame: untagged'))
    assert "W110" not in {one.code for one in open_site(tmp_path).audit("as-found").findings}
