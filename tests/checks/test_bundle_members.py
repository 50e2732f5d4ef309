"""Members of a bundle that are set otherwise than the bundle, and members that were shown not to work in it."""

from pathlib import Path

import pytest

from checks.edge_sites import audited, of, site
from checks.planting import found, planted, told

CLEAN = """
bridge sw1 exists=10,20 tree=per-vlan
setting sw1 bundle-members=compared
port sw1:po1 member=10,20
port sw1:1 bundle=po1 bundle-mode=active member=10,20
port sw1:2 bundle=po1 bundle-mode=active member=10,20
port sw1:9 member=10 pvid=10 untagged=10
bridge sw2 exists=10,20 tree=per-vlan
port sw2:po1 member=10,20
port sw2:1 bundle=po1 bundle-mode=active
port sw2:2 bundle=po1 bundle-mode=active
port sw2:9 member=10 pvid=10 untagged=10
link sw1:1 sw2:1
link sw1:2 sw2:2
vlan 10 -> sw1:9 untagged, sw2:9 untagged
"""
SECOND = "port sw1:2 bundle=po1 bundle-mode=active member=10,20"
OUT = [("B103", "none", "sw1:2 sw1:po1")]


@pytest.mark.parametrize(
    ("fields", "expected"),
    [
        ("member=10,20", []),
        ("member=10", OUT),
        ("member=10,20,30", OUT),
        ("member=10,20 pvid=20 untagged=20", OUT),
        ("member=10,?20", []),  # nobody knows
        ("member=10,20 doubt=yes", []),
        ("", []),  # what the bundle says holds
    ],
)
def test_vlans_of_a_member(fields: str, expected: list[tuple[str, str, str]]) -> None:
    assert told(planted(CLEAN, (SECOND, f"port sw1:2 bundle=po1 bundle-mode=active {fields}"))) == expected


@pytest.mark.parametrize(
    ("paces", "expected"),
    [
        (("", ""), []),
        (("speed=1000", ""), []),
        (("speed=100 duplex=full", "speed=100 duplex=full"), []),
        (("", "speed=100 duplex=full"), OUT),
        (("duplex=half", "duplex=half"), []),
    ],
)
def test_speed_and_duplex_of_members(paces: tuple[str, str], expected: list[tuple[str, str, str]]) -> None:
    text = "\n".join([CLEAN, *(f"set sw1:{n} {one}" for n, one in enumerate(paces, 1) if one)])
    made = [one for one in told(text) if one[0] != "L106"]  # what the far end makes of it is told by itself
    assert made == expected


def test_families_whose_lists_live_at_the_bundle_are_quiet() -> None:
    text = planted(CLEAN, ("setting sw1 bundle-members=compared", ""), (SECOND, SECOND.removesuffix(",20")))
    assert told(text) == []


def test_without_lines_of_the_bundle_members_are_held_against_each_other() -> None:
    lines = [line for line in CLEAN.strip().splitlines() if not line.startswith(("port sw1:po1", "link", "vlan"))]
    third = "port sw1:3 bundle=po1 bundle-mode=active member=10"
    text = "\n".join([*lines, "port sw1:po1", third])
    assert ("B103", "none", "sw1:3 sw1:po1") in told(text)


def test_what_was_shown_is_evidence_and_is_told_once() -> None:
    text = planted(CLEAN, (SECOND, SECOND.removesuffix(",20"))) + "\nset sw1:2 in-bundle=suspended"
    (one,) = found(text)
    assert (one.code, one.severity.value) == ("B103", "warning")
    assert "sw1:2 was shown suspended" in one.why


@pytest.mark.parametrize(
    ("state", "expected"),
    [("suspended", True), ("stand-alone", True), ("down", True), ("hot standby", False), ("waiting", False)],
)
def test_member_out_of_its_bundle_without_a_reason_read(state: str, expected: bool) -> None:
    made = told(f'{CLEAN}set sw1:2 in-bundle="{state}"')
    assert made == ([("B105", "none", "sw1:2")] if expected else [])


def test_member_that_is_down_without_a_cord_is_quiet() -> None:
    text = planted(CLEAN, ("link sw1:2 sw2:2", "")) + "\nset sw1:2 in-bundle=down"
    assert told(text) == []


