"""What is particular to small-business switches: trunks by default, access ports without tags, firmware."""

from __future__ import annotations

import pytest

from dialects.boxes import came, device_of, fields
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
