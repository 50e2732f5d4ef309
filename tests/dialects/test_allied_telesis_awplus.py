"""AlliedWare Plus: access ports and trunks, native VLANs, two kinds of bundles, and what is left in doubt.

The reference is the AlliedWare Plus software reference for x310 switches, C613-50046-01 A, p.16.3
(https://azmanual.top/manuals/427254/allied-telesis-alliedware-plus-operating-system-version-544c-x310-26ftx310-26fpx310-50ftx310-50fp.html?page=415).
"""

from __future__ import annotations

import pytest

from dialects.boxes import device_of, device_of_fixture
from vlancheck import vids
from vlancheck.dot1q.model import Device, PortKind
from vlancheck.walk import walk
from vlancheck.wiring import Network

START = """\
service password-encryption
hostname BOX
spanning-tree mode rstp
vlan database
 vlan 10,20 state enable
interface port1.0.1
 switchport
 switchport mode access
 switchport access vlan 10
interface port1.0.2
 switchport
 switchport mode access
 switchport access vlan 20
interface port1.0.3
 switchport
 switchport mode trunk
 switchport trunk allowed vlan add 10,20
 switchport trunk native vlan none
interface port1.0.4
 switchport
 switchport mode access
"""
ALL = {f"port1.0.{number}" for number in range(1, 5)}


def device(text: str) -> Device:
    """Return the device that a configuration becomes."""
    return device_of(f"{text}\nend")


def bakery() -> Device:
    """Return the device of the fixture that is read wholly."""
    return device_of_fixture("allied_telesis_awplus", "bakery")


def fields(box: Device, port: str) -> tuple[object, str, str, str]:
    """Return PVID and the VIDs surely admitted, member and untagged of a bridge port that is not in doubt."""
    one = box.bridge_ports[port]
    assert not one.doubt
    admit, member, untagged = (vids.text(cover.sure) for cover in (one.admit, one.member, one.untagged))
    return one.pvid.value, admit, member, untagged


def trunk(*lines: str) -> Device:
    """Return a device with a trunk port1.0.9 that has the given lines."""
    return device("\n ".join([START + "interface port1.0.9", "switchport", "switchport mode trunk", *lines]))


@pytest.mark.parametrize(
    ("port", "frame", "out"),
    [
        ("3", "10", {("1", "untagged")}),
        ("3", "20", {("2", "untagged")}),
        ("3", "untagged", set()),  # no native VLAN
        ("3", "30", set()),  # not allowed
        ("1", "untagged", {("3", "10")}),
        ("1", "20", set()),  # another VLAN
    ],
)
def test_reference_p16_3_access_and_trunk(port: str, frame: str, out: set[tuple[str, str]]) -> None:
    """Reference p.16.3: access ports send untagged, trunks tagged; ingress filtering is on."""
    found = walk(Network([device(START)], []), f"BOX:port1.0.{port}", frame)

    assert not found.unproven
    assert {(one.port.rpartition(".")[2], one.frame) for one in found.deliveries} == out


def test_reference_p16_3_a_port_is_in_access_mode_in_vlan_1() -> None:
    """Reference p.16.3: by default a port is in access mode and in VLAN 1."""
    assert fields(bakery(), "port1.0.3") == (1, "none", "1", "1")
    assert fields(device(START + "interface port1.0.9\n switchport\n"), "port1.0.9") == (1, "none", "1", "1")


@pytest.mark.parametrize(
    ("lines", "wanted"),
    [
        ([], (1, "none", "1", "1")),
        (["switchport trunk allowed vlan add 10"], (1, "10", "1,10", "1")),
        (
            ["switchport trunk allowed vlan add 10", "switchport trunk allowed vlan add 20"],
            (1, "10,20", "1,10,20", "1"),
        ),
        (
            ["switchport trunk allowed vlan add 10,20", "switchport trunk allowed vlan remove 10"],
            (1, "20", "1,20", "1"),
        ),
        (["switchport trunk allowed vlan add 10,20", "switchport trunk allowed vlan none"], (1, "none", "1", "1")),
        (["switchport trunk native vlan 20"], (20, "none", "20", "20")),
        (["switchport trunk native vlan none"], (None, "none", "none", "none")),
        (["switchport trunk native vlan 20", "no switchport trunk native vlan"], (1, "none", "1", "1")),
    ],
)
def test_trunk_lists(lines: list[str], wanted: tuple[object, str, str, str]) -> None:
    """From memory: a trunk has VLAN 1 untagged and no other VLAN until lines say so; lists add up."""
    assert fields(trunk(*lines), "port1.0.9") == wanted


@pytest.mark.parametrize(("words", "possible"), [("all", "1-4094"), ("except 20", "1-19,21-4094")])
def test_all_may_leave_out_vlans_made_later(words: str, possible: str) -> None:
    """Not documented: nothing is claimed of a VLAN that no line adds by its number."""
    one = trunk(f"switchport trunk allowed vlan {words}").bridge_ports["port1.0.9"]

    assert one.member.sure == vids.of([1])
    assert vids.text(one.member.possible) == possible


def test_bundles_are_named_by_their_kind() -> None:
    """From memory: a static group N is `saN`, one with LACP `poN`; VLANs are those of the bundle."""
    box = bakery()

    assert (box.ports["port1.0.8"].bundle, box.ports["port1.0.8"].bundle_mode) == ("sa1", "on")
    assert (box.ports["port2.0.9"].bundle, box.ports["port2.0.9"].bundle_mode) == ("po2", "active")
    assert not {"port1.0.7", "port1.0.8", "port1.0.9", "port2.0.9"} & set(box.bridge_ports)
    assert fields(box, "sa1") == (30, "10,20", "10,20,30", "30")
    assert fields(box, "po2") == (1, "22", "1,22", "1")


