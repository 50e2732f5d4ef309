"""OS10: fields as its commands are known to mean, from memory where no document is named, and what is left in doubt."""

from __future__ import annotations

import pytest

from dialects.boxes import device_of_fixture
from dialects.expected import FIXTURES, read_fixture
from vlancheck import vids
from vlancheck.dot1q.model import Device
from vlancheck.evidence import UNKNOWN


def fixture(name: str) -> Device:
    """Return the device of a fixture."""
    (found,) = read_fixture(FIXTURES / "dell_os10" / f"{name}.txt").devices
    return found


def fields(box: Device, port: str) -> tuple[object, str, str, str]:
    """Return PVID, surely admitted, member and untagged VIDs of a bridge port that is not in doubt."""
    one = box.bridge_ports[port]
    assert not one.doubt
    assert one.member.sure == one.member.possible
    return one.pvid.value, vids.text(one.admit.sure), vids.text(one.member.sure), vids.text(one.untagged.sure)


def test_the_access_vlan_of_a_trunk_is_its_untagged_vlan() -> None:
    """From memory: `switchport access vlan` is the untagged VLAN in both modes, `trunk allowed` lists tagged ones."""
    box = fixture("leaf-1")

    assert fields(box, "port-channel1") == (1, "10,20,30-31", "1,10,20,30-31", "1")
    assert fields(box, "ethernet1/1/1") == (10, "none", "10", "10")
    assert fields(box, "ethernet1/1/4") == (20, "none", "20", "20")


def test_a_trunk_may_lose_its_access_vlan() -> None:
    """From memory: `no switchport access vlan` leaves a trunk without an untagged VLAN."""
    assert fields(fixture("leaf-1"), "ethernet1/1/3") == (None, "10,20", "10,20", "none")
    assert fields(fixture("typed"), "ethernet1/1/4") == (1, "none", "1", "1")


def test_lists_of_a_trunk_add_up() -> None:
    """From memory: a list is added to what is allowed, `no` takes it out, and without a list takes all out."""
    box = fixture("typed")

    assert fields(box, "ethernet1/1/1") == (1, "10,20-22", "1,10,20-22", "1")
    assert fields(box, "ethernet1/1/2") == (30, "10,20,22", "10,20,22,30", "30")
    assert fields(box, "ethernet1/1/3") == (None, "none", "none", "none")
    assert fields(box, "ethernet1/1/6") == (1, "none", "1", "1")


def test_a_tag_of_the_untagged_vlan_is_not_decided() -> None:
    """No document found says whether a port takes frames that are tagged with its untagged VLAN."""
    admit = fixture("leaf-1").bridge_ports["ethernet1/1/1"].admit

    assert vids.text(admit.possible & ~admit.sure) == "10"


def test_the_default_vlan_can_be_another() -> None:
    """From memory: `default vlan-id 5`; here every port is in doubt for another reason, a private VLAN."""
    assert fixture("leaf-2").bridge_ports["ethernet1/1/2"].pvid.value == 5


def test_vlans_are_made_by_their_interfaces_and_shown_by_the_table() -> None:
    """docs-csm, .../dell/vlan.md: `interface vlan N` makes a VLAN; shutting it stops routing alone."""
    leaf, shown, part = (fixture(name).bridges[""] for name in ("leaf-1", "leaf-2", "typed"))

    assert vids.text(leaf.exists.possible) == vids.text(leaf.exists.sure) == "1,10,20,30-32"
    assert leaf.active.sure >> 20 & 1
    assert vids.text(shown.exists.sure) == "5,10,40,50"
    assert vids.text(part.exists.sure) == "1,10,20-21"
    assert part.exists.possible >> 99 & 1


def test_members_of_a_bundle_have_no_vlans_and_silence_says_nothing_of_up() -> None:
    """Common practice, no source: the port-channel has the VLANs."""
    box = fixture("leaf-1")

    assert (box.ports["ethernet1/1/5"].bundle, box.ports["ethernet1/1/5"].bundle_mode) == ("port-channel1", "active")
    assert not {"ethernet1/1/5", "ethernet1/1/6", "ethernet1/1/7"} & set(box.bridge_ports)
    assert fixture("leaf-2").ports["ethernet1/1/7"].up.value is UNKNOWN


@pytest.mark.parametrize(
    ("name", "port"),
    [
        ("leaf-1", "ethernet1/1/11"),  # the link to the VLT peer
        ("leaf-2", "ethernet1/1/1"),  # 802.1X
        ("leaf-2", "ethernet1/1/3"),  # a private VLAN somewhere
        ("leaf-2", "ethernet1/1/5"),  # a monitor session
        ("leaf-2", "ethernet1/1/6"),  # stacked tags
    ],
)
def test_what_is_not_modelled_leaves_its_port_in_doubt(name: str, port: str) -> None:
    """Nothing that could touch a VLAN is passed over."""
    assert fixture(name).bridge_ports[port].doubt


def test_links_addresses_and_neighbours_prove_nothing_of_a_port_without_lines() -> None:
    """From memory: `show interface status`, `show mac address-table`, `show lldp neighbors`."""
    found = device_of_fixture("dell_os10", "heard")
    assert (found.ports["ethernet1/1/1"].link.value, found.ports["ethernet1/1/2"].link.value) == (True, False)
    assert [one.neighbour for one in found.ports["ethernet1/1/3"].seen] == ["closet-c"]
    assert found.bridge_ports["ethernet1/1/9"].doubt
    assert not found.bridge_ports["ethernet1/1/1"].doubt
