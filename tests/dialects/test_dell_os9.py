"""What is particular to FTOS and OS9: VLANs that list ports, hybrid ports, a default VLAN that moves, shut ports."""

from __future__ import annotations

import pytest

from dialects.boxes import came, device_of, device_of_fixture, fields
from vlancheck import vids
from vlancheck.dot1q.model import Device
from vlancheck.dot1q.properties import Property
from vlancheck.walk.walk import walk
from vlancheck.wiring import Network

HEAD = "! Version 9.14(2.4)\nhostname tor\n"


def port(number: int, *lines: str) -> str:
    """Return the lines of an open, switched port."""
    inside = (*lines, "switchport", "no shutdown")
    return "\n".join((f"interface TenGigabitEthernet 0/{number}", *(f" {line}" for line in inside), "!"))


def vlan(number: int, *lines: str) -> str:
    """Return the lines of a VLAN."""
    return "\n".join((f"interface Vlan {number}", *(f" {line}" for line in lines), " shutdown", "!"))


def box(*parts: str) -> Device:
    """Return the switch of some stanzas."""
    return device_of(HEAD + "\n".join(parts) + "\nend\n")


def surely(found: Device, name: str) -> tuple[object, str, str]:
    """Return PVID, member and untagged VIDs of a bridge port that is not in doubt."""
    one = found.bridge_ports[name]
    assert not one.doubt
    assert one.member.sure == one.member.possible
    return one.pvid.value, vids.text(one.member.sure), vids.text(one.untagged.sure)


def test_a_switched_port_is_untagged_in_the_default_vlan_until_a_vlan_lists_it() -> None:
    """Z9000 guide, p.739: `switchport` alone puts a port into the default VLAN, untagged."""
    found = box(port(1), port(2), vlan(10, "untagged TenGigabitEthernet 0/2"))
    assert surely(found, "TenGigabitEthernet0/1") == (1, "1", "1")
    assert surely(found, "TenGigabitEthernet0/2") == (10, "10", "10")


def test_a_tagged_port_that_is_not_hybrid_drops_untagged_frames() -> None:
    """S3048-ON guide, p.942: without native VLAN support a port is either untagged or tagged."""
    found = box(port(1), port(2), vlan(10, "tagged TenGigabitEthernet 0/1-2"))
    assert fields(found, "TenGigabitEthernet0/1") == (None, "10", "10", "none")
    assert came(found, "TenGigabitEthernet0/1", "untagged") == set()
    assert came(found, "TenGigabitEthernet0/1", "10") == {("TenGigabitEthernet0/2", "10")}


def test_a_hybrid_port_is_untagged_in_one_vlan_and_tagged_in_others() -> None:
    """S3048-ON guide, p.942; what it does with tags of VLANs it is not in, the guide leaves open."""
    found = box(
        port(1, "portmode hybrid"),
        vlan(10, "untagged TenGigabitEthernet 0/1"),
        vlan(20, "tagged TenGigabitEthernet 0/1"),
    )
    assert surely(found, "TenGigabitEthernet0/1") == (10, "10,20", "10")
    admit = found.bridge_ports["TenGigabitEthernet0/1"].admit
    assert vids.text(admit.sure) == "10,20"
    assert admit.possible & ~admit.sure


def test_a_hybrid_port_that_is_only_tagged_is_in_the_default_vlan_where_the_box_notes_it() -> None:
    """From memory: `!untagged` under the default VLAN is a note of the box, the only comment that says something."""
    lines = (port(1, "portmode hybrid"), vlan(20, "tagged TenGigabitEthernet 0/1"))
    noted = box(*lines, "interface Vlan 1", " !untagged TenGigabitEthernet 0/1", "!")
    assert surely(noted, "TenGigabitEthernet0/1") == (1, "1,20", "1")
    one = box(*lines).bridge_ports["TenGigabitEthernet0/1"]
    assert (vids.text(one.member.sure), vids.text(one.member.possible)) == ("20", "1,20")


def test_both_without_hybrid_is_in_doubt() -> None:
    """S3048-ON guide, p.942: the switch takes no such lines."""
    both = vlan(10, "untagged TenGigabitEthernet 0/1"), vlan(20, "tagged TenGigabitEthernet 0/1")
    assert box(port(1), *both).bridge_ports["TenGigabitEthernet0/1"].doubt


