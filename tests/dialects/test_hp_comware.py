"""Comware: fields and walks as the guides of H3C, HP and 3Com describe them, and what is left in doubt.

TABLE is "How ports of different link types handle frames", S5560 configuration guide, p.124
(https://azmanual.top/manuals/795336/h3c-technologies-h3c-s5560-series-switches.html?page=158) and
S5830V2, p.142 (https://manualshive.com/ru/manual/h3c/s5830v2-series/s5830v2-series_configuration-manual_3846081-159.html).
"""

from __future__ import annotations

import pytest

from dialects.expected import FIXTURES, read_fixture
from vlancheck import vids
from vlancheck.capture import Line, Section
from vlancheck.dot1q.model import Device
from vlancheck.dot1q.properties import Property
from vlancheck.evidence import UNKNOWN
from vlancheck.reader import read
from vlancheck.walk import walk
from vlancheck.wiring import Network

SWITCH = """\
#
 version 7.1.070, Release 6126
#
 sysname box
#
vlan 1
#
vlan 10
#
vlan 20
#
vlan 30
#
interface GigabitEthernet1/0/1
 port link-mode bridge
 port access vlan 10
#
interface GigabitEthernet1/0/2
 port link-mode bridge
 port link-type trunk
 port trunk permit vlan 1 10 20
 port trunk pvid vlan 10
#
interface GigabitEthernet1/0/3
 port link-mode bridge
 port link-type trunk
 undo port trunk permit vlan 1
 port trunk permit vlan 20
#
interface GigabitEthernet1/0/4
 port link-mode bridge
 port link-type hybrid
 undo port hybrid vlan 1
 port hybrid vlan 10 tagged
 port hybrid vlan 20 untagged
 port hybrid pvid vlan 10
#
interface GigabitEthernet1/0/5
 port link-mode bridge
 port access vlan 20
#
return
"""


def device(text: str) -> Device:
    """Return the device that a configuration becomes."""
    lines = tuple(Line(number, line) for number, line in enumerate(text.split("\n"), 1))
    (found,) = read([Section("box.txt", "", "", lines, None)]).devices
    assert found.dialect == "hp_comware"
    return found


def fixture(name: str) -> Device:
    """Return the device of a fixture."""
    (found,) = read_fixture(FIXTURES / "hp_comware" / f"{name}.txt").devices
    return found


def fields(box: Device, port: str) -> tuple[object, str, str, str]:
    """Return PVID, admitted, member and untagged VIDs of a bridge port of which all is certain."""
    one = box.bridge_ports[port]
    covers = (one.admit, one.member, one.untagged)
    assert not one.doubt
    assert all(cover.sure == cover.possible for cover in covers)
    admit, member, untagged = (vids.text(cover.sure) for cover in covers)
    return one.pvid.value, admit, member, untagged


def came(box: Device, port: str, frame: str) -> set[tuple[str, str]]:
    """Return where a frame that is sent into a port comes out, and how; nothing of it is unproven."""
    found = walk(Network([box], []), f"{box.name}:{port}", frame)
    assert not found.unproven
    return {(one.port.rpartition("/")[2], one.frame) for one in found.deliveries}


# ---- which frames a port takes and how they leave ----------------------------------------------------------------


@pytest.mark.parametrize(
    ("port", "frame", "out"),
    [
        ("1", "untagged", {("2", "untagged"), ("4", "10")}),
        ("1", "10", {("2", "untagged"), ("4", "10")}),  # TABLE, access: the VLAN ID is the same as the PVID
        ("1", "20", set()),  # TABLE, access: it is different
        ("2", "untagged", {("1", "untagged"), ("4", "10")}),  # TABLE, trunk: the PVID is permitted
        ("2", "20", {("3", "20"), ("4", "untagged"), ("5", "untagged")}),
        ("2", "30", set()),  # TABLE, trunk: the VLAN is not permitted
        ("3", "untagged", set()),  # TABLE, trunk: the PVID is not permitted
        ("3", "1", set()),
        ("3", "20", {("2", "20"), ("4", "untagged"), ("5", "untagged")}),
        ("4", "untagged", {("1", "untagged"), ("2", "untagged")}),  # TABLE, hybrid: the PVID, though it leaves tagged
        ("4", "20", {("2", "20"), ("3", "20"), ("5", "untagged")}),
    ],
)
def test_each_link_type_takes_and_sends_what_the_table_says(port: str, frame: str, out: set[tuple[str, str]]) -> None:
    """A port of each link type, frames without a tag, of its own VLAN and of others."""
    assert came(device(SWITCH), f"GigabitEthernet1/0/{port}", frame) == out


