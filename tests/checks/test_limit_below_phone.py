"""Limits of addresses at ports for a phone and a PC."""

from pathlib import Path

import pytest

from checks.edge_sites import audited, of, site
from checks.planting import found, planted, told

CLEAN = """
bridge sw1 exists=10,20
port sw1:1 pvid=10 member=10,20 untagged=10
port sw1:2 pvid=10 member=10,20 untagged=10
set sw1:1 voice=20 mac-limit=3 on-violation=shutdown
serves sw1:1 phone 211 + PC
empty sw1:2
"""
SET = "set sw1:1 voice=20 mac-limit=3 on-violation=shutdown"
SERVES = "serves sw1:1 phone 211 + PC"


@pytest.mark.parametrize(
    ("properties", "words", "severity"),
    [
        ("voice=20 mac-limit=3", "phone 211 + PC", ""),
        ("voice=20 mac-limit=2", "phone 211 + PC", "note"),
        ("voice=20 mac-limit=1", "phone 211 + PC", "warning"),
        ("voice=20 mac-limit=1", "phone 211", "warning"),
        ("voice=20 mac-limit=1", "", "warning"),
        ("voice=20 mac-limit=1", "printer", ""),
        ("voice=20", "phone 211 + PC", ""),
        ("voice=20 mac-limit=?", "phone 211 + PC", ""),
        ("voice=none mac-limit=1", "phone 211", ""),
        ("voice=dot1p mac-limit=2", "phone 211 + PC", ""),
        ("voice=dot1p mac-limit=1", "phone 211 + PC", "warning"),
        ("mac-limit=1", "phone 211 + PC", "warning"),
        ("mac-limit=1", "phone 211", ""),
        ("mac-limit=2", "phone 211 + PC", ""),
    ],
)
def test_limits(properties: str, words: str, severity: str) -> None:
    text = planted(CLEAN, (SET, f"set sw1:1 {properties}"), (SERVES, f"serves sw1:1 {words}" if words else ""))
    assert [(one.code, one.severity.value) for one in found(text)] == ([("P108", severity)] if severity else [])


def test_ports_alike_are_one_finding_and_empty_ones_are_left_out() -> None:
    more = "".join(
        f"port sw1:{n} pvid=10 member=10,20 untagged=10\nset sw1:{n} voice=20 mac-limit=1\n" for n in range(3, 9)
    )
    (one,) = found(f"{CLEAN}{more}empty sw1:8\nset sw1:2 voice=20 mac-limit=1")
    assert one.at == {f"sw1:{n}" for n in range(3, 8)}
    assert "sw1:3, sw1:4, sw1:5, sw1:6 and 1 more take 1 address, and" in one.headline


def test_a_port_that_is_shut_is_quiet() -> None:
    shut = ("port sw1:1 pvid=10 member=10,20 untagged=10", "port sw1:1 pvid=10 member=10,20 untagged=10 up=no")
    assert told(planted(CLEAN, shut, (SET, "set sw1:1 voice=20 mac-limit=1"))) == []


IOS = """\
version 15.2
hostname LOFT-3
vtp mode transparent
vlan 10,20
interface GigabitEthernet1/0/1
 switchport access vlan 10
 switchport mode access
 switchport voice vlan 20
 switchport port-security maximum 3
 switchport port-security
interface GigabitEthernet1/0/24
 switchport mode trunk
end
"""
EOS = """\
! device: LOFT-3 (DCS-7050TX-64, EOS-4.26.3M)
hostname LOFT-3
vlan 10,20
interface Ethernet1
   switchport access vlan 10
   switchport phone vlan 20
   switchport port-security
   switchport port-security mac-address maximum 3
end
"""
SHEET = "from,to,serves\nPANEL-A:01,LOFT-3:{},phone 211 + PC\n"
MAXIMUM = " switchport port-security maximum 3\n"


@pytest.mark.parametrize(
    ("edit", "severity", "line"),
    [
        ((MAXIMUM, ""), "warning", "switchport port-security"),  # one, where no line says how many
        ((MAXIMUM, " switchport port-security maximum 2\n"), "note", "switchport port-security maximum 2"),
        ((" switchport port-security\n", ""), "", ""),  # not turned on
    ],
)
def test_ios_lines(tmp_path: Path, edit: tuple[str, str], severity: str, line: str) -> None:
    cords = {"as-found": SHEET.format("Gi1/0/1")}
    assert of("P108", audited(site(tmp_path / "clean", {"as-found/LOFT-3.txt": IOS}, cords=cords))) == []
    text = IOS.replace(*edit)
    made = of("P108", audited(site(tmp_path / "set", {"as-found/LOFT-3.txt": text}, cords=cords)))
    assert [one.severity.value for one in made] == ([severity] if severity else [])
    for one in made:
        assert line in [where.origin.text.strip() for where in one.where]


def test_eos_lines(tmp_path: Path) -> None:
    cords = {"as-found": SHEET.format("Ethernet1")}
    assert of("P108", audited(site(tmp_path / "clean", {"as-found/LOFT-3.txt": EOS}, cords=cords))) == []
    text = EOS.replace("maximum 3", "maximum 1")
    (one,) = of("P108", audited(site(tmp_path / "set", {"as-found/LOFT-3.txt": text}, cords=cords)))
    assert one.severity.value == "warning"
