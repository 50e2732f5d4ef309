"""Ports that their own box shut: new ones and old ones, their cause and its rule, and what hangs on them."""

from pathlib import Path

import pytest

from checks.edge_sites import audited, of, site, verified
from checks.planting import found, planted, told
from vlancheck.checks import run
from vlancheck.findings.finding import Finding
from vlancheck.notation import parse
from vlancheck.notation.judged import case

CLEAN = """
bridge sw1 exists=10
port sw1:1 pvid=10 member=10 untagged=10
port sw1:2 pvid=10 member=10 untagged=10
port sw1:3 pvid=10 member=10 untagged=10
set sw1:1 bpdu-guard=yes mac-limit=1
serves sw1:1 PC stores
empty sw1:3
"""
SETTING = "set sw1:1 bpdu-guard=yes mac-limit=1"


def compared(before: str, after: str) -> list[Finding]:
    """Return the findings about a survey after another."""
    return [one for one in run(case(parse(after), parse(before))) if one.code == "P107"]


def shut(word: str) -> str:
    """Return the text with a port that the box shut."""
    return planted(CLEAN, (SETTING, f"{SETTING} shut-by={word}"))


def test_new_ones_are_warnings_and_old_ones_are_notes() -> None:
    assert told(CLEAN) == []
    (new,) = compared(CLEAN, shut("bpduguard"))
    assert (new.severity.value, "as it was not before" in new.headline) == ("warning", True)
    (old,) = compared(shut("bpduguard"), shut("bpduguard"))
    assert (old.severity.value, "as before" in old.headline) == ("note", True)
    assert compared(shut("bpduguard"), CLEAN) == []


def test_one_survey_alone_asks_whether_something_hangs_there() -> None:
    assert [one.severity.value for one in found(shut("bpduguard"))] == ["warning"]
    text = CLEAN + "set sw1:3 shut-by=loopback"
    assert [(one.code, one.severity.value) for one in found(text)] == [("P107", "note")]


def test_what_is_declared_there_is_an_error() -> None:
    down = "port sw1:1 pvid=10 member=10 untagged=10"
    text = planted(shut("bpduguard"), (down, f"{down} link=no")) + "\nvlan 10 -> sw1:1 untagged, sw1:2 untagged"
    (one,) = found(text)
    assert (one.code, one.severity.value, len(one.effects)) == ("P107", "error", 2)
    up = shut("bpduguard") + "\nvlan 10 -> sw1:1 untagged, sw1:2 untagged"
    assert [(one.code, one.severity.value) for one in found(up)] == [("P107", "error")]


@pytest.mark.parametrize(
    ("word", "says", "rule"),
    [
        ("bpduguard", "a spanning-tree frame", "bpdu-guard"),
        ("psecure-violation", "more or other addresses", "mac-limit"),
        ("security-violation", "more or other addresses", "mac-limit"),
        ("link-flap", "up and down", ""),
        ("linkFlapErrDisabled", "up and down", ""),
        ("udld", "one way", ""),
        ("gbic-invalid", "transceiver", ""),
        ("something-else", "", ""),
    ],
)
def test_the_cause_is_told_with_its_rule(word: str, says: str, rule: str) -> None:
    (one,) = found(shut(word))
    assert says in one.why
    assert "clear the cause first" in one.why
    assert f"`{word}`" in one.headline
    assert [where.label for where in one.where].count("the rule") == (1 if rule else 0)


def test_port_that_a_line_shuts_too_is_quiet() -> None:
    text = planted(shut("bpduguard"), ("port sw1:1 pvid=10 member=10 untagged=10", "port sw1:1 pvid=10 up=no"))
    assert [one.code for one in found(text)] == []


