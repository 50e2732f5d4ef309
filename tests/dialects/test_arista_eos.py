"""What is particular to EOS: trunk groups, a tagged native VLAN, translations of one direction, suspended VLANs."""

from __future__ import annotations

import pytest

from dialects.boxes import came, device_of, fields
from vlancheck import vids
from vlancheck.dot1q.model import Device
from vlancheck.walk.walk import walk
from vlancheck.wiring import Network

HEAD = "! device: leaf (DCS-7050TX-64, EOS-4.26.3M)\nhostname leaf\nvlan 10,20\nvlan 30\n   trunk group pair\n"


def box(*lines: str) -> Device:
    """Return the switch of some lines."""
    return device_of(HEAD + "\n".join(lines) + "\nend\n")


def trunk(number: int, *lines: str) -> str:
    """Return the lines of a trunk."""
    return "\n".join((f"interface Ethernet{number}", "   switchport mode trunk", *(f"   {line}" for line in lines)))


def test_a_vlan_of_a_trunk_group_is_carried_by_the_ports_of_the_group_alone() -> None:
    """EOS User Manual, VLANs, trunk groups."""
    found = box(trunk(1), trunk(2, "switchport trunk group pair"))
    assert fields(found, "Ethernet1")[2] == "1-29,31-4094"
    assert fields(found, "Ethernet2")[2] == "1-4094"


def test_a_group_that_no_vlan_is_in_adds_none_where_the_whole_configuration_was_read() -> None:
    """A misspelt name is such a group to the switch (from memory); in a part of a text its VLANs may be elsewhere."""
    whole = box(trunk(3, "switchport trunk group pear"))
    part = device_of("! device: leaf (DCS-7050TX-64, EOS-4.26.3M)\n" + trunk(3, "switchport trunk group pear") + "\n")

    assert fields(whole, "Ethernet3")[2] == "1-29,31-4094"
    assert part.bridge_ports["Ethernet3"].doubt


def test_several_groups_add_up_and_are_taken_out_one_by_one() -> None:
    """EOS User Manual, VLANs, trunk groups."""
    text = "vlan 31\n   trunk group spare\n" + trunk(1, "switchport trunk group pair", "switchport trunk group spare")
    assert fields(box(text), "Ethernet1")[2] == "1-4094"
    assert fields(box(text, "   no switchport trunk group spare"), "Ethernet1")[2] == "1-30,32-4094"


def test_with_a_tagged_native_vlan_untagged_frames_are_dropped() -> None:
    """EOS User Manual, VLANs, from memory."""
    found = box(trunk(1, "switchport trunk native vlan tag"))
    assert fields(found, "Ethernet1") == (None, "1-29,31-4094", "1-29,31-4094", "none")


def test_a_translation_of_one_direction_is_not_undone_on_the_way_back() -> None:
    """EOS, selective translation: `in` or `out` makes it one-way (eos.arista.com/author/8859-pandurangan)."""
    found = box(
        trunk(1, "switchport vlan translation in 881 10"), "interface Ethernet2", "   switchport access vlan 10"
    )
    assert came(found, "Ethernet1", "881") == {("Ethernet2", "untagged")}
    assert came(found, "Ethernet2", "untagged") == {("Ethernet1", "10")}


def test_a_translation_of_two_tags_leaves_the_port_in_doubt() -> None:
    """`switchport vlan translation 1000 inner 100 200` is documented at the same place, and not modelled."""
    assert box(trunk(1, "switchport vlan translation 1000 inner 100 200")).bridge_ports["Ethernet1"].doubt


def test_a_suspended_vlan_carries_nothing() -> None:
    """EOS User Manual, VLANs: a suspended VLAN is blocked."""
    found = box("vlan 20", "   state suspend", "interface Ethernet1", "   switchport access vlan 20",
                "interface Ethernet2", "   switchport access vlan 20")  # fmt: skip
    assert vids.text(~found.bridges[""].active.sure & vids.WIRE) == "20"
    assert came(found, "Ethernet1", "untagged") == set()


