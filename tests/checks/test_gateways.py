"""Gateways that exist twice: in the notation, and in the configurations of a router and a switch that took its work."""

from __future__ import annotations

from pathlib import Path

import pytest

from checks.planting import planted, told
from vlancheck.checks import run
from vlancheck.findings.finding import Finding, Severity
from vlancheck.notation import parse
from vlancheck.notation.judged import case
from vlancheck.pipeline import open_site

CLEAN = """
bridge sw1 exists=10,20
port sw1:1 member=10,20
port sw1:2 pvid=10 member=10 untagged=10
port sw1:vlan10 kind=inside pvid=10 member=10 untagged=10
setting sw1 address:vlan10=192.0.2.1/24
device r1 kind=router
port r1:1
end r1:1.10 on=1 takes=10 address=yes
end r1:1.20 on=1 takes=20 address=yes
setting r1 address:1.10=192.0.2.2/24 address:1.20=198.51.100.1/24
link sw1:1 r1:1
"""
OURS = "setting sw1 address:vlan10=192.0.2.1/24"
THEIRS = "setting r1 address:1.10=192.0.2.2/24 address:1.20=198.51.100.1/24"
SAME = "setting r1 address:1.10=192.0.2.1/24 address:1.20=198.51.100.1/24"
TWICE = [("R107", "10", "r1:1 sw1:vlan10")]


def test_one_address_at_two_boxes_that_hear_each_other_is_found() -> None:
    assert told(CLEAN) == []
    assert told(planted(CLEAN, (THEIRS, SAME))) == TWICE


@pytest.mark.parametrize(
    "swap",
    [
        ("end r1:1.10 on=1 takes=10 address=yes", "end r1:1.10 on=1 takes=10 address=yes up=no"),
        ("end r1:1.10 on=1 takes=10 address=yes", "end r1:1.10 on=1 takes=10 address=yes up=?"),
        ("port r1:1", "port r1:1 up=no"),
        ("port sw1:1 member=10,20", "port sw1:1 member=20"),
        ("port sw1:1 member=10,20", "port sw1:1 member=?10,20"),
        ("device r1 kind=router", "device r1 kind=router owner=carrier"),
        (OURS, "setting sw1 address:vlan10=dhcp"),
        (OURS, 'setting sw1 address:vlan10="virtual 192.0.2.1/24"'),
        (OURS, "setting sw1 address:vlan10=?"),
        (OURS, f"{OURS} shared-address:vlan10=192.0.2.1\nsetting r1 shared-address:1.10=anycast-gateway"),
    ],
    ids=[
        "shut",
        "perhaps shut",
        "main shut",
        "not heard",
        "perhaps heard",
        "carrier",
        "dhcp",
        "virtual",
        "unknown",
        "anycast",
    ],
)
def test_nothing_is_told_where_it_is_shut_apart_shared_or_not_known(swap: tuple[str, str]) -> None:
    assert "R107" not in {code for code, *_ in told(planted(CLEAN, (THEIRS, SAME), swap))}


def test_masks_and_ways_of_writing_one_address_do_not_matter() -> None:
    swap = (OURS, 'setting sw1 address:vlan10="192.0.2.1 255.255.255.128"')
    assert told(planted(CLEAN, (THEIRS, SAME), swap)) == TWICE


BOTH_ROUTE = planted(
    CLEAN,
    (OURS, f"{OURS} address:vlan20=203.0.113.1/24"),
    ("port sw1:2 pvid=10 member=10 untagged=10", "port sw1:2 pvid=10 member=10 untagged=10\nserves sw1:2 PC"),
    (
        "port sw1:vlan10 kind=inside pvid=10 member=10 untagged=10",
        "port sw1:vlan10 kind=inside pvid=10 member=10 untagged=10\n"
        "port sw1:vlan20 kind=inside pvid=20 member=20 untagged=20",
    ),
)


def after(before: str, text: str) -> list[tuple[str, Severity]]:
    """Return code and severity of the findings about gateways in a text that follows another."""
    made = run(case(parse(text), parse(before)))
    return [(one.code, one.severity) for one in made if one.code == "R107"]