def test_the_default_vlan_moves_or_is_disabled() -> None:
    """S25N-S50N FTOS guide, p.1107: with the null VLAN a port that no VLAN lists carries nothing."""
    assert surely(box("default vlan-id 4000", port(1)), "TenGigabitEthernet0/1") == (4000, "4000", "4000")
    found = box("default-vlan disable", port(1), port(2))
    assert surely(found, "TenGigabitEthernet0/1") == (None, "none", "none")
    assert came(found, "TenGigabitEthernet0/1", "untagged") == set()


def test_ports_are_shut_and_routed_until_lines_say_otherwise_and_a_vlan_forwards_while_shut() -> None:
    """Z9000 guide 3017362, p.325: table of default states; `shutdown` in a VLAN closes its own interface alone."""
    found = box(
        port(1),
        port(2),
        "interface TenGigabitEthernet 0/3\n switchport\n!\ninterface TenGigabitEthernet 0/4\n no shutdown\n!",
        vlan(10, "untagged TenGigabitEthernet 0/1-3"),
    )
    assert found.ports["TenGigabitEthernet0/3"].up.value is False
    assert "TenGigabitEthernet0/4" not in found.bridge_ports
    assert came(found, "TenGigabitEthernet0/1", "untagged") == {("TenGigabitEthernet0/2", "untagged")}


def test_a_frame_with_the_tag_of_an_untagged_port_is_unproven() -> None:
    """No document says whether it is taken; other tags are dropped."""
    found = box(port(1), port(2), vlan(10, "untagged TenGigabitEthernet 0/1-2"))
    assert walk(Network([found], []), "tor:TenGigabitEthernet0/1", "10").unproven
    assert came(found, "TenGigabitEthernet0/1", "20") == set()


def test_members_of_bundles_are_named_at_the_port_or_at_the_bundle() -> None:
    """From memory: `port-channel N mode` under the port after a bare `!`, `channel-member` under the bundle."""
    found = device_of_fixture("dell_os9", "loft-tor")
    assert found.ports["TenGigabitEthernet1/8"].bundle == "Port-channel5"
    assert found.ports["TenGigabitEthernet1/11"].bundle == "Port-channel6"
    assert "TenGigabitEthernet1/8" not in found.bridge_ports
    assert fields(found, "Port-channel5") == (None, "10,20", "10,20", "none")


@pytest.mark.parametrize(
    "lines",
    [
        ("vlan-stack trunk",),
        ("switchport mode private-vlan trunk",),
        ("switchport backup interface TenGigabitEthernet 0/2",),
        ("dot1x authentication",),
        ("vlan tagged 10,20",),
        ("gvrp enable",),
    ],
)
def test_what_is_not_modelled_leaves_the_port_in_doubt(lines: tuple[str, ...]) -> None:
    """Stacked and private VLANs, backup interfaces, 802.1X, VLANs written at ports, GVRP."""
    assert box(port(1, *lines)).bridge_ports["TenGigabitEthernet0/1"].doubt


def test_the_link_of_a_pair_is_in_doubt() -> None:
    """From memory: it carries VLANs that no line puts there."""
    assert device_of_fixture("dell_os9", "loft-tor").bridge_ports["Port-channel100"].doubt


def test_the_table_of_vlans_says_which_exist() -> None:
    """`show vlan`: the names may hold anything, the ports go on in lines of their own."""
    found = device_of_fixture("dell_os9", "shown")
    assert vids.text(found.bridges[""].exists.sure) == "1,10,20"
    assert surely(found, "TenGigabitEthernet0/1") == (None, "10", "none")


def test_what_the_switch_shows_of_its_ports_stands_beside_what_lines_ask_for() -> None:
    """`show interfaces switchport` and `show interfaces status`, from memory; a VLAN of 802.1X is not followed."""
    found = device_of_fixture("dell_os9", "properties")
    one, two, three, four = (found.ports[f"TenGigabitEthernet1/{number}"] for number in range(1, 5))
    assert (one.link.value, two.link.value, three.link.value) == (True, False, True)
    assert one.shown is not None
    assert one.shown.bridge_port is not None
    assert one.shown.bridge_port.pvid.value == 20
    assert surely(found, "TenGigabitEthernet1/1") == (10, "10", "10")
    assert four.shown is not None
    assert four.shown.bridge_port is not None
    assert four.shown.bridge_port.doubt
    assert one.properties[Property.STORM_LIMIT].value == "broadcast 500 in,multicast 800 in"
