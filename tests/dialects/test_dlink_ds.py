"""DES and DGS switches with `config vlan`: what the lines about VLANs and ports come to.

Defaults: DES-3528 Series Web UI Reference Guide, p.77; DGS-3024 manual, p.74 (ingress checking off);
the rest from memory.
"""

from __future__ import annotations

import pytest

from dialects.boxes import device_of, device_of_fixture, fields
from vlancheck import vids
from vlancheck.dot1q.model import Device
from vlancheck.evidence import UNKNOWN, Kind

START = "config vlan default delete 1-3\ncreate vlan office tag 10\ncreate vlan phones tag 20\n"
HOME = START + "config vlan office add untagged 1 advertisement disable\nconfig vlan phones add tagged 1\n"
PORT = "config gvrp 1 state disable ingress_checking {} acceptable_frame {} pvid 10\n"


def switch(*lines: str) -> Device:
    """Return the switch with two VLANs that these lines make."""
    return device_of(HOME + "\n".join(lines))


@pytest.mark.parametrize(
    ("checking", "frames", "expected"),
    [
        ("enable", "admit_all", (10, "10,20", "10,20", "10")),
        ("disable", "admit_all", (10, "1-4094", "10,20", "10")),  # frames of every VLAN come in
        ("enable", "tagged_only", (None, "10,20", "10,20", "10")),  # frames without a tag do not
    ],
)
def test_port_is_what_its_gvrp_line_says(checking: str, frames: str, expected: tuple[object, str, str, str]) -> None:
    """Guide, p.77: Ingress Checking, Acceptable Frame Type, PVID."""
    assert fields(switch(PORT.format(checking, frames)), "1") == expected
    newer = PORT.format(checking, frames).replace("gvrp 1 state", "port_vlan 1 gvrp_state")
    assert fields(switch(newer), "1") == expected


def test_without_its_gvrp_line_pvid_and_checking_are_assumed_or_unknown() -> None:
    """Models differ: the guide of one says ingress checking is on, that of another that it is off."""
    port = switch().bridge_ports["1"]

    assert port.pvid.value == 10
    assert Kind.ASSUMED in {origin.kind for origin in port.pvid.origins}
    assert port.admit.sure == vids.of([10, 20])
    assert port.admit.possible >> 30 & 1


def test_port_that_was_taken_out_of_the_default_vlan_is_in_none() -> None:
    """Its PVID is not known."""
    port = switch().bridge_ports["3"]

    assert port.member.possible == 0
    assert port.pvid.value is UNKNOWN


def test_vlans_are_named_or_numbered() -> None:
    """`config vlan vlanid` takes a VID where `config vlan` takes a name; `delete` takes a port out."""
    ports = switch(
        "create vlan vlanid 30-31",
        "config vlan vlanid 30 add untagged 2",
        "config vlan vlanid 31 add tagged 2",
        "config vlan vlanid 20 add tagged 2",
        "config vlan vlanid 31 delete 2",
    ).bridge_ports

    assert ports["2"].member.sure == ports["2"].member.possible == vids.of([20, 30])
    assert ports["2"].untagged.sure == vids.of([30])


def test_name_of_no_vlan_leaves_the_ports_of_its_line_in_doubt() -> None:
    """Whatever VLAN was meant."""
    ports = switch("config vlan attic add untagged 2").bridge_ports

    assert ports["2"].doubt
    assert not ports["1"].doubt


@pytest.mark.parametrize(
    "line",
    [
        "enable gvrp",
        "enable qinq",
        "enable asymmetric_vlan",
        "enable vlan_trunk",
        "config gvrp 1 state enable ingress_checking enable acceptable_frame admit_all pvid 10",
        "config vlan phones add forbidden 1",
        "config traffic_segmentation 1 forward_list 2",
        "config link_aggregation group_id 1 master_port 1 ports 1-2 state enable",
        "config ports 1 vlan_speed 7",
    ],
)
def test_what_is_not_modelled_leaves_the_port_in_doubt(line: str) -> None:
    """Never passed over."""
    assert switch(line).bridge_ports["1"].doubt


def test_part_of_a_configuration_proves_nothing_at_ports() -> None:
    """Without the lines of the default VLAN nobody knows who is in it."""
    part = device_of("create vlan office tag 10\nconfig vlan office add tagged 1")

    assert part.bridge_ports["1"].doubt


def test_port_is_switched_off_by_its_state() -> None:
    """`config ports ... state disable`."""
    box = switch(
        "config ports 1 speed auto flow_control disable learning enable state disable", "config ports 2 state enable"
    )

    assert (box.ports["1"].up.value, box.ports["2"].up.value) == (False, True)


def test_members_that_the_switch_shows_stand_beside_those_of_the_lines() -> None:
    """`show vlan`, `show gvrp` and `show ports`, from memory; one of two sockets of a port says nothing of its link."""
    found = device_of_fixture("dlink_ds", "shown")
    shown = found.ports["2"].shown
    assert shown is not None
    assert shown.bridge_port is not None
    assert shown.bridge_port.member.sure == vids.of([10, 30])
    assert shown.bridge_port.untagged.sure == vids.of([30])
    assert found.bridge_ports["2"].member.sure == vids.of([10])
    assert (found.ports["2"].link.value, found.ports["8"].link.value) == (False, found.ports["7"].link.value)
