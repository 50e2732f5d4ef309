"""Walks of Q-BRIDGE-MIB: lists of ports as RFC 4363 writes them, and every way in which one is refused."""

from __future__ import annotations

import pytest
from dialects.boxes import device_of
from hypothesis import given
from hypothesis import strategies as st

from vlancheck import vids
from vlancheck.dot1q.model import Device

Q = "Q-BRIDGE-MIB::dot1q"


def walk(*lists: str, ports: int = 16, more: str = "") -> Device:
    """Return the box of a walk with some ports and lists; untagged ports of VLANs 10 and 20 are walked."""
    for vid in (10, 20):
        more += (
            f"{Q}VlanStaticUntaggedPorts.{vid} = Hex-STRING: 00\n{Q}VlanCurrentUntaggedPorts.0.{vid} = Hex-STRING: 00\n"
        )
    bases = "".join(f"BRIDGE-MIB::dot1dBasePortIfIndex.{port} = INTEGER: {port}\n" for port in range(1, ports + 1))
    names = "".join(f"IF-MIB::ifName.{port} = STRING: p{port}\n" for port in range(1, ports + 1))
    return device_of("SNMPv2-MIB::sysName.0 = STRING: sw\n" + names + bases + "\n".join(lists) + "\n" + more)


def members(box: Device, vid: int) -> set[int]:
    """Return the numbers of the ports that are members of a VLAN."""
    return {int(name[1:]) for name, one in box.bridge_ports.items() if one.member.sure >> vid & 1}


def bitmap(ports: set[int], octets: int) -> str:
    """Return a PortList as RFC 4363 (textual convention PortList) defines it: port 1 is the most significant bit."""
    value = sum(1 << 8 * octets - port for port in ports)
    return value.to_bytes(octets, "big").hex(" ").upper()


def test_rfc_4363_the_most_significant_bit_is_the_lowest_port() -> None:
    """RFC 4363, PortList: the first octet is ports 1 to 8, and its most significant bit the lowest numbered port."""
    assert members(walk(f"{Q}VlanStaticEgressPorts.10 = Hex-STRING: 80 01"), 10) == {1, 16}


@given(st.sets(st.integers(1, 16)), st.integers(2, 30))
def test_every_list_is_read_as_it_was_written(ports: set[int], octets: int) -> None:
    """Agents cut or pad lists; what is not there is no member (RFC 4363)."""
    assert members(walk(f"{Q}VlanStaticEgressPorts.10 = Hex-STRING: {bitmap(ports, octets)}"), 10) == ports


@pytest.mark.parametrize(
    "line",
    [
        f"{Q}VlanStaticEgressPorts.10 = Hex-STRING: A0",
        "dot1qVlanStaticEgressPorts.10 = Hex-STRING: A0",
        ".1.3.6.1.2.1.17.7.1.4.3.1.2.10 = Hex-STRING: A0",
        "iso.3.6.1.2.1.17.7.1.4.3.1.2.10 = Hex-STRING: A0",
        "1.3.6.1.2.1.17.7.1.4.3.1.2.10|4x|a0",
        f"{Q}VlanCurrentEgressPorts.0.10 = Hex-STRING: A0",
    ],
)
def test_every_way_of_printing_a_row(line: str) -> None:
    """Names, numbers and records; the current table has a time mark before the VID, whatever it is."""
    assert members(walk(line), 10) == {1, 3}


@pytest.mark.parametrize(
    ("line", "why"),
    [
        (f"{Q}VlanStaticEgressPorts.10 = Hex-STRING: 00 00 00 01 00 18 00 42", "ports that are not there"),
        (f'{Q}VlanStaticEgressPorts.10 = STRING: "800000000000f0"', "hexadecimal digits"),
        (f'{Q}VlanStaticEgressPorts.10 = STRING: "58"', "hexadecimal digits"),
        (f"{Q}VlanStaticEgressPorts.30 = Hex-STRING: 80", "which ports are untagged was not walked"),
        (
            f"{Q}VlanCurrentEgressPorts.10.5000 = Hex-STRING: 80\n{Q}VlanCurrentEgressPorts.20.5000 = Hex-STRING: 80",
            "its row does not end in a VID",
        ),
        ("1.3.6.1.2.1.17.7.1.4.3.1.2.10|4x|8", "no string of octets"),
    ],
)
def test_a_list_that_is_no_port_list_leaves_every_port_in_doubt(line: str, why: str) -> None:
    """Lists of numbers and text of digits are sent by some agents (common practice, no source)."""
    box = walk(line)
    assert all(one.doubt for one in box.bridge_ports.values())
    assert any(why in unread.why for unread in box.unread)
    assert all(unread.matters for unread in box.unread)


def test_one_port_of_the_switch_itself_in_every_list_is_no_stranger() -> None:
    """The processor's own port has no row among the bridge ports on some boxes (common practice, no source)."""
    lists = [f"{Q}VlanStaticEgressPorts.{vid} = Hex-STRING: {bitmap({1, 100}, 13)}" for vid in (10, 20)]
    box = walk(*lists)
    assert members(box, 10) == members(box, 20) == {1}
    assert not box.bridge_ports["p1"].doubt


def test_static_lists_go_before_current_ones() -> None:
    """The current table leaves out ports that are down; the static one is what was configured (RFC 4363)."""
    box = walk(f"{Q}VlanStaticEgressPorts.10 = Hex-STRING: C0", f"{Q}VlanCurrentEgressPorts.0.10 = Hex-STRING: 80")
    assert members(box, 10) == {1, 2}


def test_what_was_not_walked_is_not_known() -> None:
    """No PVID, no ingress filtering, no lists: each is a question of its own."""
    box = walk(f"{Q}VlanStaticEgressPorts.10 = Hex-STRING: 80")
    one = box.bridge_ports["p1"]
    assert one.pvid.value not in (None, 1, 10)
    assert vids.text(one.admit.sure) == "10"
    assert one.admit.possible < 0
    bare = walk(f"{Q}Pvid.1 = Gauge32: 10")
    assert all("no list" in one.doubt[0].text for one in bare.bridge_ports.values())


def test_a_row_that_is_not_active_makes_no_vlan() -> None:
    """RFC 4363, dot1qVlanStaticRowStatus: active(1), notInService(2)."""
    box = walk(f"{Q}VlanStaticEgressPorts.10 = Hex-STRING: 80", f"{Q}VlanStaticRowStatus.10 = INTEGER: notInService(2)")
    assert not box.bridges[""].exists.possible >> 10 & 1
