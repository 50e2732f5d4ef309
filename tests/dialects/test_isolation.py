"""Protected and isolated ports: apart inside one switch, and heard over an uplink at the next, family by family."""

from __future__ import annotations

from typing import NamedTuple

import pytest

from dialects.boxes import device_of
from vlancheck.dot1q.rules import Rule
from vlancheck.walk.walk import walk
from vlancheck.wiring import Link, Network, wire


class Switch(NamedTuple):
    """A switch with three ports in VLAN 310, the first two isolated, and an uplink that carries it."""

    dialect: str  # by which it is read
    text: str  # its configuration, with NAME for its name
    ports: tuple[str, str, str]  # the three
    uplink: str  # the one that tags
    line: str  # the line that isolates


SWITCHES = (
    Switch(
        "cisco_ios",
        """\
hostname NAME
vtp mode transparent
vlan 310
interface range GigabitEthernet0/1 - 2
 switchport mode access
 switchport access vlan 310
 switchport protected
interface GigabitEthernet0/3
 switchport mode access
 switchport access vlan 310
interface GigabitEthernet0/24
 switchport mode trunk
 switchport trunk allowed vlan 310
end
""",
        ("GigabitEthernet0/1", "GigabitEthernet0/2", "GigabitEthernet0/3"),
        "GigabitEthernet0/24",
        "switchport protected",
    ),
    Switch(
        "hp_comware",
        """\
 sysname NAME
#
port-isolate group 3
#
vlan 310
#
interface GigabitEthernet1/0/1
 port access vlan 310
 port-isolate enable group 3
#
interface GigabitEthernet1/0/2
 port access vlan 310
 port-isolate enable group 3
#
interface GigabitEthernet1/0/3
 port access vlan 310
#
interface GigabitEthernet1/0/24
 port link-type trunk
 undo port trunk permit vlan 1
 port trunk permit vlan 310
#
return
""",
        ("GigabitEthernet1/0/1", "GigabitEthernet1/0/2", "GigabitEthernet1/0/3"),
        "GigabitEthernet1/0/24",
        "port-isolate enable group 3",
    ),
    Switch(
        "huawei_vrp",
        """\
#
sysname NAME
#
vlan batch 310
#
interface GigabitEthernet0/0/1
 port link-type access
 port default vlan 310
 port-isolate enable group 1
#
interface GigabitEthernet0/0/2
 port link-type access
 port default vlan 310
 port-isolate enable group 1
#
interface GigabitEthernet0/0/3
 port link-type access
 port default vlan 310
#
interface GigabitEthernet0/0/24
 port link-type trunk
 undo port trunk allow-pass vlan 1
 port trunk allow-pass vlan 310
#
return
""",
        ("GigabitEthernet0/0/1", "GigabitEthernet0/0/2", "GigabitEthernet0/0/3"),
        "GigabitEthernet0/0/24",
        "port-isolate enable group 1",
    ),
    Switch(
        "hp_procurve",
        """\
; J9729A Configuration Editor; Created on release #KB.15.15.0006
hostname "NAME"
protected-ports 1-2
vlan 1
   name "DEFAULT_VLAN"
   no untagged 1-3,24
   untagged 4-23
   exit
vlan 310
   name "rooms"
   untagged 1-3
   tagged 24
   exit
""",
        ("1", "2", "3"),
        "24",
        "protected-ports 1-2",
    ),
    Switch(
        "dell_os6",
        """\
!Current Configuration:
!System Description "Dell EMC Networking N1524, 6.6.3.10, Linux 4.14.138"
!
configure
vlan 310
exit
hostname "NAME"
interface Gi1/0/1
switchport access vlan 310
switchport protected 1
exit
interface Gi1/0/2
switchport access vlan 310
switchport protected 1
exit
interface Gi1/0/3
switchport access vlan 310
exit
interface Gi1/0/24
switchport mode general
switchport general allowed vlan add 310 tagged
switchport general allowed vlan remove 1
exit
exit
""",
        ("Gi1/0/1", "Gi1/0/2", "Gi1/0/3"),
        "Gi1/0/24",
        "switchport protected 1",
    ),
    Switch(
        "mikrotik_routeros",
        """\
# 2026-03-14 21:15:00 by RouterOS 7.12
/interface bridge
add name=br-lan vlan-filtering=yes
/interface bridge port
add bridge=br-lan horizon=1 interface=ether1 pvid=310
add bridge=br-lan horizon=1 interface=ether2 pvid=310
add bridge=br-lan interface=ether3 pvid=310
add bridge=br-lan interface=ether24
/interface bridge vlan
add bridge=br-lan tagged=ether24 untagged=ether1,ether2,ether3 vlan-ids=310
/system identity
set name=NAME
""",
        ("ether1", "ether2", "ether3"),
        "ether24",
        "horizon=1",
    ),
)
by_family = pytest.mark.parametrize("switch", SWITCHES, ids=lambda switch: switch.dialect)


def heard(network: Network, place: str) -> set[str]:
    """Return the ports where a frame without a tag that is sent into a port comes out; all of it is certain."""
    found = walk(network, place, "untagged")
    assert not found.unproven
    return {one.port for one in found.deliveries}


@by_family
def test_two_isolated_ports_of_one_switch(switch: Switch) -> None:
    """They do not hear each other; the others of their VLAN hear them, and they hear these."""
    box = device_of(switch.text.replace("NAME", "ACC-1"))
    first, second, free = (f"ACC-1:{port}" for port in switch.ports)
    uplink = f"ACC-1:{switch.uplink}"

    assert box.dialect == switch.dialect
    network = Network([box], [])
    assert heard(network, first) == {free, uplink}
    assert heard(network, free) == {first, second, uplink}


@by_family
def test_isolated_ports_of_two_switches_hear_each_other(switch: Switch) -> None:
    """What leaves by the uplink is handed to the isolated ports of the next switch like any frame."""
    boxes = [device_of(switch.text.replace("NAME", name)) for name in ("ACC-1", "ACC-2")]
    network = wire(boxes, [Link(f"ACC-1:{switch.uplink}", f"ACC-2:{switch.uplink}")])

    there = {f"ACC-2:{port}" for port in switch.ports}
    assert heard(network, f"ACC-1:{switch.ports[0]}") == {f"ACC-1:{switch.ports[2]}", *there}


@by_family
def test_the_walk_names_the_rule_and_its_line(switch: Switch) -> None:
    """A copy that isolation keeps back says so, and by which line."""
    network = Network([device_of(switch.text.replace("NAME", "ACC-1"))], [])
    first, second, _ = (f"ACC-1:{port}" for port in switch.ports)

    (lost,) = (loss for loss in walk(network, first, "untagged", watch=second).losses if loss.port == second)
    assert lost.rule is Rule.ISOLATED
    assert any(switch.line in origin.text for origin in lost.evidence)
