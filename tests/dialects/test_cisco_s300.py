"""What is particular to small-business switches: trunks by default, access ports without tags, firmware."""

from __future__ import annotations

import pytest

from dialects.boxes import came, device_of, fields
from dialects.expected import FIXTURES, read_fixture
from vlancheck import vids
from vlancheck.dot1q.model import Device


def box(*lines: str, version: str = "v1.4.8.6 / R800_NIK_1_4_202_008") -> Device:
    """Return a switch of some firmware."""
    head = f"{version}\nCLI v1.0\nfile SSD indicator encrypted\n!\nvlan database\nvlan 10,20\nexit\nhostname sb\n!\n"
    return device_of(head + "\n".join(lines) + "\nexit\n")


def test_ports_come_as_trunks_untagged_in_vlan_1() -> None:
    """Cisco Small Business 200 Series administration guide, p.100; 300 Series (manualslib.com, manual 791942, p.98)."""
    assert fields(box("interface gi1", " description silent"), "gigabitethernet1") == (1, "1", "1", "1")


def test_an_access_port_takes_untagged_and_priority_tagged_frames_alone() -> None:
    """manualsdump.com, manual 133998, p.31."""
    found = box("interface range gi1-2", " switchport mode access", " switchport access vlan 10")
    assert came(found, "gigabitethernet1", "untagged") == {("gigabitethernet2", "untagged")}
    assert came(found, "gigabitethernet1", "0") == {("gigabitethernet2", "untagged")}
    assert came(found, "gigabitethernet1", "10") == set()


@pytest.mark.parametrize(
    ("version", "member"),
    [("v1.4.8.6 / R800_X", "1,10"), ("v2.5.5.47 / RX", "1-4094"), ("v3.1.1.7 / RX", "1-4094")],
)
def test_whether_a_trunk_begins_empty_or_full_is_told_by_the_firmware(version: str, member: str) -> None:
    """From memory: a trunk of firmware 1 has what lines add; later ones have all VLANs."""
    lines = ("interface gi1", " switchport mode trunk", " switchport trunk allowed vlan add 10")
    assert fields(box(*lines, version=version), "gigabitethernet1")[2] == member


def test_without_the_firmware_nothing_of_a_trunk_is_proven() -> None:
    found = box("interface gi1", " switchport mode trunk", version="CLI v1.0")
    assert found.bridge_ports["gigabitethernet1"].doubt


def test_a_general_port_filters_on_entry_until_a_line_turns_it_off() -> None:
    """IEEE Std 802.1Q-2022, 8.6.2; that filtering is on at first is from memory."""
    lines = ["interface gi1", " switchport mode general", " switchport general allowed vlan add 20 tagged"]
    assert fields(box(*lines), "gigabitethernet1") == (1, "1,20", "1,20", "1")
    assert (
        box(*lines, " switchport general ingress-filtering disable").bridge_ports["gigabitethernet1"].admit.sure == -1
    )


def test_a_vlan_that_ports_join_by_themselves_leaves_none_proven() -> None:
    """Voice VLANs by table of makers are not modelled."""
    found = box("voice vlan state oui-enabled", "interface gi1", " switchport mode access")
    assert found.bridge_ports["gigabitethernet1"].doubt


def test_lines_that_sort_frames_into_vlans_leave_their_ports_unproven() -> None:
    """Rules by address and by protocol are not modelled; a group alone does nothing until a port uses it."""
    ports = ("interface range gi1-2", " switchport mode general", "!", "interface gi1")
    head = ("vlan database", "map mac 0200.5e00.0a01 48 macs-group 1", "exit")
    found = box(*head, *ports, " switchport general map macs-group 1 vlan 10")
    assert found.bridge_ports["gigabitethernet1"].doubt
    assert not found.bridge_ports["gigabitethernet2"].doubt
    assert box("vlan database", "vlan association 10", "exit", *ports).bridge_ports["gigabitethernet2"].doubt


def test_what_is_shown_is_held_apart_from_what_lines_ask_for() -> None:
    """Later firmware shows the lines of every mode; those of the mode count (from memory)."""
    (device,) = read_fixture(FIXTURES / "cisco_s300/shown-2.txt").devices
    asked, shown = device.bridge_ports["gigabitethernet2"], device.ports["gigabitethernet2"].shown
    assert shown
    assert (asked.pvid.value, shown.bridge_port.pvid.value) == (1, 20)
    assert vids.text(shown.bridge_port.member.sure) == "1,20,30-39"


def test_forbidden_vlans_and_rules_by_address_leave_a_shown_port_in_doubt() -> None:
    """Both stand in one column of the library's table, and only the rules change what the port does."""
    (device,) = read_fixture(FIXTURES / "cisco_s300/shown-1.txt").devices
    assert device.bridge_ports["gigabitethernet4"].doubt
    assert not device.ports["gigabitethernet4"].shown
