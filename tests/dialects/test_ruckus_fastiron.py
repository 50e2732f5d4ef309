"""FastIron and ICX: ports under their VLANs, dual mode, a moved default VLAN, two forms of bundles.

The guide is the FastIron configuration guide 53-1002494-02, p.739: an untagged port leaves the default VLAN for the one
that lists it; a dual-mode port is untagged in one VLAN, the default VLAN unless a line says which, and tagged in the
rest.
"""

from __future__ import annotations

import pytest

from dialects.boxes import device_of, device_of_fixture
from vlancheck import vids
from vlancheck.dot1q.model import Device, PortKind
from vlancheck.dot1q.properties import Property
from vlancheck.walk import walk
from vlancheck.wiring import Network

START = """\
ver 08.0.30uT7f3
!
vlan 1 name DEFAULT-VLAN by port
!
vlan 10 name desks by port
 tagged ethe 1/1/3
 untagged ethe 1/1/1
!
vlan 20 by port
 tagged ethe 1/1/3
 untagged ethe 1/1/2
!
hostname BOX
interface ethernet 1/1/4
 port-name spare
!
"""
ALL = {f"ethernet1/1/{number}" for number in range(1, 5)}


def device(text: str) -> Device:
    """Return the device that a configuration becomes."""
    return device_of(f"{text}\nend")


def fixture(name: str) -> Device:
    """Return the device of a fixture."""
    return device_of_fixture("ruckus_fastiron", name)


def fields(box: Device, port: str) -> tuple[object, str, str, str]:
    """Return PVID and the VIDs surely admitted, member and untagged of a bridge port that is not in doubt."""
    one = box.bridge_ports[port if port[0].isalpha() else f"ethernet{port}"]
    assert not one.doubt
    admit, member, untagged = (vids.text(cover.sure) for cover in (one.admit, one.member, one.untagged))
    return one.pvid.value, admit, member, untagged


@pytest.mark.parametrize(
    ("port", "frame", "out"),
    [
        ("3", "10", {("1", "untagged")}),
        ("3", "20", {("2", "untagged")}),
        ("3", "untagged", set()),  # tagged, and not in dual mode
        ("3", "30", set()),  # not a member
        ("1", "untagged", {("3", "10")}),
        ("1", "20", set()),  # not a member
    ],
)
def test_guide_p739_tagged_and_untagged_ports(port: str, frame: str, out: set[tuple[str, str]]) -> None:
    """FastIron configuration guide, p.739."""
    found = walk(Network([device(START)], []), f"BOX:ethernet1/1/{port}", frame)

    assert not found.unproven
    assert {(one.port.rpartition("/")[2], one.frame) for one in found.deliveries} == out


def test_guide_p739_dual_mode() -> None:
    """FastIron configuration guide, p.739: `dual-mode N` is untagged in N, a bare one in the default VLAN."""
    box = fixture("mill")

    assert fields(box, "1/1/5") == (20, "10", "10,20", "20")
    assert fields(box, "1/1/6") == (1, "10,20", "1,10,20", "1")
    assert fields(box, "1/1/7") == (None, "20", "20", "none")


def test_a_port_in_no_vlan_is_in_the_default_vlan_wherever_that_was_moved() -> None:
    """FastIron configuration guide, p.739; VLAN 1 is then a VLAN like others."""
    assert fields(fixture("mill"), "1/1/3") == (1, "none", "1", "1")
    assert fields(fixture("kiln"), "1/1/5") == (999, "none", "999", "999")
    (bridge,) = device(
        "ver 08.0\ndefault-vlan-id 999\nvlan 10 by port\n untagged ethe 1/1/1\n!\nend\n"
    ).bridges.values()
    assert bridge.exists.sure == bridge.exists.possible == vids.of([10, 999])


def test_a_newer_release_lists_a_port_tagged_and_untagged() -> None:
    """From memory: without dual mode a port is untagged in one VLAN and tagged in others by the lists alone."""
    box = fixture("kiln")

    assert fields(box, "1/1/2") == (10, "20", "10,20", "10")
    assert fields(box, "lag1") == (20, "1,10", "1,10,20", "20")


