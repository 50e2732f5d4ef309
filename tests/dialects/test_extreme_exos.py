"""ExtremeXOS: ports under the names of VLANs, groups called by their first port, and what is left in doubt.

The guide is the ExtremeXOS 10.1 concepts guide, p.62: an untagged port is in one VLAN, and in the default VLAN until it
is deleted from it; further VLANs are tagged.
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
# Module vlan configuration.
configure snmp sysName "BOX"
configure vr VR-Default add ports 1-4
configure vlan Default delete ports 1-3
create vlan "desks"
configure vlan desks tag 10
create vlan "phones"
configure vlan phones tag 20
configure vlan desks add ports 1 untagged
configure vlan phones add ports 2 untagged
configure vlan desks add ports 3 tagged
configure vlan phones add ports 3 tagged
"""


def fixture(name: str) -> Device:
    """Return the device of a fixture."""
    return device_of_fixture("extreme_exos", name)


def fields(box: Device, port: str) -> tuple[object, str, str, str]:
    """Return PVID and the VIDs surely admitted, member and untagged of a bridge port that is not in doubt."""
    one = box.bridge_ports[port]
    assert not one.doubt
    admit, member, untagged = (vids.text(cover.sure) for cover in (one.admit, one.member, one.untagged))
    return one.pvid.value, admit, member, untagged


@pytest.mark.parametrize(
    ("port", "frame", "out"),
    [
        ("3", "10", {("1", "untagged")}),
        ("3", "20", {("2", "untagged")}),
        ("3", "untagged", set()),  # deleted from the default VLAN
        ("3", "1", set()),
        ("1", "untagged", {("3", "10")}),
        ("1", "20", set()),  # not a member
    ],
)
def test_guide_p62_untagged_in_one_vlan_and_tagged_in_the_rest(
    port: str, frame: str, out: set[tuple[str, str]]
) -> None:
    """Concepts guide 10.1, p.62."""
    found = walk(Network([device_of(START)], []), f"BOX:{port}", frame)

    assert not found.unproven
    assert {(one.port.partition(":")[2], one.frame) for one in found.deliveries} == out


def test_a_frame_tagged_with_the_vlan_of_an_untagged_port_is_unproven() -> None:
    """No document says whether an untagged member takes its own tag."""
    found = walk(Network([device_of(START)], []), "BOX:1", "10")

    assert found.unproven


def test_a_port_that_no_line_deletes_stays_in_the_default_vlan() -> None:
    """Concepts guide 10.1, p.62; of a part of the configuration nothing is said."""
    assert fields(device_of(START), "4") == (1, "none", "1", "1")
    assert fields(fixture("quarry"), "2") == (1, "none", "1", "1")
    assert fields(fixture("quarry"), "6") == (None, "none", "none", "none")
    assert fields(device_of(START + "configure vlan default delete ports all\n"), "4") == (None, "none", "none", "none")


def test_an_old_release_lists_the_default_vlan_like_any_other() -> None:
    """From memory: where the default VLAN is created in the text, its ports are all listed."""
    box = device_of(
        '# Module vlan configuration.\nconfigure vr VR-Default add ports 1-2\ncreate vlan "Default"\n'
        "configure vlan Default tag 1\nconfigure vlan Default add ports 2 untagged\n"
    )

    assert fields(box, "1") == (None, "none", "none", "none")
    assert fields(box, "2") == (1, "none", "1", "1")


def test_a_part_of_a_configuration_says_nothing_of_the_default_vlan() -> None:
    """The lines that take ports out of the default VLAN may be missing."""
    box = fixture("part")

    assert fields(box, "1") == (20, "none", "20", "20")
    assert box.bridge_ports["2"].doubt


def test_a_sharing_group_has_the_vlans_of_its_first_port() -> None:
    """From memory: a load-sharing group is configured through the number of its first port."""
    box = fixture("quarry")

    assert {(box.ports[port].bundle, box.ports[port].bundle_mode) for port in ("9", "10")} == {("lag9", "active")}
    assert (box.ports["11"].bundle, box.ports["11"].bundle_mode) == ("lag11", "on")
    assert not {"9", "10", "11"} & set(box.bridge_ports)
    assert fields(box, "lag9") == (40, "20,30", "20,30,40", "40")
    assert fields(box, "lag11") == (None, "20", "20", "none")


@pytest.mark.parametrize(
    "line",
    [
        "configure vlan desks add ports 3 tagged 77",
        "configure vlan desks protocol ip",
        "enable netlogin ports 3 dot1x",
        "configure eaps ring primary port 3",
    ],
)
def test_what_leaves_its_first_port_in_doubt_leaves_a_group_in_doubt(line: str) -> None:
    """A line that speaks of port 3 speaks of the whole group."""
    box = device_of(f"{START}enable sharing 3 grouping 3-4\n{line}\n")

    assert box.bridge_ports["lag3"].doubt


