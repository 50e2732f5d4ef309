"""ProCurve and AOS-S: fields and walks as HP's guides describe them, and what is left in doubt.

ATG is the Advanced Traffic Management Guide K/KA/KB.15.15 of HP
(https://www.manualshelf.com/manual/hp/hp-5412r-zl2-switch/advanced-traffic-management-guide-kkakb1515/page-49.html).
"""

from __future__ import annotations

import pytest

from dialects.boxes import came, device_of, device_of_fixture, fields
from vlancheck import vids
from vlancheck.dot1q.model import PortKind
from vlancheck.dot1q.properties import Property

LINK = """\
hostname "{name}"
vlan 1
   no untagged 1-3
   untagged 4
   exit
vlan 10
   untagged 1
   tagged 3
   exit
vlan 20
   untagged 2
   tagged 3
   exit
"""


# ---- which frames a port takes -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("port", "frame", "out"),
    [
        ("3", "10", {("1", "untagged")}),
        ("3", "20", {("2", "untagged")}),
        ("3", "untagged", set()),  # tagged in every VLAN it is in
        ("3", "1", set()),  # not a member
        ("3", "99", set()),  # no such VLAN
        ("1", "untagged", {("3", "10")}),
        ("1", "10", set()),  # untagged member of the VLAN of this very tag
        ("1", "20", set()),  # not a member
    ],
)
def test_atg_p49_inbound_tagged_packets_and_untagged_packet_forwarding(
    port: str, frame: str, out: set[tuple[str, str]]
) -> None:
    """ATG p.49: a tagged frame needs a tagged member, even in its own VLAN; an untagged one an untagged member."""
    assert came(device_of(LINK.format(name="box")), port, frame) == out


def test_a_port_that_lost_the_default_vlan_is_not_in_it() -> None:
    """ATG p.49: ports that are not specifically removed from the default VLAN remain in it."""
    box = device_of_fixture("hp_procurve", "cellar-sw")

    assert fields(box, "24") == (None, "10,20,30", "10,20,30", "none")
    assert fields(box, "20") == (1, "30", "1,30", "1")
    assert fields(device_of_fixture("hp_procurve", "old-sw"), "19") == (1, "none", "1", "1")


def test_a_later_stanza_of_the_default_vlan_takes_only_from_it() -> None:
    """Common practice, no source: `no untagged` under one VLAN says nothing of another."""
    box = device_of("vlan 10\n   untagged 1\n   exit\nvlan 1\n   no untagged 1\n   untagged 2\n   exit\n")

    assert fields(box, "1") == (10, "none", "10", "10")


def test_a_port_is_in_a_vlan_either_tagged_or_untagged() -> None:
    """From memory: of `tagged`, `untagged`, `forbid` and `auto` the last holds for a port and a VLAN."""
    box = device_of_fixture("hp_procurve", "typed")

    assert fields(box, "2") == (None, "10", "10", "none")
    assert fields(box, "3") == (20, "none", "20", "20")
    assert fields(box, "5") == (10, "20-21", "10,20-21", "10")
    assert fields(box, "6") == (1, "10", "1,10", "1")
    assert fields(box, "1") == (1, "none", "1", "1")


def test_voice_and_names_change_no_membership() -> None:
    """Common practice, no source: `voice` marks a VLAN; a name that speaks of VLANs is a name."""
    box = device_of_fixture("hp_procurve", "cellar-sw")

    assert fields(box, "1") == (10, "20", "10,20", "10")
    assert box.ports["9"].description == "spare, vlan 10"
    assert not box.unread


# ---- trunks, which are bundles -----------------------------------------------------------------------------------


def test_a_trunk_is_one_port_of_its_vlans() -> None:
    """Management and Configuration Guide K/KA/KB.15.15, p.148: VLANs are configured at the trunk, not its ports."""
    box = device_of_fixture("hp_procurve", "cellar-sw")

    assert (box.ports["21"].bundle, box.ports["21"].bundle_mode) == ("Trk1", "active")
    assert (box.ports["A2"].bundle, box.ports["A2"].bundle_mode) == ("Trk2", "on")
    assert not {"23", "A2"} & set(box.bridge_ports)
    assert box.bridge_ports["21"].doubt
    assert fields(box, "Trk1") == (None, "10,20,30", "10,20,30", "none")


@pytest.mark.parametrize("spelt", ["Trk3", "trk3", "TRK3"])
def test_a_trunk_has_one_name(spelt: str) -> None:
    """From memory: the trunk is `trk3` where it is made, `Trk3` where a VLAN lists it."""
    box = device_of(f"trunk 5-6 trk3 trunk\nvlan 1\n   untagged 1-4,{spelt}\n   exit\n")

    assert fields(box, "Trk3") == (1, "none", "1", "1")
    assert set(box.ports) == {"1", "2", "3", "4", "5", "6", "Trk3"}