def test_whether_a_tagged_port_stays_in_the_default_vlan_is_unknown_of_newer_releases() -> None:
    """Not documented; `no untagged` in the default VLAN settles it."""
    box = fixture("kiln")

    assert box.bridge_ports["ethernet1/1/3"].untagged.possible == vids.of([999])
    assert fields(box, "1/1/3")[1:] == ("10,20", "10,20", "none")
    assert fields(box, "1/1/4") == (None, "20", "20", "none")
    assert not box.bridge_ports["ethernet1/1/4"].untagged.possible


def test_a_bundle_has_the_vlans_of_its_primary_port() -> None:
    """From memory: in older releases what is set at the primary port holds for the whole bundle."""
    box = fixture("mill")

    assert {box.ports[f"ethernet1/1/{port}"].bundle for port in (9, 10)} == {"lag7"}
    assert box.ports["ethernet1/1/9"].bundle_mode == "active"
    assert "ethernet1/1/9" not in box.bridge_ports
    assert fields(box, "lag7") == (30, "10,20", "10,20,30", "30")


def test_what_leaves_its_primary_port_in_doubt_leaves_a_bundle_in_doubt() -> None:
    """A line that speaks of the primary port speaks of the whole bundle."""
    lag = "lag x static id 1\n ports ethernet 1/1/3 to 1/1/4\n primary-port 1/1/3\n deploy\n!\n"

    assert not device(START + lag).bridge_ports["lag1"].doubt
    for lines in (
        "interface ethernet 1/1/3\n route-only\n!\n",
        "interface ethernet 1/1/3\n ip address 192.0.2.1/24\n!\n",
        "authentication\n dot1x enable ethe 1/1/3\n!\n",
        "vlan 20 by port\n metro-ring 1\n  ring-interfaces ethernet 1/1/3 ethernet 1/1/2\n!\n",
    ):
        assert device(START + lag + lines).bridge_ports["lag1"].doubt


def test_a_bundle_that_is_not_deployed_is_in_doubt() -> None:
    """From memory: `deploy` brings a bundle with a primary port into force."""
    box = fixture("mill")

    assert box.bridge_ports["lag8"].doubt
    assert box.bridge_ports["ethernet1/1/11"].doubt


def test_a_router_interface_has_a_number_of_its_own() -> None:
    """`router-interface ve 3` under VLAN 10 stands in VLAN 10."""
    box = fixture("mill")

    assert [name for name, port in box.ports.items() if port.kind is PortKind.INSIDE] == ["ve3"]
    assert fields(box, "ve3") == (10, "none", "10", "10")
    assert box.settings["address:ve3"].value == "10.10.0.1 255.255.255.0"


def test_a_configuration_without_its_end_was_cut() -> None:
    """From memory: a running configuration ends in `end`."""
    box = device_of(START)

    assert all(port.doubt for port in box.bridge_ports.values())


def test_names_say_nothing_of_vlans() -> None:
    """What people write for people is passed over."""
    box = fixture("mill")

    assert box.ports["ethernet1/1/2"].description == "carries tagged 20"
    assert not box.unread


@pytest.mark.parametrize(
    ("lines", "ports"),
    [
        ("trunk ethe 1/1/1 to 1/1/2\n", {"ethernet1/1/1", "ethernet1/1/2"}),
        ("interface ethernet 1/1/2\n link-aggregate active\n!\n", {"ethernet1/1/2"}),
        ("interface ethernet 1/1/2\n route-only\n!\n", {"ethernet1/1/2"}),
        ("interface ethernet 1/1/2\n ip address 192.0.2.1/24\n!\n", {"ethernet1/1/2"}),
        ("vlan 10 by port\n mac-vlan-permit ethe 1/1/4\n!\n", {"ethernet1/1/4"}),
        ("vlan 10 by port\n ip-proto static ethe 1/1/4\n!\n", ALL),
        ("vlan 10 by port\n pvlan type primary\n!\n", ALL),
        ("vlan-group 1 vlan 40 to 42\n tagged ethe 1/1/4\n!\n", {"ethernet1/1/4"}),
        ("authentication\n dot1x enable ethe 1/1/1\n!\n", {"ethernet1/1/1"}),
        ("mirror-port ethernet 1/1/4\n", {"ethernet1/1/4"}),
        ("tag-type 88a8\n", ALL),
        ("vlan 10 by port\n multicast passive\n loop-detection\n!\n", set()),
        ("snmp-server enable traps vlan\n", set()),
    ],
)
def test_which_ports_a_line_leaves_in_doubt(lines: str, ports: set[str]) -> None:
    """What is not modelled leaves exactly the ports it speaks of in doubt."""
    box = device(START + lines)

    assert {name for name, port in box.bridge_ports.items() if port.doubt} == ports


