"""Phones whose port gives them no voice VLAN, one that is not there, or that are told of none."""

from pathlib import Path

import pytest

from checks.edge_sites import audited, of, site, verified
from checks.planting import found, planted, told
from vlancheck.checks import run
from vlancheck.findings.finding import Finding
from vlancheck.notation import parse
from vlancheck.notation.judged import case

CLEAN = """
bridge sw1 exists=10,20
port sw1:1 pvid=10 member=10,20 untagged=10
port sw1:2 pvid=10 member=10,20 untagged=10
port sw1:3 pvid=10 member=10,20 untagged=10
port sw1:9 pvid=10 member=10 untagged=10
setting sw1 model=x
serves sw1:1 phone 211
serves sw1:2 phone 212
serves sw1:3 phone 213 + PC
serves sw1:9 printer
"""
THIRD = "port sw1:3 pvid=10 member=10,20 untagged=10"
PLAIN = "port sw1:3 pvid=10 member=10 untagged=10"


def compared(before: str, after: str) -> list[Finding]:
    """Return the findings about a survey after another."""
    return [one for one in run(case(parse(after), parse(before))) if one.code == "P109"]


@pytest.mark.parametrize(
    ("fields", "expected"),
    [
        ("pvid=10 member=10,20 untagged=10", []),
        ("pvid=10 member=10 untagged=10", ["P109"]),
        ("pvid=20 member=20 untagged=20", ["P109"]),
        ("pvid=10 member=10,?20 untagged=10", []),
        ("pvid=10 member=10 untagged=10 doubt=yes", []),
    ],
)
def test_a_phone_that_is_not_as_most_of_its_box(fields: str, expected: list[str]) -> None:
    assert [code for code, *_ in told(planted(CLEAN, (THIRD, f"port sw1:3 {fields}")))] == expected


def test_what_is_no_phone_of_the_network_is_quiet() -> None:
    for words in ("PC", "analogue phone", "door phone", "fax"):
        text = planted(CLEAN, (THIRD, PLAIN), ("serves sw1:3 phone 213 + PC", f"serves sw1:3 {words}"))
        assert "P109" not in [code for code, *_ in told(text)], words


def test_a_site_whose_phones_are_untagged_is_quiet_before_and_after() -> None:
    lines = [line.replace("member=10,20", "member=10") for line in CLEAN.strip().splitlines()]
    text = "\n".join(lines)
    assert told(text) == []
    assert compared(text, text) == []
    one = planted(text, ("port sw1:1 pvid=10 member=10 untagged=10", "port sw1:1 pvid=10 member=10,20 untagged=10"))
    assert told(one) == [], "one with a voice VLAN makes no rule"


def test_a_phone_that_had_a_voice_vlan_before() -> None:
    (one,) = compared(CLEAN, planted(CLEAN, (THIRD, PLAIN)))
    assert (one.at, "tagged 20 for it before" in one.headline) == ({"sw1:3"}, True)
    assert one.severity.value == "error", "what it needed is lost"
    old = planted(CLEAN, (THIRD, PLAIN))
    assert compared(old, old) == []


def test_a_phone_that_is_moved_to_a_port_without() -> None:
    text = planted(CLEAN, ("serves sw1:3 phone 213 + PC", "serves sw1:9 phone 213 + PC"), ("serves sw1:9 printer", ""))
    (one,) = compared(CLEAN, text)
    assert (one.at, "sw1:3 tagged 20" in one.headline) == ({"sw1:9"}, True)


def test_ports_that_are_set_to_voice_otherwise_are_told_of_the_move() -> None:
    before = planted(CLEAN, ("setting sw1 model=x", "set sw1:3 voice=20"))
    after = planted(
        before, ("serves sw1:3 phone 213 + PC", "serves sw1:9 phone 213 + PC"), ("serves sw1:9 printer", "")
    )
    codes = [one.code for one in run(case(parse(after), parse(before)))]
    assert ("P106" in codes, "P109" in codes) == (True, False)