# ---- the bridge --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("lines", "tree"),
    [
        ("", "off"),
        ("spanning-tree Trk1 priority 4\n", "off"),
        ("spanning-tree\nspanning-tree Trk1 priority 4\n", "one-tree"),
        ("spanning-tree\nspanning-tree instance 1 vlan 10 20\n", "mst"),
        ("spanning-tree\nspanning-tree mode rapid-pvst\n", "per-vlan"),
        ("spanning-tree\nno spanning-tree\n", "off"),
    ],
)
def test_spanning_tree_is_off_until_a_line_turns_it_on(lines: str, tree: str) -> None:
    """ATG p.121: off in the factory default; ProCurve 6400cl guide p.6-28: parameters alone do not enable it."""
    (bridge,) = device_of(LINK.format(name="box") + lines).bridges.values()

    assert bridge.spanning_tree.value == tree


def test_gvrp_leaves_open_what_a_neighbour_may_advertise() -> None:
    """ATG p.76: with GVRP every port may join VLANs, unless its unknown-vlans is set to disable."""
    box = device_of_fixture("hp_procurve", "stack")
    (bridge,) = box.bridges.values()

    assert fields(box, "1/5") == (10, "20", "10,20", "10")
    assert box.bridge_ports["1/1"].member.sure == vids.of([10, 20])
    assert box.bridge_ports["1/1"].member.possible & vids.of([77])
    assert bridge.exists.sure == bridge.exists.possible == vids.of([1, 10, 20, 77])  # the table of VLANs was captured


def test_a_vlan_with_an_address_is_a_port_inside() -> None:
    """Common practice, no source: the switch itself is in the VLANs in which it has an address."""
    box = device_of_fixture("hp_procurve", "cellar-sw")

    assert {name for name, port in box.ports.items() if port.kind is PortKind.INSIDE} == {"vlan10", "vlan30"}
    assert fields(box, "vlan30") == (30, "none", "30", "30")
    assert box.settings["management-vlan"].value == "30"


# ---- what is not read is in doubt, and never passed over ----------------------------------------------------------


@pytest.mark.parametrize(
    ("line", "ports"),
    [
        ("qinq mixedvlan tag-type 0x88a8", {"1", "2", "3", "4"}),
        ("interface 2\n   qinq port-type customer-network\n   exit", {"2"}),
        ("interface 2\n   lacp active\n   exit", {"2"}),
        ("trunk 1-2 trk1 dt-lacp", {"1", "2"}),
        ("filter source-port 1 drop 2", {"1", "2", "3", "4"}),
        ("mirror-port 4", {"4"}),
        ("aaa port-access authenticator 1-2", {"1", "2"}),
        ("vlan 10\n   protocol ipv4\n   exit", {"1", "2", "3", "4"}),
        ("vlan 10\n   untagged A1,5\n   exit", {"1", "2", "3", "4"}),
        ("aaa port-access authenticator active", set()),
        ("snmp-server enable traps vlan", set()),
    ],
)
def test_which_ports_a_line_leaves_in_doubt(line: str, ports: set[str]) -> None:
    """What is not modelled leaves exactly the ports it speaks of in doubt."""
    box = device_of(LINK.format(name="box") + line + "\n")

    assert {name for name, port in box.bridge_ports.items() if port.doubt} == ports


def test_a_part_of_a_configuration_says_nothing_of_the_default_vlan() -> None:
    """Without the stanza of VLAN 1 nothing tells whether a tagged port is untagged in it as well."""
    box = device_of("vlan 10\n   untagged 1\n   tagged 2\n   exit\n")
    (bridge,) = box.bridges.values()

    assert fields(box, "1") == (10, "none", "10", "10")
    assert box.bridge_ports["2"].doubt
    assert bridge.spanning_tree.value == "unknown"


def test_ports_that_are_protected_are_apart() -> None:
    """From memory: protected ports do not forward to one another."""
    box = device_of(LINK.format(name="box") + "protected-ports 1-2\n")

    assert came(box, "3", "10") == {("1", "untagged")}
    assert box.bridge_ports["1"].isolation == box.bridge_ports["2"].isolation != frozenset()
    assert not box.bridge_ports["3"].isolation


# ---- what a port is set to beside VLANs, and what the switch shows ------------------------------------------------


def test_what_a_port_is_set_to_beside_vlans_is_kept() -> None:
    """Words of the guides, from memory; what a line takes back is not there."""
    box = device_of_fixture("hp_procurve", "parlour")
    assert box.ports["1"].properties[Property.SPEED].value == "100"
    assert box.ports["1"].properties[Property.DUPLEX].value == "full"
    assert box.ports["1"].properties[Property.ON_VIOLATION].value == "send-disable"
    assert box.ports["2"].properties[Property.POWER].value == "off"
    assert box.ports["4"].properties[Property.EDGE].value == "auto"
    assert box.ports["5"].properties[Property.AUTHENTICATION].value == "authenticator,mac-based"
    assert Property.EDGE not in box.ports["3"].properties


def test_links_and_the_pvid_that_a_neighbour_tells_are_read() -> None:
    """IEEE Std 802.1Q-2022, D.2.1 for the PVID; the columns from memory."""
    box = device_of_fixture("hp_procurve", "larder")
    assert box.ports["2"].link.value is False
    assert box.ports["22"].link.value is False
    assert box.ports["1"].link.value is True
    assert [(one.neighbour, one.neighbour_pvid) for one in box.ports["1"].seen if one.neighbour] == [("CELLAR", 10)]
