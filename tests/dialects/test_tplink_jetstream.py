"""What is particular to JetStream switches: VLAN 1 that stays, egress rules by VLAN, the check of arriving VLANs."""

from __future__ import annotations

import pytest

from dialects.boxes import came, device_of, device_of_fixture, fields
from vlancheck import vids
from vlancheck.dot1q.model import Device
from vlancheck.walk.walk import walk
from vlancheck.wiring import Network

HEAD = '!TL-SG2218\n#\nvlan 10\n name "desks"\n#\nvlan 20-22\n#\nhostname "shed"\n#\n'
ONE, TWO = "gigabitEthernet 1/0/1", "gigabitEthernet 1/0/2"


def box(*lines: str) -> Device:
    """Return the switch of some lines."""
    return device_of(HEAD + "\n".join(lines) + "\n#\nend\n")


def port(number: int, *lines: str) -> str:
    """Return the lines of a port."""
    return "\n".join((f"interface gigabitEthernet 1/0/{number}", *(f"  {line}" for line in lines), "#"))


def test_a_port_stays_untagged_in_vlan_1_beside_the_vlans_it_is_put_in() -> None:
    """From memory; saved configurations take VLAN 1 out with a line of its own."""
    lines = ("switchport general allowed vlan 20-21 tagged",)
    assert fields(box(port(1, *lines)), ONE) == (1, "1,20-21", "1,20-21", "1")
    assert fields(box(port(1, *lines, "no switchport general allowed vlan 1")), ONE)[1:] == ("20-21", "20-21", "none")


def test_the_last_line_that_names_a_vlan_says_whether_it_is_tagged() -> None:
    """CLI Reference Guide 1900002754: one egress rule, tagged or untagged, for a VLAN of a port."""
    found = box(port(1, "switchport general allowed vlan 1,10 tagged"))
    assert fields(found, ONE)[2:] == ("1,10", "none")
    again = box(port(1, "switchport general allowed vlan 10 tagged", "switchport general allowed vlan 10 untagged"))
    assert fields(again, ONE)[3] == "1,10"


def test_a_pvid_that_the_port_is_no_member_of_loses_untagged_frames() -> None:
    """CLI Reference Guide 1900002754: with the check on, a port only takes what is in its list of VLANs."""
    found = box(port(1, "switchport general allowed vlan 10 untagged", "no switchport general allowed vlan 1"))
    assert fields(found, ONE) == (None, "10", "10", "10")


def test_without_the_check_a_port_takes_frames_of_vlans_it_is_no_member_of() -> None:
    """CLI Reference Guide 1900002754: `no switchport check ingress` lets a port pass on what arrives."""
    lines = (port(1, "no switchport check ingress"), port(2, "switchport general allowed vlan 20 tagged"))
    assert came(box(*lines), ONE, "20") == {(TWO, "20")}
    assert came(box(*lines, port(1, "switchport check ingress")), ONE, "20") == set()


def test_tagged_frames_alone_leave_no_pvid() -> None:
    """CLI Reference Guide 1900002754: `switchport acceptable frame { all | tagged }`."""
    narrow = port(1, "switchport acceptable frame tagged")
    assert fields(box(narrow), ONE)[0] is None
    assert fields(box(narrow, port(1, "no switchport acceptable frame")), ONE)[0] == 1
    assert fields(box(narrow, port(1, "switchport acceptable frame all")), ONE)[0] == 1


def test_a_vlan_trunk_port_carries_every_vlan_where_the_switch_has_vlan_trunk_on() -> None:
    """CLI Reference Guide 1900002754: the other VLANs leave tagged, and the switch makes all VLANs."""
    found = box("vlan_trunk", "#", port(1, "vlan_trunk", "switchport general allowed vlan 10 untagged"))
    assert fields(found, ONE) == (1, "1-4094", "1-4094", "1,10")
    assert vids.text(found.bridges[""].exists.sure) == "1-4094"
    assert box(port(1, "vlan_trunk")).bridge_ports[ONE].doubt


