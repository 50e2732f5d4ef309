"""Boxes that watch DHCP or ARP, and the trust of their ports toward the gateway."""

from pathlib import Path

import pytest

from checks.edge_sites import audited, of, site, verified
from checks.planting import found, planted, told
from vlancheck.checks import run
from vlancheck.notation import parse
from vlancheck.notation.judged import case

CLEAN = """
bridge ACC-1 exists=10,20 tree=per-vlan
setting ACC-1 dhcp-watched=yes dhcp-watched-vlans=10 model=x
port ACC-1:1 pvid=10 member=10 untagged=10
port ACC-1:2 pvid=10 member=10 untagged=10
port ACC-1:24 member=10,20
set ACC-1:24 dhcp-trust=yes arp-trust=yes
bridge MID-1 exists=10,20 tree=per-vlan
port MID-1:1 member=10,20
port MID-1:24 member=10,20
bridge CORE-1 exists=10,20 tree=per-vlan
port CORE-1:1 member=10,20
port CORE-1:Vlan10 kind=inside pvid=10 member=10 untagged=10
setting CORE-1 "address:Vlan10"=192.0.2.1
link ACC-1:24 MID-1:1
link MID-1:24 CORE-1:1
serves ACC-1:1 PC stores
empty ACC-1:2
"""
WATCH = "setting ACC-1 dhcp-watched=yes dhcp-watched-vlans=10 model=x"
TRUST = "set ACC-1:24 dhcp-trust=yes arp-trust=yes"


def codes(text: str) -> list[tuple[str, str, str]]:
    """Return the findings of this check."""
    return [one for one in told(text) if one[0] == "P111"]


def test_trust_toward_the_gateway_over_another_box() -> None:
    assert told(CLEAN) == []
    assert codes(planted(CLEAN, (TRUST, ""))) == [("P111", "10", "ACC-1:24")]
    assert codes(planted(CLEAN, (TRUST, "set ACC-1:24 dhcp-trust=no"))) == [("P111", "10", "ACC-1:24")]


@pytest.mark.parametrize(
    "watch",
    [
        "model=x",
        "dhcp-watched=yes",
        "dhcp-watched-vlans=10",
        "dhcp-watched=yes dhcp-watched-vlans=20",  # nobody needs it here
        "dhcp-watched=no dhcp-watched-vlans=10",
    ],
)
def test_what_is_not_watched_needs_no_trust(watch: str) -> None:
    assert codes(planted(CLEAN, (TRUST, ""), (WATCH, f"setting ACC-1 {watch}"))) == []


def test_a_trusted_port_elsewhere_may_have_the_server() -> None:
    for line, expected in (("", 1), ("set ACC-1:2 dhcp-trust=yes", 1)):
        assert len(codes(planted(CLEAN, (TRUST, line)))) == expected, "ACC-1:2 is empty"
    used = planted(CLEAN, (TRUST, "set ACC-1:2 dhcp-trust=yes"), ("empty ACC-1:2", "serves ACC-1:2 server"))
    assert codes(used) == []


def test_arp_asks_for_the_way_itself() -> None:
    watch = (WATCH, "setting ACC-1 arp-watched-vlans=10")
    assert codes(planted(CLEAN, watch)) == []
    assert codes(planted(CLEAN, watch, (TRUST, "set ACC-1:24 dhcp-trust=yes"))) == [("P111", "10", "ACC-1:24")]
    elsewhere = (TRUST, "set ACC-1:2 arp-trust=yes")
    used = planted(CLEAN, watch, elsewhere, ("empty ACC-1:2", "serves ACC-1:2 server"))
    assert codes(used) == [("P111", "10", "ACC-1:24")]


def test_second_way_that_is_not_trusted() -> None:
    second = "port ACC-1:23 member=10,20\nport CORE-1:2 member=10,20\nlink ACC-1:23 CORE-1:2\n"
    (one,) = [one for one in found(CLEAN + second) if one.code == "P111"]
    assert (one.at, one.severity.value) == ({"ACC-1:23"}, "warning")
    assert "as it does ACC-1:24" in one.headline
    assert "once the other way fails" in one.why
    away = second.replace("CORE-1:2 member=10,20", "CORE-1:2 member=20")
    assert codes(CLEAN + away) == [], "the VLAN does not pass there"


def test_bundle_is_trusted_by_its_own_line_or_its_members() -> None:
    bundle = "port ACC-1:po1 member=10,20\nport ACC-1:24 bundle=po1 bundle-mode=on"
    far = "port MID-1:po1 member=10,20\nport MID-1:1 bundle=po1 bundle-mode=on"
    text = planted(CLEAN, ("port ACC-1:24 member=10,20", bundle), ("port MID-1:1 member=10,20", far))
    assert codes(text) == []
    assert codes(planted(text, (TRUST, "set ACC-1:po1 dhcp-trust=yes"))) == []
    assert codes(planted(text, (TRUST, ""))) == [("P111", "10", "ACC-1:po1")]


def test_router_at_a_port_of_the_box() -> None:
    router = "device rtr kind=router\nport rtr:lan\nend rtr:lan.10 on=lan takes=10 address=yes\n"
    lines = [one for one in CLEAN.strip().splitlines() if not one.startswith(("link", "empty"))]
    text = "\n".join([*lines, "empty ACC-1:2", f"{router}link ACC-1:24 rtr:lan"])
    assert codes(text) == []
    assert codes(planted(text, (TRUST, ""))) == [("P111", "10", "ACC-1:24")]