def test_an_older_release_may_take_untagged_frames_into_a_pvid_it_does_not_permit() -> None:
    """S3610 and S5510 operation manual, p.1-7: the tables of older releases name no such check.

    https://manualarchiveguide.com/manuals/H3C-S3610-28P-Operation-Manual-3375365?page=94
    """
    old = device(SWITCH.replace(" version 7.1.070, Release 6126\n", " stp disable\n"))

    port = old.bridge_ports["GigabitEthernet1/0/3"]
    assert port.pvid.value is UNKNOWN
    assert (vids.text(port.admit.sure), vids.text(port.admit.possible)) == ("20", "1,20")
    assert fields(old, "GigabitEthernet1/0/2") == (10, "1,10,20", "1,10,20", "10")


@pytest.mark.parametrize(
    ("lines", "expected"),
    [
        ("", (1, "1", "1", "1")),  # S5830V2, p.198: access; S5560, p.124: all ports belong to VLAN 1
        ("port link-type trunk", (1, "1", "1", "1")),  # S5830V2, p.198: only packets from VLAN 1
        ("port link-type hybrid", (1, "1", "1", "1")),  # the same page: only VLAN 1, untagged
        (
            "port link-type trunk\n port trunk permit vlan 10\n port trunk permit vlan 20",
            (1, "1,10,20", "1,10,20", "1"),
        ),
        (
            "port link-type trunk\n port trunk permit vlan all\n undo port trunk permit vlan 2 to 4094",
            (1, "1", "1", "1"),
        ),
        ("port link-type trunk\n port trunk permit vlan 10\n undo port link-type", (1, "1", "1", "1")),
        ("port access vlan 10\n undo port access vlan", (1, "1", "1", "1")),
        (
            "port link-type hybrid\n port hybrid vlan 10 tagged\n port hybrid vlan 10 untagged",
            (1, "1,10", "1,10", "1,10"),
        ),
        (
            "port link-type hybrid\n port hybrid vlan 10 tagged\n undo port hybrid vlan 1 10",
            (None, "none", "none", "none"),
        ),
    ],
)
def test_what_silence_and_undo_mean(lines: str, expected: tuple[object, str, str, str]) -> None:
    """Lines add to a list, `undo` takes out of it or gives the default back."""
    text = f"#\n version 7.1.070\n#\nvlan 1\n#\ninterface GigabitEthernet1/0/1\n port link-mode bridge\n {lines}\n#\n"
    assert fields(device(text), "GigabitEthernet1/0/1") == expected


def test_ports_are_put_in_a_vlan_from_its_own_view() -> None:
    """S12500 configuration guide, p.21: `port interface-list` in the view of a VLAN (azmanual.top, manual 795151)."""
    box = fixture("old-sw")
    assert {name: one.pvid.value for name, one in box.bridge_ports.items() if one.pvid.value == 8} == {
        f"Ethernet1/0/{number}": 8 for number in (1, 2, 3, 5)
    }
    assert box.bridge_ports["Ethernet1/0/6"].pvid.value == 1  # put in and taken out
    assert {one.origin[0].line for one in box.unread if one.matters} == {17}  # more items than are read: all in doubt
    assert all(one.doubt for one in box.bridge_ports.values())


# ---- tags put on -------------------------------------------------------------------------------------------------


def test_qinq_puts_the_pvid_on_whatever_comes_in_but_transparent_vlans() -> None:
    """S5830V2 configuration manual, p.197 and 198 (manualarchiveguide.com, 3375615)."""
    box = fixture("sorting-hall")
    assert came(box, "GigabitEthernet1/0/9", "20") == {("10", "20"), ("12", "20")}  # VLAN 100 leaves untagged there
    assert came(box, "GigabitEthernet1/0/9", "untagged") == {("10", "untagged"), ("12", "untagged")}
    assert came(box, "GigabitEthernet1/0/10", "7") == {("9", "7"), ("12", "7")}
    assert came(box, "GigabitEthernet1/0/10", "30") == {("SORTING-HALL:Bridge-Aggregation2", "untagged")}