def test_ranges_of_ports() -> None:
    """From memory: `port1.0.1-1.0.2` repeats no letters, members of a stack are listed with commas."""
    box = device(START + "interface port1.0.5-1.0.6,1.0.8,port2.0.1\n switchport access vlan 20\n")

    assert {port for port in box.bridge_ports if fields(box, port)[0] == 20} == {
        "port1.0.2",
        "port1.0.5",
        "port1.0.6",
        "port1.0.8",
        "port2.0.1",
    }


def test_vlans_are_those_of_the_list() -> None:
    """Reference p.16.3: VLAN 1 cannot be deleted; a VLAN that is disabled is there and carries nothing."""
    (bridge,) = bakery().bridges.values()

    assert bridge.exists.sure == bridge.exists.possible == vids.of([1, 10, 20, 21, 22, 30, 40])
    assert not bridge.active.possible & vids.of([40])
    (bridge,) = device("service password-encryption\ninterface port1.0.1\n switchport\nline con 0\n").bridges.values()
    assert bridge.exists.sure == bridge.exists.possible == vids.of([1])
    (bridge,) = device(START + "vlan database\n no vlan 20\n vlan 10 state disable\n").bridges.values()
    assert bridge.exists.possible == vids.of([1, 10])
    assert not bridge.active.possible & vids.of([10])


def test_a_voice_vlan_of_an_access_port_is_unknown() -> None:
    """Not documented here: the voice VLAN may be tagged at the port or only told to the phone."""
    one = bakery().bridge_ports["port1.0.4"]

    assert (vids.text(one.member.sure), vids.text(one.member.possible)) == ("10", "10,20")


def test_ports_apart_from_the_bridge() -> None:
    """From memory: `eth0` is for management, a resiliency link for the stack."""
    box = bakery()

    assert "eth0" in box.ends
    assert not {"eth0", "port2.0.1"} & set(box.bridge_ports)
    assert [name for name, port in box.ports.items() if port.kind is PortKind.INSIDE] == ["vlan10"]
    assert box.ports["port1.0.3"].description == "till, vlan 20"
    assert not box.unread


@pytest.mark.parametrize(
    ("lines", "ports"),
    [
        ("interface port1.0.2\n switchport mode trunk ingress-filter disable\n", {"port1.0.2"}),
        ("interface port1.0.2\n switchport mode private-vlan host\n", {"port1.0.2"}),
        ("interface port1.0.2\n switchport vlan-stacking customer-edge-port\n", {"port1.0.2"}),
        ("interface port1.0.2\n switchport voice vlan dynamic\n", {"port1.0.2"}),
        ("interface port1.0.2\n vlan classifier activate 1\n", {"port1.0.2"}),
        ("interface port1.0.1-1.0.2\n dot1x port-control auto\n", {"port1.0.1", "port1.0.2"}),
        ("interface port1.0.4\n mirror interface port1.0.1 direction both\n", {"port1.0.4"}),
        ("interface port1.0.2\n openflow\n", {"port1.0.2"}),
        ("openflow native vlan 4090\n", set()),
        ("vlan database\n vlan 10 mtu 1200\n", set()),
        ("platform vlan-stacking-tpid 88a8\n", ALL),
        ("vlan classifier rule 1 ipv4 10.0.0.0/24 vlan 10\n", set()),
        ("interface port1.0.2\n switchport port-security maximum 1\n spanning-tree portfast\n", set()),
        ("snmp-server enable trap vlan\n", set()),
    ],
)
def test_which_ports_a_line_leaves_in_doubt(lines: str, ports: set[str]) -> None:
    """What is not modelled leaves exactly the ports it speaks of in doubt."""
    box = device(START + lines)

    assert {name for name, port in box.bridge_ports.items() if port.doubt} == ports


@pytest.mark.parametrize(
    ("lines", "tree"),
    [
        ("", "one-tree"),
        ("spanning-tree mode mstp\n", "mst"),
        ("spanning-tree mode rpvst+\n", "per-vlan"),
        ("no spanning-tree rstp enable\n", "off"),
    ],
)
def test_spanning_tree(lines: str, tree: str) -> None:
    """IEEE Std 802.1Q-2022, 13: RSTP is one tree for all VLANs, MSTP one for each instance; RPVST+ from memory."""
    (bridge,) = device(START + lines).bridges.values()

    assert bridge.spanning_tree.value == tree


def test_what_a_port_is_shown_to_do_is_kept_beside_its_lines() -> None:
    """`show interface switchport`: mode, default VLAN and configured VLANs (x310 software reference; from memory)."""
    ports = device_of_fixture("allied_telesis_awplus", "shown").ports
    first, second = (ports[f"port1.0.{number}"].shown for number in (1, 2))
    assert first is not None
    assert second is not None
    assert (first.bridge_port.pvid.value, vids.text(first.bridge_port.member.sure)) == (20, "20")
    assert (second.bridge_port.pvid.value, vids.text(second.bridge_port.member.sure)) == (None, "10")


def test_the_table_of_vlans_and_the_neighbours_are_read() -> None:
    """`show vlan all` lists every VLAN; a neighbour that tells no name is known by its chassis."""
    found = device_of_fixture("allied_telesis_awplus", "heard")
    assert vids.text(found.bridges[""].exists.sure) == "1,10,20,40"
    assert [one.neighbour for one in found.ports["port1.0.2"].seen] == ["0200.5e00.1003"]
    assert {one.neighbour_pvid for one in found.ports["port1.0.3"].seen} == {None, 10}
    assert found.ports["port1.0.1"].link.value is False