def test_a_vlan_that_is_disabled_is_there_and_carries_nothing() -> None:
    """From memory: `disable vlan` takes a VLAN out of service."""
    (bridge,) = fixture("quarry").bridges.values()

    assert bridge.exists.sure == bridge.exists.possible == vids.of([1, 20, 30, 40])
    assert not bridge.active.possible & vids.of([40])
    assert bridge.active.sure & vids.of([20])


def test_a_vlan_with_an_address_is_a_port_inside() -> None:
    """Common practice, no source; the management VLAN is a port of its own and none of the bridge."""
    box = fixture("quarry")

    assert {name for name, port in box.ports.items() if port.kind is PortKind.INSIDE} == {"vlan crane", "vlan Default"}
    assert fields(box, "vlan crane") == (20, "none", "20", "20")


def test_names_and_descriptions_say_nothing_of_vlans() -> None:
    """What people write for people is passed over."""
    box = fixture("quarry")

    assert box.ports["1"].description == "to_hall"
    assert box.ports["3"].description == "weighing machine"
    assert not box.unread


@pytest.mark.parametrize(
    ("line", "ports"),
    [
        ("configure vlan desks add ports 2 tagged 77", {"2"}),
        ("configure vlan desks add ports 2 private-vlan translated", {"2"}),
        ("configure vlan unknown add ports 1-2 tagged", {"1", "2"}),
        ("configure vman carry add ports 4 untagged", {"4"}),
        ("enable netlogin ports 1 dot1x", {"1"}),
        ("configure eaps ring primary port 3", {"3"}),
        ("enable mlag port 3 peer twin id 3", {"3"}),
        ("configure ports 3 redundant 4", {"3"}),
        ("configure vlan desks protocol ip", {"1", "2", "3", "4"}),
        ("configure vlan desks delete ports all", {"1", "2", "3", "4"}),
        ("configure vlan Default tag 30", {"1", "2", "3", "4"}),
        ("create vman carry", set()),
        ("configure vr elsewhere add vlan desks", set()),
        ("enable ipforwarding vlan desks", set()),
        ("configure ospf add vlan desks area 0.0.0.0", set()),
    ],
)
def test_which_ports_a_line_leaves_in_doubt(line: str, ports: set[str]) -> None:
    """What is not modelled leaves exactly the ports it speaks of in doubt."""
    box = device_of(f"{START}{line}\n")

    assert {name for name, port in box.bridge_ports.items() if port.doubt} == ports


def test_an_enabled_spanning_tree_domain_is_not_modelled() -> None:
    """From memory: a domain does nothing until it is enabled."""
    trees = [
        next(iter(device_of(START + line).bridges.values())).spanning_tree.value for line in ("", "enable stpd s0\n")
    ]

    assert trees == ["off", "unknown"]


# ---- what a port is set to beside VLANs, and what the switch shows ------------------------------------------------


def test_what_a_port_is_set_to_beside_vlans_is_kept() -> None:
    """Words of the guides, from memory; what a line takes back is not there."""
    box = fixture("parlour")
    assert box.ports["1"].properties[Property.SPEED].value == "100"
    assert box.ports["1"].properties[Property.ON_VIOLATION].value == "stop-learning"
    assert box.ports["1"].properties[Property.BPDU_GUARD].value == "yes"
    assert box.ports["2"].properties[Property.POWER].value == "off"
    assert box.ports["3"].properties[Property.ROOT_GUARD].value == "yes"
    assert box.ports["4"].properties[Property.AUTHENTICATION].value == "dot1x mac"
    assert Property.STICKY_MAC not in box.ports["3"].properties


def test_what_the_switch_shows_stands_beside_what_lines_ask() -> None:
    """Columns of `show ports information detail` from memory; the lines ask for another VLAN than the one shown."""
    assert fixture("larder").bridge_ports["2"].pvid.value == 10
    shown = fixture("larder").ports["2"].shown
    assert shown is not None
    assert shown.bridge_port is not None
    assert (shown.bridge_port.pvid.value, vids.text(shown.bridge_port.member.sure)) == (1, "1")


def test_links_and_the_pvid_that_a_neighbour_tells_are_read() -> None:
    """IEEE Std 802.1Q-2022, D.2.1 for the PVID; the columns from memory."""
    box = fixture("larder")
    assert box.ports["2"].link.value is False
    assert box.ports["1"].link.value is True