def test_a_mapping_changes_the_tag_in_both_directions_and_nesting_puts_one_on() -> None:
    """FlexNetwork 5130 EI command reference, p.253 (https://www.easymanua.ls/hpe/flexnetwork-5130-ei-series/manual?p=261)."""
    box = fixture("sorting-hall")
    assert ("1", "untagged") in came(box, "GigabitEthernet1/0/11", "510")
    assert ("11", "510") in came(box, "GigabitEthernet1/0/1", "untagged")
    assert came(box, "GigabitEthernet1/0/12", "500") == {("9", "500"), ("10", "500")}
    assert came(box, "GigabitEthernet1/0/12", "600") == set()


def test_two_tags_are_mapped_to_two_and_of_several_mapped_to_one_none_is_proven_back() -> None:
    """From memory: `tunnel` maps two to two; what goes back of `uni` is told by the address table."""
    box = fixture("mapped")
    assert box.bridge_ports["GigabitEthernet1/0/3"].doubt
    two, many = (box.bridge_ports[f"GigabitEthernet1/0/{number}"] for number in (1, 2))

    assert [(row.pop, [tag.vid for tag in row.push], row.sure) for row in two.entry] == [(2, [20, 6], True)]
    assert [(row.pop, [tag.vid for tag in row.push], row.sure) for row in two.exit] == [(2, [100, 5], True)]
    assert [(row.pop, [tag.vid for tag in row.push], row.sure) for row in many.entry] == [(1, [30], True)]
    assert [(row.drop, row.sure) for row in many.exit] == [(True, False)]


# ---- bundles, routed ports, isolation ----------------------------------------------------------------------------


def test_members_are_only_places_for_cords_and_their_mode_is_that_of_the_bundle() -> None:
    """WX3000E configuration guide, p.220: static is without LACP (azmanual.top, 795480); the words from memory."""
    box = fixture("sorting-hall")
    modes = {name: (one.bundle, one.bundle_mode) for name, one in box.ports.items() if one.bundle}
    assert modes == {
        "GigabitEthernet1/0/23": ("Bridge-Aggregation2", "on"),
        "GigabitEthernet1/0/24": ("Bridge-Aggregation2", "on"),
        "Ten-GigabitEthernet1/0/49": ("Bridge-Aggregation1", "active"),
        "Ten-GigabitEthernet1/0/50": ("Bridge-Aggregation1", "passive"),
    }
    assert not box.bridge_ports.keys() & modes.keys()
    assert fields(box, "Bridge-Aggregation1") == (10, "10,20-22", "10,20-22", "10")
    assert "Ten-GigabitEthernet1/0/52" not in box.bridge_ports  # an IRF port
    assert fixture("wide").bridge_ports["Bridge-Aggregation5"].doubt  # of this bundle no line is captured


def test_a_member_of_another_link_type_than_its_bundle_may_not_be_selected() -> None:
    """WX3000E configuration guide, Table 84: with other class-two settings a member cannot be a Selected port."""
    ports = fixture("doubts").ports
    assert ports["GigabitEthernet1/0/13"].up.value is UNKNOWN
    assert ports["GigabitEthernet1/0/14"].up.value is True


def test_ports_of_one_isolation_group_hear_nothing_of_each_other() -> None:
    """Common practice, no source."""
    sent = came(fixture("sorting-hall"), "GigabitEthernet1/0/7", "untagged")
    assert sent
    assert "8" not in {port for port, _ in sent}


def test_a_router_takes_the_tags_its_sub_interfaces_name() -> None:
    """SR8800 configuration manual, p.126, for second-dot1q (manualarchiveguide.com, 3375795); the rest from memory."""
    box = fixture("router")
    assert box.kind == "router"
    assert box.ports.keys() == {"Route-Aggregation1", *(f"GigabitEthernet0/{number}" for number in range(4))}
    taken = {
        name: tuple(vids.text(level.vids) for level in end.select) for name, end in box.ends.items() if "." in name
    }
    assert taken["Route-Aggregation1.20"][:1] == ("20",)
    assert taken["Route-Aggregation1.30"][:2] == ("30", "7-9")
    assert taken["GigabitEthernet0/3.5"][:2] == ("5", "1-4094")
    assert taken["Route-Aggregation1.40"] == ()
    assert box.ends["Route-Aggregation1.40"].up.value is UNKNOWN  # no line says which tag
    assert box.ports["GigabitEthernet0/1"].bundle == "Route-Aggregation1"