@pytest.mark.parametrize("mode", [("switchport mode access",), ()])
def test_an_access_port_takes_its_own_tag_too(mode: tuple[str, ...]) -> None:
    """T2700G-28TQ User Guide, p.85: a frame whose VID is the PVID is received. The mode is not always printed."""
    found = box(port(1, *mode, "switchport access vlan 10"), port(2, "switchport access vlan 10"))
    assert came(found, ONE, "untagged") == came(found, ONE, "10") == {(TWO, "untagged")}
    assert came(found, ONE, "20") == set()


def test_whether_a_trunk_stays_in_vlan_1_is_unproven_until_a_line_says_so() -> None:
    """No document says it; TL-SG3216 and T2700G guides differ in whether frames of the PVID leave tagged."""
    lines = ("switchport mode trunk", "switchport trunk allowed vlan 10,20")
    found = box(port(1, *lines), port(2, "switchport access vlan 10"))
    assert came(found, TWO, "untagged") == {(ONE, "10")}
    assert walk(Network([found], []), f"shed:{ONE}", "untagged").unproven
    left = (*lines, "no switchport trunk allowed vlan 1", "switchport pvid 10")
    bound = box(port(1, *left), port(2, "switchport access vlan 10"))
    assert came(bound, ONE, "untagged") == {(TWO, "untagged")}
    assert walk(Network([bound], []), f"shed:{TWO}", "untagged").unproven


def test_lines_of_another_mode_leave_the_port_in_doubt() -> None:
    """No document says whether they work."""
    assert box(port(1, "switchport trunk allowed vlan 10")).bridge_ports[ONE].doubt
    mixed = port(1, "switchport mode access", "switchport general allowed vlan 10 tagged")
    assert box(mixed).bridge_ports[ONE].doubt


@pytest.mark.parametrize(
    "line", ["gvrp", "voice vlan 30", "mac-vlan mac-address 00:00:5e:00:53:01 vlan 10", "dot1q-tunnel"]
)
def test_what_moves_ports_between_vlans_and_is_not_modelled_leaves_all_ports_in_doubt(line: str) -> None:
    """What is not modelled must not be passed over."""
    assert box(port(1), line).bridge_ports[ONE].doubt


def test_a_range_goes_over_several_kinds_of_ports() -> None:
    """`interface range` takes a list; names are printed with a blank inside."""
    found = box("interface range gigabitEthernet 1/0/1-2,1/0/4,ten-gigabitEthernet 1/0/17-18", "  shutdown", "#")
    names = [ONE, TWO, "gigabitEthernet 1/0/4", "ten-gigabitEthernet 1/0/17", "ten-gigabitEthernet 1/0/18"]
    assert list(found.bridge_ports) == names


def test_lines_without_indentation_stand_under_their_header() -> None:
    """Older releases print the name of a VLAN and the address of a VLAN interface without indentation."""
    text = '!TL-SG3210\n#\nvlan 10,20\n#\nvlan 10\nname "a"\n#\nhostname "old"\n#\nip management-vlan 20\n'
    found = device_of(text + "interface vlan 20\nip address 192.0.2.9 255.255.255.0 192.0.2.1\n#\nend\n")
    assert vids.text(found.bridges[""].exists.sure) == "1,10,20"
    assert fields(found, "vlan 20") == (20, "none", "20", "20")


def test_a_line_that_seems_to_stand_under_a_description_is_not_lost() -> None:
    """A pasted text is indented unevenly at times."""
    found = box("interface gigabitEthernet 1/0/1", " description till", "   switchport pvid 10", "#")
    assert found.bridge_ports[ONE].doubt
    assert found.ports[ONE].description == "till"


def test_what_the_switch_shows_of_a_port_stands_beside_its_lines() -> None:
    """`show interface switchport PORT`, `show interface status` and the neighbours, from memory."""
    found = device_of_fixture("tplink_jetstream", "heard")
    one, two, three = (found.ports[f"gigabitEthernet 1/0/{number}"] for number in (1, 2, 3))
    assert (one.link.value, two.link.value) == (True, False)
    assert one.shown is not None
    assert one.shown.bridge_port is not None
    assert (one.shown.bridge_port.pvid.value, found.bridge_ports[one.name].pvid.value) == (20, 10)
    assert [(seen.neighbour, seen.neighbour_pvid) for seen in three.seen] == [("net-loft", None), ("", 10)]
    assert found.bridge_ports["gigabitEthernet 1/0/7"].doubt