def test_member_out_of_a_bundle_whose_modes_do_not_pair_is_told_as_that() -> None:
    text = planted(CLEAN, ("port sw2:2 bundle=po1 bundle-mode=active", "port sw2:2 bundle=po1 bundle-mode=on"))
    assert [one[0] for one in told(f"{text}\nset sw1:2 in-bundle=suspended")] == ["B101"]


IOS = """\
LOFT-3#show running-config
Building configuration...
!
version 15.2
hostname LOFT-3
!
vtp mode transparent
!
vlan 10,20,30
!
interface Port-channel1
 switchport trunk allowed vlan 10,20,30
 switchport mode trunk
!
interface GigabitEthernet1/0/1
 switchport trunk allowed vlan 10,20,30
 switchport mode trunk
 channel-group 1 mode active
!
interface GigabitEthernet1/0/2
 switchport trunk allowed vlan 10,20,30
 switchport mode trunk
 channel-group 1 mode active
!
end
"""
SUMMARY = """\
LOFT-3#show etherchannel summary
Flags:  D - down        P - bundled in port-channel
        I - stand-alone s - suspended

Number of channel-groups in use: 1
Number of aggregators:           1

Group  Port-channel  Protocol    Ports
------+-------------+-----------+-----------------------------------------------
1      Po1(SU)         LACP      Gi1/0/1(P)     Gi1/0/2(s)
LOFT-3#
"""
NXOS = """\
version 9.3(5)
hostname LOFT-3
vlan 1,10,20,30
interface port-channel1
  switchport mode trunk
  switchport trunk allowed vlan 10,20,30
interface Ethernet1/1
  switchport mode trunk
  switchport trunk allowed vlan 10,20,30
  channel-group 1 mode active
interface Ethernet1/2
  switchport mode trunk
  switchport trunk allowed vlan 10,20,30
  channel-group 1 mode active
"""
EOS = """\
! device: LOFT-3 (DCS-7050TX-64, EOS-4.26.3M)
hostname LOFT-3
vlan 10,20,30
interface Port-Channel1
   switchport trunk allowed vlan 10,20,30
   switchport mode trunk
interface Ethernet1
   channel-group 1 mode active
interface Ethernet2
   switchport trunk allowed vlan 10
   channel-group 1 mode active
"""


def test_ios_member_with_a_shorter_list(tmp_path: Path) -> None:
    assert audited(site(tmp_path / "clean", {"as-found/LOFT-3.txt": IOS})) == ()
    first, _, last = IOS.rpartition("vlan 10,20,30")
    (one,) = audited(site(tmp_path / "planted", {"as-found/LOFT-3.txt": f"{first}vlan 10,20{last}{SUMMARY}"}))
    assert one.code == "B103"
    assert "GigabitEthernet1/0/2 does not tag 30" in one.headline
    assert "shown suspended" in one.why
    lines = [where.origin.text.strip() for where in one.where]
    assert "switchport trunk allowed vlan 10,20" in lines
    assert "switchport trunk allowed vlan 10,20,30" in lines


def test_ios_member_that_was_shown_suspended(tmp_path: Path) -> None:
    (one,) = audited(site(tmp_path, {"as-found/LOFT-3.txt": IOS + SUMMARY}))
    assert (one.code, one.at) == ("B105", {"LOFT-3:GigabitEthernet1/0/2"})


def test_nxos_member_with_another_mode(tmp_path: Path) -> None:
    assert of("B103", audited(site(tmp_path / "clean", {"as-found/LOFT-3.txt": NXOS}))) == []
    first, _, last = NXOS.rpartition("  switchport mode trunk\n  switchport trunk allowed vlan 10,20,30\n")
    text = f"{first}  switchport access vlan 20\n{last}"
    (one,) = of("B103", audited(site(tmp_path / "planted", {"as-found/LOFT-3.txt": text})))
    assert "takes VLAN 20 untagged" in one.headline


def test_eos_members_take_all_from_their_bundle(tmp_path: Path) -> None:
    assert of("B103", audited(site(tmp_path, {"as-found/LOFT-3.txt": EOS}))) == []
