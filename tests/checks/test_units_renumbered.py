"""Stacks of which units have other numbers than before."""

from pathlib import Path

import pytest

from checks.edge_sites import audited, of, site, verified
from checks.planting import planted
from vlancheck.checks import run
from vlancheck.findings.finding import Finding
from vlancheck.notation import parse
from vlancheck.notation.judged import case

CLEAN = """
bridge sw1 exists=10,20
port sw1:Gi1/0/1 pvid=10 member=10 untagged=10
port sw1:Gi2/0/1 pvid=20 member=20 untagged=20
port sw1:Gi3/0/1 pvid=20 member=20 untagged=20
setting sw1 serial:1=EXA0000A001 serial:2=EXA0000A002 serial:3=EXA0000A003
"""
SERIALS = "setting sw1 serial:1=EXA0000A001 serial:2=EXA0000A002 serial:3=EXA0000A003"


def compared(before: str, after: str) -> list[Finding]:
    """Return the findings about a survey after another."""
    return [one for one in run(case(parse(after), parse(before))) if one.code == "B104"]


@pytest.mark.parametrize(
    ("settings", "units"),
    [
        ("serial:1=EXA0000A001 serial:2=EXA0000A002 serial:3=EXA0000A003", ""),
        ("serial:1=EXA0000A002 serial:2=EXA0000A001 serial:3=EXA0000A003", "12"),
        ("serial:1=EXA0000A003 serial:2=EXA0000A001 serial:3=EXA0000A002", "123"),
        ("serial:1=EXA0000A001 serial:2=EXA0000A003", "23"),  # one is away, and another took its number
        ("serial:1=EXA0000A001 serial:2=EXA0000A009 serial:3=EXA0000A003", ""),  # replaced
        ("serial:1=exa0000a001 serial:2=EXA0000A002", ""),
        ("serial:1=? serial:2=EXA0000A002", ""),
        ("unit:1=EXA0000A002", ""),  # known by something else
        ("model=x", ""),
    ],
)
def test_units(settings: str, units: str) -> None:
    made = compared(CLEAN, planted(CLEAN, (SERIALS, f"setting sw1 {settings}")))
    assert [one.at for one in made] == ([{f"sw1:Gi{unit}/0/1" for unit in units}] if units else [])


def test_one_survey_alone_says_nothing() -> None:
    assert [one.code for one in run(case(parse(CLEAN)))] == []


def test_serial_and_address_are_one_finding() -> None:
    both = "setting sw1 serial:1={0} serial:2={1} unit:1=0200.5e00.010{0} unit:2=0200.5e00.010{1}"
    before = planted(CLEAN, (SERIALS, both.format("1", "2")))
    (one,) = compared(before, planted(CLEAN, (SERIALS, both.format("2", "1"))))
    assert "1 was unit 1 and is unit 2; 2 was unit 2 and is unit 1" in one.headline


IOS = """\
PIER-2#show running-config
version 15.2
hostname PIER-2
vtp mode transparent
vlan 10
interface GigabitEthernet1/0/1
 switchport access vlan 10
 switchport mode access
interface GigabitEthernet2/0/1
 switchport access vlan 10
 switchport mode access
end
PIER-2#show {}
PIER-2#
"""
IOS_SWITCH = """\
switch
Switch/Stack Mac Address : 0200.5e00.0100
                                           H/W   Current
Switch#  Role   Mac Address     Priority Version  State
----------------------------------------------------------
*1       Master 0200.5e00.0{}00     15     4       Ready
 2       Member 0200.5e00.0{}00     14     4       Ready
"""
IOS_INVENTORY = """\
inventory
NAME: "1", DESCR: "WS-C2960X-24PS-L"
PID: WS-C2960X-24PS-L  , VID: V02  , SN: EXA0000A00{}

NAME: "2", DESCR: "WS-C2960X-24PS-L"
PID: WS-C2960X-24PS-L  , VID: V02  , SN: EXA0000A00{}
"""
COMWARE = """\
<PIER-2>display current-configuration
#
 version 7.1.070, Release 3208P03
#
 sysname PIER-2
#
vlan 10
#
interface GigabitEthernet1/0/1
 port access vlan 10
#
interface GigabitEthernet2/0/1
 port access vlan 10
#
return
<PIER-2>display irf
MemberID    Role    Priority  CPU-Mac         Description
 *+1        Master  10        0200-5e00-0{}00  ---
   2        Standby 1         0200-5e00-0{}00  ---
<PIER-2>
"""


@pytest.mark.parametrize("text", [IOS.format(IOS_SWITCH), IOS.format(IOS_INVENTORY), COMWARE])
def test_texts_of_two_families(tmp_path: Path, text: str) -> None:
    captures = {"as-found/PIER-2.txt": text.format(1, 2), "as-left/PIER-2.txt": text.format(2, 1)}
    root = site(tmp_path, captures)
    assert of("B104", audited(root)) == []
    (one,) = of("B104", verified(root))
    assert one.at == {"PIER-2:GigabitEthernet1/0/1", "PIER-2:GigabitEthernet2/0/1"}
    again = site(tmp_path / "same", {"as-found/PIER-2.txt": text.format(1, 2), "as-left/PIER-2.txt": text.format(1, 2)})
    assert of("B104", verified(again)) == []