def test_the_table_of_vlans_says_which_there_are() -> None:
    """`display vlan` prints all VLANs in one list, `display vlan all` a block for each, learned ones too."""
    with_list, with_blocks = read_fixture(FIXTURES / "hp_comware" / "shown.txt").devices
    assert vids.text(with_list.bridges[""].exists.sure) == "1,10,20,30-31,40"
    assert with_list.bridges[""].exists.sure == with_list.bridges[""].exists.possible
    assert vids.text(with_blocks.bridges[""].exists.sure) == "1,10,20"


def test_learned_addresses_and_neighbours_are_seen_at_their_ports() -> None:
    """Forms of Comware 5 and 7, from memory; static and other states prove nothing."""
    loft, shed = read_fixture(FIXTURES / "hp_comware" / "seen.txt").devices
    seen = {
        (name, one.vid, one.neighbour) for box in (loft, shed) for name, port in box.ports.items() for one in port.seen
    }
    assert seen == {
        ("GigabitEthernet1/0/1", 10, ""),
        ("Bridge-Aggregation1", 10, ""),
        ("GigabitEthernet1/0/7", 10, ""),
        ("Ten-GigabitEthernet1/0/49", None, "CELLAR"),
        ("GigabitEthernet1/0/3", 10, ""),
        ("GigabitEthernet1/0/4", None, "CELLAR"),
    }
    assert loft.bridge_ports["GigabitEthernet1/0/7"].doubt  # its configuration is not captured


# ---- doubt -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("number", [2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12])
def test_what_is_not_modelled_puts_its_port_in_doubt(number: int) -> None:
    """A VID out of range, VLANs by MAC address, 802.1X, selective QinQ, a list cut off, mappings, smart links."""
    box = fixture("doubts")
    assert box.bridge_ports[f"GigabitEthernet1/0/{number}"].doubt
    assert not box.bridge_ports["GigabitEthernet1/0/1"].doubt


def test_what_speaks_of_the_whole_device_puts_every_port_in_doubt() -> None:
    """Another TPID, an old bundle, a group of ports; VLAN 4095 is none, and MVRP may make others."""
    box = fixture("wide")
    assert {one.origin[0].line for one in box.unread if one.matters} == {8, 17, 19, 21, 25}
    assert all(one.doubt for one in box.bridge_ports.values())
    assert box.bridges[""].exists.sure == 0


# ---- what a port is set to beside VLANs, and what the switch shows ------------------------------------------------


def test_what_a_port_is_set_to_beside_vlans_is_kept() -> None:
    """Words of the guides, from memory; what a line takes back is not there."""
    box = fixture("parlour")
    assert box.ports["GigabitEthernet1/0/1"].properties[Property.SPEED].value == "100"
    assert box.ports["GigabitEthernet1/0/1"].properties[Property.POWER].value == "high"
    assert box.ports["GigabitEthernet1/0/1"].properties[Property.STATIC_MAC].value == "0200-5e00-0001,0200-5e00-0002"
    assert box.ports["GigabitEthernet1/0/2"].properties[Property.AUTHENTICATION].value == "dot1x,mac-authentication"
    assert box.ports["GigabitEthernet1/0/3"].properties[Property.ROOT_GUARD].value == "yes"
    assert box.ports["GigabitEthernet1/0/4"].properties[Property.VOICE].value == "20"
    assert Property.SPEED not in box.ports["GigabitEthernet1/0/3"].properties
    assert Property.EDGE not in box.ports["GigabitEthernet1/0/3"].properties


def test_what_the_switch_shows_stands_beside_what_lines_ask() -> None:
    """Columns of `display interface brief` from memory; the lines ask for another VLAN than the one shown."""
    assert fixture("larder").bridge_ports["GigabitEthernet1/0/1"].pvid.value == 10
    shown = fixture("larder").ports["GigabitEthernet1/0/1"].shown
    assert shown is not None
    assert shown.bridge_port is not None
    assert (shown.bridge_port.pvid.value, vids.text(shown.bridge_port.member.sure)) == (20, "20")


def test_links_and_the_pvid_that_a_neighbour_tells_are_read() -> None:
    """IEEE Std 802.1Q-2022, D.2.1 for the PVID; the columns from memory."""
    box = fixture("larder")
    assert box.ports["GigabitEthernet1/0/1"].link.value is False
    assert box.ports["GigabitEthernet1/0/24"].link.value is False
    assert box.ports["GigabitEthernet1/0/23"].link.value is True
    assert [(one.neighbour, one.neighbour_pvid) for one in box.ports["GigabitEthernet1/0/2"].seen if one.neighbour] == [
        ("CELLAR", 10)
    ]