def test_second_gateway_of_a_network_that_is_new_is_a_note() -> None:
    before = planted(BOTH_ROUTE, (f"{OURS} address:vlan20=203.0.113.1/24", "setting sw1 address:vlan20=203.0.113.1/24"))
    assert after(before, BOTH_ROUTE) == [("R107", Severity.NOTE)]
    assert after(BOTH_ROUTE, BOTH_ROUTE) == [], "both were there before"
    assert "R107" not in {code for code, *_ in told(BOTH_ROUTE)}, "nobody knows what is new"


@pytest.mark.parametrize(
    "swap",
    [
        (THEIRS, f"{THEIRS} shared-address:1.10=192.0.2.254"),
        (THEIRS, "setting r1 address:1.10=192.0.2.2/24"),
        ("serves sw1:2 PC", "empty sw1:2"),
        ("port sw1:1 member=10,20", "port sw1:1 member=20"),
    ],
    ids=["one shares an address", "one does not route", "no desk", "not heard"],
)
def test_second_address_in_a_network_is_no_gateway(swap: tuple[str, str]) -> None:
    before = planted(BOTH_ROUTE, (f"{OURS} address:vlan20=203.0.113.1/24", "setting sw1 address:vlan20=203.0.113.1/24"))
    assert after(before, planted(BOTH_ROUTE, swap)) == []


def test_network_between_two_routers_has_two_addresses() -> None:
    small = BOTH_ROUTE.replace("192.0.2.1/24", "192.0.2.1/30").replace("192.0.2.2/24", "192.0.2.2/30")
    before = small.replace("address:vlan10=192.0.2.1/30 ", "")
    assert after(before, small) == []


ROUTER = """\
RTR-1#show running-config
version 15.1
hostname RTR-1
interface GigabitEthernet0/0
 no ip address
interface GigabitEthernet0/0.10
 encapsulation dot1Q 10
 ip address 192.0.2.1 255.255.255.128
interface GigabitEthernet0/0.20
 encapsulation dot1Q 20
 ip address 192.0.2.129 255.255.255.128
end
RTR-1#
"""
SWITCHES = {
    "cisco_ios": """\
SW-9#show running-config
version 15.2
hostname SW-9
vtp mode transparent
vlan 10,20
interface GigabitEthernet1/0/1
 switchport trunk allowed vlan 10,20
 switchport mode trunk
interface GigabitEthernet1/0/2
 switchport mode access
 switchport access vlan 10
interface Vlan10
 ip address 192.0.2.1 255.255.255.128
end
SW-9#
""",
    "arista_eos": """\
SW-9#show running-config
! device: SW-9 (DCS-7050TX-64, EOS-4.20.1F)
hostname SW-9
spanning-tree mode mstp
vlan 10,20
interface Ethernet1
   switchport mode trunk
   switchport trunk allowed vlan 10,20
interface Ethernet2
   switchport access vlan 10
interface Vlan10
   ip address 192.0.2.1/25
ip routing
end
SW-9#
""",
    "hp_procurve": """\
SW-9# show running-config

Running configuration:

; J9775A Configuration Editor; Created on release #YA.16.10.0009
hostname "SW-9"
vlan 1
   name "DEFAULT_VLAN"
   no untagged 1-2
   untagged 3-28
   no ip address
   exit
vlan 10
   name "desks"
   untagged 2
   tagged 1
   ip address 192.0.2.1 255.255.255.128
   exit
vlan 20
   name "phones"
   tagged 1
   no ip address
   exit
SW-9#
""",
    "hp_comware": """\
<SW-9>display current-configuration
#
 version 7.1.045, Release 2416
#
 sysname SW-9
#
vlan 1
#
vlan 10
#
vlan 20
#
interface Vlan-interface10
 ip address 192.0.2.1 255.255.255.128
#
interface GigabitEthernet1/0/1
 port link-mode bridge
 port link-type trunk
 undo port trunk permit vlan 1
 port trunk permit vlan 10 20
#
interface GigabitEthernet1/0/2
 port link-mode bridge
 port access vlan 10
#
return
<SW-9>
""",
    "juniper_junos": """\
crew@SW-9> show configuration | display set
set version 18.4R2.7
set system host-name SW-9
set interfaces ge-0/0/1 unit 0 family ethernet-switching interface-mode trunk
set interfaces ge-0/0/1 unit 0 family ethernet-switching vlan members desks
set interfaces ge-0/0/1 unit 0 family ethernet-switching vlan members phones
set interfaces ge-0/0/2 unit 0 family ethernet-switching interface-mode access
set interfaces ge-0/0/2 unit 0 family ethernet-switching vlan members desks
set interfaces irb unit 10 family inet address 192.0.2.1/25
set vlans desks vlan-id 10
set vlans desks l3-interface irb.10
set vlans phones vlan-id 20

crew@SW-9>
""",
}
UPLINK = {"cisco_ios": "Gi1/0/1", "arista_eos": "Ethernet1", "hp_procurve": "1", "hp_comware": "GE1/0/1"}