def test_box_that_is_the_gateway_itself_is_quiet() -> None:
    own = "port ACC-1:Vlan10 kind=inside pvid=10 member=10 untagged=10\nsetting ACC-1 address:Vlan10=192.0.2.9\n"
    assert codes(planted(CLEAN, (TRUST, "")) + "\n" + own) == []


def test_without_a_known_gateway_only_a_box_without_any_trust_is_told() -> None:
    text = planted(CLEAN, ('setting CORE-1 "address:Vlan10"=192.0.2.1', ""))
    assert codes(text) == []
    (one,) = [one for one in found(planted(text, (TRUST, ""))) if one.code == "P111"]
    assert (one.at, bool(one.settled_by)) == ({"ACC-1"}, True)


def test_trust_that_was_there_before_makes_it_an_error_and_a_move_is_told_as_a_move() -> None:
    before, after = parse(CLEAN), planted(CLEAN, (TRUST, ""))
    assert [one.severity.value for one in run(case(parse(after), before)) if one.code == "P111"] == ["error"]
    moved = planted(
        CLEAN, ("link ACC-1:24 MID-1:1", "link ACC-1:23 MID-1:1"), (TRUST, f"{TRUST}\nport ACC-1:23 member=10,20")
    )
    then = planted(CLEAN, (TRUST, f"{TRUST}\nport ACC-1:23 member=10,20"))
    made = [one.code for one in run(case(parse(f"{moved}\nempty ACC-1:24"), parse(then)))]
    assert ("P105" in made, "P111" in made) == (True, False)


CORE = """\
version 15.2
hostname CORE-1
vtp mode transparent
vlan 10
interface GigabitEthernet1/0/1
 switchport mode trunk
interface Vlan10
 ip address 192.0.2.1 255.255.255.0
end
"""
IOS = """\
version 15.2
hostname ACC-1
vtp mode transparent
ip dhcp snooping vlan 10
ip dhcp snooping
vlan 10
interface GigabitEthernet1/0/1
 switchport access vlan 10
 switchport mode access
interface GigabitEthernet1/0/24
 switchport mode trunk
 ip dhcp snooping trust
end
"""
IOS_ARP = IOS.replace("ip dhcp snooping vlan 10\nip dhcp snooping\n", "ip arp inspection vlan 10\n").replace(
    " ip dhcp snooping trust", " ip arp inspection trust"
)
EOS_ARP = """\
! device: ACC-1 (DCS-7050TX-64, EOS-4.26.3M)
hostname ACC-1
ip arp inspection vlan 10
vlan 10
interface Ethernet1
   switchport access vlan 10
interface Ethernet24
   switchport mode trunk
   ip arp inspection trust
end
"""
PROCURVE = """\
; J9145A Configuration Editor; Created on release #W.15.14.0007
hostname "ACC-1"
dhcp-snooping
dhcp-snooping vlan 10
dhcp-snooping trust 24
vlan 1
   name "DEFAULT_VLAN"
   no untagged 1
   untagged 2-24
   exit
vlan 10
   name "desks"
   untagged 1
   tagged 24
   exit
"""
COMWARE = """\
#
 version 7.1.070, Release 3208P03
#
 sysname ACC-1
#
 dhcp snooping enable
#
vlan 1
#
vlan 10
#
interface GigabitEthernet1/0/1
 port access vlan 10
#
interface GigabitEthernet1/0/24
 port link-type trunk
 port trunk permit vlan 1 10
 dhcp snooping trust
#
return
"""


@pytest.mark.parametrize(
    ("text", "line", "ports"),
    [
        (IOS, " ip dhcp snooping trust\n", ("GigabitEthernet1/0/1", "GigabitEthernet1/0/24")),
        (IOS_ARP, " ip arp inspection trust\n", ("GigabitEthernet1/0/1", "GigabitEthernet1/0/24")),
        (EOS_ARP, "   ip arp inspection trust\n", ("Ethernet1", "Ethernet24")),
        (PROCURVE, "dhcp-snooping trust 24\n", ("1", "24")),
        (COMWARE, " dhcp snooping trust\n", ("GigabitEthernet1/0/1", "GigabitEthernet1/0/24")),
    ],
)
def test_texts_of_four_families(tmp_path: Path, text: str, line: str, ports: tuple[str, str]) -> None:
    assert text.count(line) == 1
    cords = f"from,to,serves\nPANEL-A:01,ACC-1:{ports[0]},PC stores\nACC-1:{ports[1]},CORE-1:Gi1/0/1,\n"
    captures = {"as-found/ACC-1.txt": text, "as-left/ACC-1.txt": text.replace(line, "")}
    captures |= {f"{survey}/CORE-1.txt": CORE for survey in ("as-found", "as-left")}
    root = site(tmp_path, captures, cords=dict.fromkeys(("as-found", "as-left"), cords))
    assert of("P111", audited(root)) == []
    (one,) = of("P111", verified(root))
    assert (one.at, one.severity.value) == ({f"ACC-1:{ports[1]}"}, "error")
