"""What is particular to EOS: trunk groups, a tagged native VLAN, translations of one direction, suspended VLANs."""

from __future__ import annotations

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


def test_a_group_that_no_vlan_is_in_leaves_the_port_in_doubt() -> None:
    """A misspelt name must not pass for a group without VLANs."""
    assert box(trunk(3, "switchport trunk group pear")).bridge_ports["Ethernet3"].doubt


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