def audited(root: Path, family: str, switch: str) -> tuple[Finding, ...]:
    """Return the findings of a site of the router and one switch."""
    (root / "captures").mkdir()
    (root / "captures" / "RTR-1.txt").write_text(ROUTER, encoding="utf-8")
    (root / "captures" / "SW-9.txt").write_text(switch, encoding="utf-8")
    site = f'site: Weir Lane library\nlinks:\n  - ["SW-9:{UPLINK.get(family, "ge-0/0/1")}", "RTR-1:Gi0/0"]\n'
    (root / "site.yaml").write_text(site, encoding="utf-8")
    return open_site(root).audit("as-found").findings


@pytest.mark.parametrize("family", SWITCHES)
def test_address_of_the_router_at_the_new_switch_is_found_in_every_family(tmp_path: Path, family: str) -> None:
    switch = SWITCHES[family]
    (one,) = audited(tmp_path, family, switch)
    assert (one.code, one.severity, one.vids) == ("R107", Severity.ERROR, 1 << 10)
    assert {where.origin.file.rpartition("/")[2] for where in one.where} == {"RTR-1.txt", "SW-9.txt"}
    assert sum("192.0.2.1" in where.origin.text for where in one.where) == 2


@pytest.mark.parametrize("family", SWITCHES)
def test_address_of_its_own_is_none_of_the_routers(tmp_path: Path, family: str) -> None:
    assert audited(tmp_path, family, SWITCHES[family].replace("192.0.2.1", "192.0.2.7")) == ()


def verified(root: Path, later: str) -> list[Finding]:
    """Return the findings about gateways after the switch was replaced by one of another name."""
    for survey, switch in (("as-found", SWITCHES["cisco_ios"]), ("as-left", later)):
        (root / "captures" / survey).mkdir(parents=True)
        router = ROUTER.replace(" no ip address\n", f" no ip address\n description {survey}\n")
        (root / "captures" / survey / "RTR-1.txt").write_text(router, encoding="utf-8")
        text = (
            switch.replace("interface Vlan10\n ip address 192.0.2.1 255.255.255.128\n", "")
            if survey == "as-found"
            else switch
        )
        (root / "captures" / survey / "switch.txt").write_text(text, encoding="utf-8")
    (root / "site.yaml").write_text(
        """\
site: Weir Lane library
renamed: {as-left: {SW-9: SW-1}}
links: [["SW-9:Gi1/0/1", "RTR-1:Gi0/0"]]
vlans: [{vid: 10, name: desks, reaches: [{at: "SW-9:Gi1/0/2", frame: untagged}, "RTR-1:Gi0/0.10"]}]
""",
        encoding="utf-8",
    )
    return [one for one in open_site(root).verify("as-found", "as-left").findings if one.code == "R107"]


ADDRESSES = (
    "interface Vlan10\n ip address 192.0.2.2 255.255.255.128\ninterface Vlan30\n ip address 203.0.113.1 255.255.255.0\n"
)


@pytest.mark.parametrize(("line", "told"), [("", 1), (" standby 1 ip 192.0.2.5\n", 0), (" vrrp 1 ip 192.0.2.5\n", 0)])
def test_new_switch_that_routes_beside_the_router(tmp_path: Path, line: str, told: int) -> None:
    text = SWITCHES["cisco_ios"].replace("SW-9", "SW-1").replace("vlan 10,20\n", "vlan 10,20,30\n", 1)
    old = "interface Vlan10\n ip address 192.0.2.1 255.255.255.128\n"
    assert old in text
    made = verified(tmp_path, text.replace(old, ADDRESSES.replace(".128\n", f".128\n{line}", 1)))
    assert [one.severity for one in made] == [Severity.NOTE] * told
    for one in made:
        assert one.where[0].place == "SW-1:Vlan10", "what is new stands first"
        assert "both route 192.0.2.0/25" in one.headline
