"""Ports that tag many VLANs at jacks for PCs, printers and phones."""

from pathlib import Path

import pytest

from checks.edge_sites import audited, of, site
from checks.planting import found, planted, told

CLEAN = """
bridge sw1 exists=1,10,20,30,40
port sw1:1 pvid=10 member=10,20 untagged=10
port sw1:2 pvid=10 member=10 untagged=10
port sw1:3 pvid=10 member=10 untagged=10
port sw1:24 member=10,20,30,40
serves sw1:1 PC stores
vlan 10 -> sw1:2 untagged, sw1:3 untagged
"""
FIRST = "port sw1:1 pvid=10 member=10,20 untagged=10"
TRUNK = "port sw1:1 pvid=1 member=1,10,20,30,40 untagged=1"
SERVES = "serves sw1:1 PC stores"


@pytest.mark.parametrize(
    ("fields", "expected"),
    [
        ("pvid=10 member=10,20 untagged=10", []),
        ("pvid=10 member=10,20,30 untagged=10", []),
        ("pvid=10 member=10,20,30,40 untagged=10", [("P112", "note")]),
        ("pvid=1 member=all untagged=1", [("P112", "note")]),
        ("pvid=1 member=1,50,51,52 untagged=1", []),  # VLANs that are not there
        ("pvid=1 member=1,10,?20,30,40 untagged=1", [("P112", "note")]),
        ("pvid=1 member=1,10,?20,30 untagged=1", []),
        ("pvid=none member=10,20,30", [("P112", "warning")]),
    ],
)
def test_how_many_it_tags(fields: str, expected: list[tuple[str, str]]) -> None:
    made = found(planted(CLEAN, (FIRST, f"port sw1:1 {fields}")))
    assert [(one.code, one.severity.value) for one in made if one.code != "W104"] == expected


@pytest.mark.parametrize(
    ("words", "expected"),
    [
        ("PC", True),
        ("printer", True),
        ("phone 211 + PC", True),
        ("server", False),
        ("access point", False),
        ("x", False),
    ],
)
def test_what_hangs_there(words: str, expected: bool) -> None:
    made = told(planted(CLEAN, (FIRST, TRUNK), (SERVES, f"serves sw1:1 {words}")))
    assert ("P112" in [code for code, *_ in made]) == expected


def test_what_is_declared_there_hangs_on_it() -> None:
    order = ("vlan 10 -> sw1:2 untagged, sw1:3 untagged", "vlan 10 -> sw1:1 untagged, sw1:2 untagged, sw1:3 untagged")
    (one,) = found(planted(CLEAN, (FIRST, TRUNK), order))
    assert (one.code, one.severity.value, one.at) == ("P112", "error", {"sw1:1"})
    assert one.effects
    assert "is in VLAN 1, the trunk's own" in one.why
    right = "port sw1:1 pvid=10 member=1,10,20,30,40 untagged=10"
    assert [one.severity.value for one in found(planted(CLEAN, (FIRST, right), order))] == ["note"]


def test_several_of_a_box_are_one_note() -> None:
    more = "".join(f"port sw1:{n} pvid=1 member=all untagged=1\nserves sw1:{n} PC {n}\n" for n in range(11, 17))
    made = [one for one in found(CLEAN + more) if one.code == "P112"]
    assert [(len(one.at), one.severity.value) for one in made] == [(6, "note")]
    assert "and 2 more are trunks" in made[0].headline


IOS = """\
version 15.2
hostname LOFT-3
vtp mode transparent
vlan 10,20,30,40
interface GigabitEthernet1/0/1
 switchport access vlan 10
 switchport mode access
interface GigabitEthernet1/0/2
 switchport access vlan 10
 switchport mode access
end
"""
VRP = """\
!Software Version V200R010C00SPC600
#
sysname LOFT-3
#
vlan batch 10 20 30 40
#
interface GigabitEthernet0/0/1
 port link-type access
 port default vlan 10
#
interface GigabitEthernet0/0/2
 port link-type access
 port default vlan 10
#
return
"""


IOS_DESK = "1/0/1\n switchport access vlan 10\n switchport mode access\n"
VRP_DESK = "0/0/1\n port link-type access\n port default vlan 10\n"
VRP_TRUNK = "0/0/1\n port link-type trunk\n port trunk allow-pass vlan 10 20 30 40\n"


@pytest.mark.parametrize(
    ("text", "port", "edit"),
    [
        (IOS, "GigabitEthernet1/0/", (IOS_DESK, "1/0/1\n switchport mode trunk\n")),
        (VRP, "GigabitEthernet0/0/", (VRP_DESK, VRP_TRUNK)),
    ],
)
def test_jack_left_as_a_trunk(tmp_path: Path, text: str, port: str, edit: tuple[str, str]) -> None:
    stops = "".join(f'      - {{at: "LOFT-3:{port}{n}", frame: untagged}}\n' for n in (1, 2))
    declared = f"vlans:\n  - vid: 10\n    reaches:\n{stops}"
    rows = "".join(f"PANEL-A:0{n},LOFT-3:{port}{n},PC {n}\n" for n in (1, 2))
    cords = {"as-found": f"from,to,serves\n{rows}"}
    assert of("P112", audited(site(tmp_path / "clean", {"as-found/LOFT-3.txt": text}, declared, cords))) == []
    assert text.count(edit[0]) == 1
    made = site(tmp_path / "set", {"as-found/LOFT-3.txt": text.replace(*edit)}, declared, cords)
    (one,) = of("P112", audited(made))
    assert (one.severity.value, bool(one.effects)) == ("error", True)