def test_a_frame_with_the_tag_of_an_access_port_is_unproven() -> None:
    """No document says whether it is taken."""
    found = box("interface Ethernet1", "   switchport access vlan 10", "interface Ethernet2",
                "   switchport access vlan 10")  # fmt: skip
    assert walk(Network([found], []), "leaf:Ethernet1", "10").unproven
    assert came(found, "Ethernet1", "20") == set()


def test_a_port_with_an_address_that_is_switched_stays_switched() -> None:
    """`switchport` makes it a port of VLANs, its address is not in use; from memory."""
    found = box("interface Ethernet1", "   switchport", "   ip address 10.0.0.1/24", "   switchport access vlan 10")
    assert found.bridge_ports["Ethernet1"].pvid.value == 10
    assert "Ethernet1" not in found.ends


def test_a_bare_mark_inside_a_port_does_not_end_it() -> None:
    """A running configuration puts `!` between the queues of a port; what follows is still of that port."""
    found = box("interface Ethernet1", "   !", "   tx-queue 0", "      no priority", "   !",
                "   switchport access vlan 20", "!", "interface Ethernet2")  # fmt: skip
    assert found.bridge_ports["Ethernet1"].pvid.value == 20
    assert found.bridge_ports["Ethernet2"].pvid.value == 1
    assert found.unread == ()


def test_a_vlan_that_vxlan_carries_on_is_unproven_and_no_other_is() -> None:
    """EOS User Manual, VXLAN, from memory: `vxlan vlan 10 vni 10010` carries VLAN 10 to other switches."""
    lines = [
        f"interface Ethernet{one}\n   switchport access vlan {vid}" for one, vid in ((1, 10), (2, 10), (3, 20), (4, 20))
    ]
    found = box(*lines, "interface Vxlan1", "   vxlan vlan 10 vni 10010")
    assert walk(Network([found], []), "leaf:Ethernet1", "untagged").unproven
    assert came(found, "Ethernet3", "untagged") == {("Ethernet4", "untagged")}


def properties(*lines: str) -> dict[str, object]:
    """Return what a port is set to beside VLANs."""
    found = box("interface Ethernet1", *(f"   {line}" for line in lines))
    return {str(word): fact.value for word, fact in found.ports["Ethernet1"].properties.items()}


def test_limits_of_addresses_count_where_port_security_is_on() -> None:
    """EOS User Manual, port security, from memory: one address, and a port that shuts, unless a line says otherwise."""
    assert properties("switchport port-security maximum 3") == {}
    assert properties("switchport port-security") == {"mac-limit": "1", "on-violation": "shutdown"}
    limits = ("switchport port-security", "switchport port-security mac-address maximum 3")
    assert properties(*limits, "switchport port-security violation protect") == {
        "mac-limit": "3", "on-violation": "protect"}  # fmt: skip
    assert properties(*limits, "no switchport port-security") == {}


def test_what_a_line_takes_back_is_not_set() -> None:
    """From memory: `no` before a line, or its default, takes it back."""
    assert properties("spanning-tree portfast", "spanning-tree portfast network") == {}
    assert properties("spanning-tree guard root", "spanning-tree guard loop") == {"loop-guard": "yes"}
    assert properties("speed 10g", "no speed", "mtu 9000", "no mtu", "poe disabled", "no poe disabled") == {}
    assert properties("poe disabled", "poe priority low") == {"power": "off"}


@pytest.mark.parametrize(
    "line", ["profile desk", "dot1x port-control auto", "mvrp", "switchport mode private-vlan promiscuous"]
)
def test_what_may_say_more_of_the_vlans_leaves_a_port_in_doubt(line: str) -> None:
    """From memory: a profile holds lines of ports, 802.1X and MVRP put ports in VLANs."""
    assert box("interface Ethernet1", f"   {line}").bridge_ports["Ethernet1"].doubt
    assert not box("interface Ethernet1", "   no mvrp").bridge_ports["Ethernet1"].doubt
