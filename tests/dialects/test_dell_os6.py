"""What is particular to PowerConnect and N-series switches: general ports, native VLANs in the list, older releases."""

from __future__ import annotations

import pytest

from dialects.boxes import came, device_of, fields
from dialects.expected import FIXTURES, read_fixture
from vlancheck.dot1q.model import Device


def box(*lines: str, release: str = "6.6.3.10") -> Device:
    """Return a switch of some release."""
    head = f"!Current Configuration:\n!System Software Version {release}\nconfigure\nvlan 10,20\nexit\nhostname n\n"
    return device_of(head + "\n".join(lines) + "\nexit\nexit\n")


def test_without_its_native_vlan_in_the_list_a_trunk_drops_untagged_frames() -> None:
    """Dell N2200 CLI reference, p.885."""
    lines = ["interface Gi1/0/1", "switchport mode trunk", "switchport trunk native vlan 10"]
    assert fields(box(*lines), "Gi1/0/1")[0] == 10
    assert fields(box(*lines, "switchport trunk allowed vlan remove 10"), "Gi1/0/1")[0] is None


def test_an_access_port_takes_its_own_tag() -> None:
    """CSM4532 CLI manual, p.52, of the same software; for this family from memory."""
    found = box("interface range Gi1/0/1-2", "switchport access vlan 10")
    assert came(found, "Gi1/0/1", "10") == {("Gi1/0/2", "untagged")}
    assert came(found, "Gi1/0/1", "20") == set()


def test_a_general_port_adds_untagged_where_nothing_is_said() -> None:
    """From memory."""
    found = box("interface Gi1/0/1", "switchport mode general", "switchport general pvid 10",
                "switchport general allowed vlan add 10", "switchport general allowed vlan add 20 tagged",
                "switchport general allowed vlan remove 1")  # fmt: skip
    assert fields(found, "Gi1/0/1") == (10, "10,20", "10,20", "10")


@pytest.mark.parametrize(("release", "member"), [("3.3.9.1", "10"), ("4.2.2.3", "10"), ("5.1.0.1", "1-4094")])
def test_whether_a_trunk_begins_empty_or_full_is_told_by_the_release(release: str, member: str) -> None:
    """From memory."""
    lines = ("interface ethernet 1/g1", "switchport mode trunk", "switchport trunk allowed vlan add 10")
    assert fields(box(*lines, release=release), "1/g1")[2] == member


def test_protected_ports_of_one_group_are_kept_apart_and_those_of_two_are_not() -> None:
    """From memory: the groups are 0 to 2, and a protected port forwards to every port that is not of its group."""
    lines = [
        f"interface Gi1/0/{n}\nswitchport access vlan 10\nswitchport protected {g}\nexit"
        for n, g in ((1, 0), (2, 0), (3, 1))
    ]
    assert came(box(*lines), "Gi1/0/1", "untagged") == {("Gi1/0/3", "untagged")}


def test_a_port_with_802_1x_is_in_doubt() -> None:
    """Authentication may assign a VLAN (common practice, no source)."""
    found = box("interface Gi1/0/1", "switchport access vlan 10", "dot1x port-control auto")
    assert found.bridge_ports["Gi1/0/1"].doubt


def test_without_the_release_nothing_of_a_trunk_is_proven() -> None:
    assert box("interface Gi1/0/1", "switchport mode trunk", release="x").bridge_ports["Gi1/0/1"].doubt


@pytest.mark.parametrize(
    "line", ["vlan association subnet 192.0.2.0 255.255.255.0 10", "vlan association mac 0200.5E00.0A01 10",
             "vlan protocol group 1"]
)  # fmt: skip
@pytest.mark.parametrize("database", [True, False])
def test_a_line_that_sorts_frames_into_vlans_leaves_no_port_proven(line: str, database: bool) -> None:
    """VLANs by subnet, address and protocol are not modelled, and take frames of every port."""
    port = ("interface Gi1/0/1", "switchport access vlan 10", "exit")
    assert not box(*port).bridge_ports["Gi1/0/1"].doubt
    lines = ("vlan database", line, "exit") if database else (line,)
    assert box(*lines, *port).bridge_ports["Gi1/0/1"].doubt


def test_a_shown_trunk_rests_on_what_was_shown_alone() -> None:
    """Its list is whole, so that the release, on which the first list depends, does not matter."""
    (device,) = read_fixture(FIXTURES / "dell_os6/shown.txt").devices
    asked, shown = device.bridge_ports["Gi1/0/2"], device.ports["Gi1/0/2"].shown
    assert shown
    assert (asked.pvid.value, shown.bridge_port.pvid.value) == (None, 10)


def test_vlans_that_registration_added_leave_a_shown_port_in_doubt() -> None:
    (device,) = read_fixture(FIXTURES / "dell_os6/shown.txt").devices
    shown = device.ports["Gi1/0/4"].shown
    assert shown
    assert shown.bridge_port.doubt