def test_uplink_that_a_box_shut_is_one_finding() -> None:
    text = """
bridge sw1 exists=10
port sw1:1 member=10 link=no
port sw1:2 pvid=10 member=10 untagged=10
set sw1:1 shut-by=udld
bridge sw2 exists=10
port sw2:1 member=10 link=no
port sw2:2 pvid=10 member=10 untagged=10
link sw1:1 sw2:1
vlan 10 -> sw1:2 untagged, sw2:2 untagged
"""
    (one,) = found(text)
    assert (one.code, one.severity.value, bool(one.effects)) == ("P107", "error", True)
    (other,) = found(planted(text, ("set sw1:1 shut-by=udld", "")))
    assert other.code == "P101"


IOS = """\
LOFT-3#show running-config
version 15.2
hostname LOFT-3
vtp mode transparent
vlan 10
interface GigabitEthernet1/0/1
 switchport access vlan 10
 switchport mode access
 spanning-tree bpduguard enable
interface GigabitEthernet1/0/2
 switchport access vlan 10
 switchport mode access
end
"""
IOS_SHOWN = """\
LOFT-3#show interfaces status err-disabled

Port      Name               Status       Reason               Err-disabled Vlans
Gi1/0/1                      err-disabled bpduguard
LOFT-3#
"""
IOS_STATUS = """\
LOFT-3#show interfaces status

Port      Name               Status       Vlan       Duplex  Speed Type
Gi1/0/1                      err-disabled 10           auto   auto 10/100/1000BaseTX
Gi1/0/2                      connected    10         a-full a-1000 10/100/1000BaseTX
LOFT-3#
"""
EOS = """\
LOFT-3#show running-config
! device: LOFT-3 (DCS-7050TX-64, EOS-4.26.3M)
hostname LOFT-3
vlan 10
interface Ethernet1
   switchport access vlan 10
   spanning-tree bpduguard enable
interface Ethernet2
   switchport access vlan 10
end
"""
EOS_SHOWN = """\
LOFT-3#show interfaces status errdisabled
Port         Name         Status       Reason
------------ ------------ ------------ ------------------
Et1                       errdisabled  bpduguard
LOFT-3#
"""
NXOS = """\
LOFT-3# show running-config
version 9.3(5)
hostname LOFT-3
vlan 1,10
interface Ethernet1/1
  switchport
  switchport access vlan 10
interface Ethernet1/2
  switchport
  switchport access vlan 10
"""
NXOS_SHOWN = """\
LOFT-3# show interface status err-disabled

--------------------------------------------------------------------------------
Port         Name               Status             Reason
--------------------------------------------------------------------------------
Eth1/1       --                 linkFlapErr        linkFlapErrDisabled
LOFT-3#
"""
CORDS = "from,to,serves\nPANEL-A:01,LOFT-3:1,PC stores\nPANEL-A:02,LOFT-3:2,PC goods in\n"


@pytest.mark.parametrize(
    ("text", "shown", "port", "said"),
    [
        (IOS, IOS_SHOWN, "GigabitEthernet1/0/1", "bpduguard"),
        (IOS, IOS_STATUS, "GigabitEthernet1/0/1", "err-disabled"),
        (IOS, IOS_STATUS + IOS_SHOWN, "GigabitEthernet1/0/1", "bpduguard"),
        (EOS, EOS_SHOWN, "Ethernet1", "bpduguard"),
        (NXOS, NXOS_SHOWN, "Ethernet1/1", "linkFlapErrDisabled"),
    ],
)
def test_captures_of_three_families(tmp_path: Path, text: str, shown: str, port: str, said: str) -> None:
    cords = CORDS.replace("LOFT-3:1", f"LOFT-3:{port}").replace("LOFT-3:2", f"LOFT-3:{port[:-1]}2")
    captures = {"as-found/LOFT-3.txt": text, "as-left/LOFT-3.txt": text + shown}
    root = site(tmp_path, captures, cords={"as-found": cords, "as-left": cords})
    assert of("P107", audited(root)) == []
    (one,) = of("P107", verified(root))
    assert (one.at, one.severity.value) == ({f"LOFT-3:{port}"}, "warning")
    assert f"`{said}`" in one.headline
    rules = [where.origin.text.strip() for where in one.where if where.label == "the rule"]
    assert rules == (["spanning-tree bpduguard enable"] if said == "bpduguard" else [])