@pytest.mark.parametrize(
    ("lines", "tree"),
    [
        ("", "unknown"),
        ("no spanning-tree\n", "off"),
        ("vlan 10 by port\n spanning-tree\n!\n", "per-vlan"),
        ("spanning-tree single\n", "one-tree"),
        ("mstp start\n", "mst"),
    ],
)
def test_spanning_tree(lines: str, tree: str) -> None:
    """From memory: a tree for each VLAN that has one; `single` is one for all; images differ in what silence means."""
    (bridge,) = device(START + lines).bridges.values()

    assert bridge.spanning_tree.value == tree


# ---- what a port is set to beside VLANs, and what the switch shows ------------------------------------------------


def test_what_a_port_is_set_to_beside_vlans_is_kept() -> None:
    """Words of the guides, from memory; what a line takes back is not there."""
    box = fixture("parlour")
    assert box.ports["ethernet1/1/1"].properties[Property.SPEED].value == "100"
    assert box.ports["ethernet1/1/1"].properties[Property.MAC_LIMIT].value == "2"
    assert box.ports["ethernet1/1/2"].properties[Property.POWER].value == "off"
    assert box.ports["ethernet1/1/2"].properties[Property.VOICE].value == "20"
    assert box.ports["ethernet1/1/3"].properties[Property.ARP_TRUST].value == "yes"
    assert Property.VOICE not in box.ports["ethernet1/1/4"].properties


def test_what_the_switch_shows_stands_beside_what_lines_ask() -> None:
    """Columns of `show vlan` from memory; the lines ask for another VLAN than the one shown."""
    assert fixture("larder").bridge_ports["ethernet1/1/2"].pvid.value == 10
    shown = fixture("larder").ports["ethernet1/1/2"].shown
    assert shown is not None
    assert shown.bridge_port is not None
    assert (shown.bridge_port.pvid.value, vids.text(shown.bridge_port.member.sure)) == (20, "20")


def test_links_and_the_pvid_that_a_neighbour_tells_are_read() -> None:
    """IEEE Std 802.1Q-2022, D.2.1 for the PVID; the columns from memory."""
    box = fixture("larder")
    assert box.ports["ethernet1/1/2"].link.value is False
    assert box.ports["ethernet1/1/4"].link.value is False
    assert box.ports["ethernet1/1/1"].link.value is True
    assert [(one.neighbour, one.neighbour_pvid) for one in box.ports["ethernet1/1/3"].seen if one.neighbour] == [
        ("CELLAR", 10)
    ]


def test_a_table_of_vlans_without_a_configuration_says_what_its_ports_carry() -> None:
    """Tagged, untagged and dual-mode ports of a stack's second unit; columns from memory."""
    box = fixture("shelf")
    assert vids.text(box.bridges[""].exists.sure) == "1,20"
    assert [box.bridge_ports[f"ethernet2/1/{one}"].pvid.value for one in (4, 5, 6)] == [1, None, 20]
    assert box.bridge_ports["ethernet2/1/9"].doubt


def test_a_line_takes_tagged_ports_out_of_the_default_vlan() -> None:
    """The sense of `no dual-mode-default-vlan` is from memory."""
    assert fields(fixture("parlour"), "ethernet1/1/3") == (None, "10,20", "10,20", "none")


@pytest.mark.parametrize(("line", "matters"), [("dual-mode 20", None), ("dual-moode 20", True), ("dula-mode", True)])
def test_a_slip_in_a_word_of_the_family_is_not_passed_over(line: str, matters: bool | None) -> None:
    """Only this word says which VLAN untagged frames of a tagged port are in."""
    text = f"ver 08.0.30uT7f3\nvlan 10 by port\n tagged ethe 1/1/2\n!\ninterface ethernet 1/1/2\n {line}\n!\nend\n"
    assert [one.matters for one in device_of(text).unread] == ([] if matters is None else [matters])