def test_a_voice_vlan_that_does_not_exist() -> None:
    text = "bridge sw1 exists=10\nport sw1:1 pvid=10 member=10,20 untagged=10\nserves sw1:1 phone 211"
    assert told(text) == [("P109", "20", "sw1:1")]
    assert "P109" not in [code for code, *_ in told(text.replace("exists=10", "exists=10,?20"))]
    two = f"{text}\nport sw1:2 pvid=10 member=10,20 untagged=10\nserves sw1:2 phone 212"
    assert [code for code, *_ in told(two)] == ["V101"], "one cause is told once"


@pytest.mark.parametrize(
    ("settings", "expected"),
    [
        ("model=x", False),
        ("cdp=no", True),
        ("cdp=no lldp=yes", False),
        ("cdp=no lldp=no", True),
        ("lldp=no", True),
        ("lldp=yes", False),
    ],
)
def test_boxes_that_tell_phones_nothing(settings: str, expected: bool) -> None:
    text = planted(CLEAN, ("setting sw1 model=x", f"setting sw1 {settings}"))
    made = found(text)
    assert [(one.code, one.severity.value) for one in made] == ([("P109", "note")] if expected else [])
    assert compared(text, text) == []
    assert [one.severity.value for one in compared(CLEAN, text)] == (["warning"] if expected else [])


IOS = """\
version 15.2
hostname LOFT-3
no cdp run
lldp run
vtp mode transparent
vlan 10,20
interface GigabitEthernet1/0/1
 switchport access vlan 10
 switchport mode access
 switchport voice vlan 20
interface GigabitEthernet1/0/2
 switchport access vlan 10
 switchport mode access
 switchport voice vlan 20
interface GigabitEthernet1/0/24
 switchport mode trunk
end
"""
PROCURVE = """\
; J9145A Configuration Editor; Created on release #W.15.14.0007
hostname "LOFT-3"
vlan 1
   name "DEFAULT_VLAN"
   no untagged 1-2
   untagged 3-24
   exit
vlan 10
   name "desks"
   untagged 1-2
   exit
vlan 20
   name "voice"
   tagged 1-2,24
   voice
   exit
"""
SHEET = "from,to,serves\nPANEL-A:01,LOFT-3:{},phone 211\nPANEL-A:02,LOFT-3:{},phone 212 + PC\n"
IOS_PORTS, PROCURVE_PORTS = ("Gi1/0/1", "Gi1/0/2"), ("1", "2")
IOS_LOST = (" switchport voice vlan 20\ninterface GigabitEthernet1/0/24", "interface GigabitEthernet1/0/24")


@pytest.mark.parametrize(
    ("text", "ports", "edit", "says"),
    [
        (IOS, IOS_PORTS, IOS_LOST, "tags no VLAN; LOFT-3:GigabitEthernet1/0/2 tagged 20 for it before"),
        (IOS, IOS_PORTS, ("lldp run\n", ""), "tells no phone which VLAN is for voice"),
        (PROCURVE, PROCURVE_PORTS, ("   tagged 1-2,24\n", "   tagged 1,24\n"), "LOFT-3:2 tagged 20 for it before"),
        (PROCURVE, PROCURVE_PORTS, ("vlan 1\n", "no lldp run\nvlan 1\n"), "tells no phone"),
    ],
)
def test_texts_of_two_families(
    tmp_path: Path, text: str, ports: tuple[str, str], edit: tuple[str, str], says: str
) -> None:
    assert text.count(edit[0]) == 1
    cords = dict.fromkeys(("as-found", "as-left"), SHEET.format(*ports))
    captures = {"as-found/LOFT-3.txt": text, "as-left/LOFT-3.txt": text.replace(*edit)}
    root = site(tmp_path, captures, cords=cords)
    assert of("P109", audited(root)) == []
    (one,) = of("P109", verified(root))
    assert says in one.headline
