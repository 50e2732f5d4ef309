"""VRP: fields and walks as Huawei's guides describe them, defaults that differ by model, and what is left in doubt.

TABLE is "Frame processing based on the port type", AR530 guide, p.90 and 91
(https://manualshive.com/ru/manual/huawei/ar530-series/169308?page=91); TYPE is the page `port link-type` of the
S2720 to S6730 command reference (http://a10.tagan.ru/huawei/dc/port_link-type.html).
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
sysname box
#
vlan batch 10 20 30
#
interface GigabitEthernet0/0/1
 port link-type access
 port default vlan 10
#
interface GigabitEthernet0/0/2
 port link-type trunk
 port trunk pvid vlan 10
 port trunk allow-pass vlan 10 20
#
interface GigabitEthernet0/0/3
 port link-type trunk
 undo port trunk allow-pass vlan 1
 port trunk allow-pass vlan 20
#
interface GigabitEthernet0/0/4
 port link-type hybrid
 port hybrid pvid vlan 10
 undo port hybrid vlan 1
 port hybrid tagged vlan 10
 port hybrid untagged vlan 20
#
interface GigabitEthernet0/0/5
 port link-type access
 port default vlan 20
#
return
"""


def device(text: str) -> Device:
    """Return the device that a configuration becomes."""
    lines = tuple(Line(number, line) for number, line in enumerate(text.split("\n"), 1))
    (found,) = read([Section("box.txt", "", "", lines, None)]).devices
    assert found.dialect == "huawei_vrp"
    return found


def fixture(name: str) -> Device:
    """Return the device of a fixture."""
    (found,) = read_fixture(FIXTURES / "huawei_vrp" / f"{name}.txt").devices
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
        ("1", "10", {("2", "untagged"), ("4", "10")}),  # Quidway S3100, Table 1-2: accepted if the VID is the PVID
        ("1", "20", set()),  # and else discarded
        ("2", "untagged", {("1", "untagged"), ("4", "10")}),  # TABLE, trunk: the default VLAN is permitted
        ("2", "20", {("3", "20"), ("4", "untagged"), ("5", "untagged")}),
        ("2", "30", set()),  # TABLE, trunk: denied
        ("3", "untagged", set()),  # TABLE, trunk: the default VLAN is denied
        ("3", "1", set()),
        ("3", "20", {("2", "20"), ("4", "untagged"), ("5", "untagged")}),
        ("4", "untagged", {("1", "untagged"), ("2", "untagged")}),  # TABLE, hybrid: permitted, though it leaves tagged
        ("4", "20", {("2", "20"), ("3", "20"), ("5", "untagged")}),
    ],
)
def test_each_link_type_takes_and_sends_what_the_table_says(port: str, frame: str, out: set[tuple[str, str]]) -> None:
    """A port of each link type, frames without a tag, of its own VLAN and of others.

    The access rows are Quidway S3100, Table 1-2 (https://manualshive.com/en/manual/huawei/quidway-s3100-series/169817).
    """
    assert came(device(SWITCH), f"GigabitEthernet0/0/{port}", frame) == out


@pytest.mark.parametrize(
    ("lines", "expected"),
    [
        ("access", (1, "1", "1", "1")),  # VLAN 1 is the default VLAN of all interfaces: the page `port`
        ("trunk", (1, "1", "1", "1")),  # USG, `port trunk allow-pass`: packets whose VLAN ID is 1
        ("hybrid", (1, "1", "1", "1")),  # AR530, p.91: all interfaces join VLAN 1; untagged from memory
        ("trunk\n port trunk allow-pass vlan 10\n port trunk allow-pass vlan 20", (1, "1,10,20", "1,10,20", "1")),
        ("trunk\n port trunk allow-pass vlan all\n undo port trunk allow-pass vlan 2 to 4094", (1, "1", "1", "1")),
        ("access\n port default vlan 10\n undo port default vlan", (1, "1", "1", "1")),
        ("hybrid\n port hybrid tagged vlan 10\n port hybrid untagged vlan 10", (1, "1,10", "1,10", "1,10")),
        ("hybrid\n port hybrid tagged vlan 10\n undo port hybrid vlan 1 10", (None, "none", "none", "none")),
    ],
)
def test_what_silence_and_undo_mean(lines: str, expected: tuple[object, str, str, str]) -> None:
    """Lines add to a list, `undo` takes out of it or gives the default back."""
    text = f"#\nsysname box\n#\ninterface GigabitEthernet0/0/1\n port link-type {lines}\n#\n"
    assert fields(device(text), "GigabitEthernet0/0/1") == expected


# ---- the link type that no line says -----------------------------------------------------------------------------


@pytest.mark.parametrize("lines", ["", " port default vlan 10\n", " port trunk allow-pass vlan 10\n"])
def test_without_a_link_type_the_model_decides_and_the_port_is_in_doubt(lines: str) -> None:
    """TYPE: negotiation-auto on some models, negotiation-desirable on others; older ones are hybrid (from memory)."""
    box = device(f"#\nsysname box\n#\nvlan batch 10\n#\ninterface GigabitEthernet0/0/1\n{lines}#\n")
    assert "display port vlan" in {one.settle for one in box.bridge_ports["GigabitEthernet0/0/1"].doubt}


@pytest.mark.parametrize("mode", ["negotiation-auto", "negotiation-desirable"])
def test_a_negotiated_link_type_is_in_doubt(mode: str) -> None:
    """Forum article 506143: the outcome depends on the neighbour, on its LNP and on both VCMP domains."""
    box = device(f"#\nsysname box\n#\ninterface GigabitEthernet0/0/1\n port link-type {mode}\n#\n")
    assert box.bridge_ports["GigabitEthernet0/0/1"].doubt


def test_lines_of_a_hybrid_port_without_a_link_type_say_that_it_is_hybrid() -> None:
    """The page `port hybrid pvid vlan` asks for a hybrid port, so that this is the default of the model."""
    text = "#\nsysname box\n#\ninterface Ethernet0/0/1\n port hybrid pvid vlan 9\n port hybrid untagged vlan 9\n#\n"
    assert fields(device(text), "Ethernet0/0/1") == (9, "1,9", "1,9", "1,9")


def test_the_table_of_ports_settles_what_no_line_says() -> None:
    """`display port vlan` prints the link type in force, the PVID and the VLANs of a trunk, over several rows."""
    box = fixture("silent")
    assert fields(box, "Eth-Trunk3") == (1, "1", "1", "1")
    assert fields(box, "GigabitEthernet0/0/1") == (1, "1", "1", "1")
    assert fields(box, "GigabitEthernet0/0/2") == (10, "10", "10", "10")
    assert fields(box, "GigabitEthernet0/0/3") == (1, "1,10,20,100-102,200", "1,10,20,100-102,200", "1")
    assert fields(box, "GigabitEthernet0/0/4") == (20, "20", "20", "20")
    assert fields(box, "GigabitEthernet0/0/5") == (1, "1", "1", "1")
    assert box.bridge_ports["GigabitEthernet0/0/6"].doubt  # not settled yet
    assert box.bridge_ports["GigabitEthernet0/0/7"].doubt  # not in the table
    assert vids.text(box.bridges[""].exists.sure) == "1,10,20"


def test_a_port_of_cloudengine_is_an_access_port_without_a_line() -> None:
    """From memory; the model is in `display version`."""
    box = fixture("cloud")
    assert fields(box, "100GE1/0/6") == (6, "6", "6", "6")
    assert fields(box, "25GE1/0/2") == (1, "1", "1", "1")
    assert box.bridge_ports["25GE1/0/1"].doubt  # a sub-interface of it is in a bridge domain
    assert "25GE1/0/1.105" not in box.ports


# ---- tags put on and changed -------------------------------------------------------------------------------------


def test_a_tunnel_port_puts_its_vlan_on_and_stacking_some() -> None:
    """CloudEngine 12800 guide, Basic QinQ (support.huawei.com, EDOC1100138135); the page `port vlan-stacking`."""
    box = fixture("wash-house")
    assert came(box, "GigabitEthernet0/0/9", "500") == {("6", "100.500"), ("10", "500")}
    assert came(box, "GigabitEthernet0/0/9", "untagged") == {("6", "100"), ("10", "untagged")}
    assert came(box, "GigabitEthernet0/0/10", "500") == {("6", "100.500"), ("9", "500")}
    assert came(box, "GigabitEthernet0/0/10", "600") == set()


def test_a_mapping_changes_the_tag_in_both_directions() -> None:
    """From memory: `port vlan-mapping vlan 510 map-vlan 10` maps back what leaves."""
    box = fixture("wash-house")
    assert ("1", "untagged") in came(box, "GigabitEthernet0/0/11", "510")
    assert ("11", "510") in came(box, "GigabitEthernet0/0/1", "untagged")


def test_two_tags_are_mapped_to_two_and_of_several_mapped_to_one_none_is_proven_back() -> None:
    """From memory: what goes back is told by the address table."""
    head = SWITCH.split("interface GigabitEthernet0/0/1", maxsplit=1)[0]
    trunk = " port link-type trunk\n port trunk allow-pass vlan 20\n"
    mapped = " port vlan-mapping vlan 100 inner-vlan 5 map-vlan 20 map-inner-vlan 6"
    lines = [
        f"interface GigabitEthernet0/0/1\n{trunk}{mapped}\n#",
        f"interface GigabitEthernet0/0/2\n{trunk}#",
        f"interface GigabitEthernet0/0/3\n{trunk} port vlan-mapping vlan 200 to 203 map-vlan 20\n#\nreturn\n",
    ]
    two = device("\n".join([head, lines[0], lines[1], "return\n"]))
    many = device("\n".join([head, *lines[1:]]))

    assert came(two, "GigabitEthernet0/0/1", "100.5") == {("2", "20.6")}
    assert came(two, "GigabitEthernet0/0/2", "20.6") == {("1", "100.5")}
    assert came(many, "GigabitEthernet0/0/3", "203") == {("2", "20")}
    assert walk(Network([many], []), "box:GigabitEthernet0/0/2", "20").unproven


# ---- bundles, sub-interfaces, isolation --------------------------------------------------------------------------


def test_members_are_only_places_for_cords_and_their_mode_is_that_of_the_bundle() -> None:
    """The member has `eth-trunk`, or the bundle `trunkport`; manual mode until a line says LACP (from memory)."""
    box = fixture("wash-house")
    modes = {name: (one.bundle, one.bundle_mode) for name, one in box.ports.items() if one.bundle}
    assert modes == {
        "GigabitEthernet0/0/21": ("Eth-Trunk2", "on"),
        "GigabitEthernet0/0/22": ("Eth-Trunk2", "on"),
        "XGigabitEthernet0/0/1": ("Eth-Trunk1", "active"),
        "XGigabitEthernet0/0/2": ("Eth-Trunk1", "active"),
    }
    assert not box.bridge_ports.keys() & modes.keys()
    typed = fixture("wide").ports
    assert {name for name, one in typed.items() if one.bundle} == {
        f"GigabitEthernet0/0/{number}" for number in (10, 11, 12)
    }


def test_ports_of_one_isolation_group_hear_nothing_of_each_other() -> None:
    """Common practice, no source."""
    sent = came(fixture("wash-house"), "GigabitEthernet0/0/7", "untagged")
    assert sent
    assert "8" not in {port for port, _ in sent}


def test_a_sub_interface_takes_its_tag_from_a_switched_port_and_from_a_routed_one() -> None:
    """From memory: termination takes the frames of one tag, or of two; the port itself keeps the others."""
    switch, router = fixture("wash-house"), fixture("gate")
    assert [vids.text(level.vids) for level in switch.ends["GigabitEthernet0/0/12.30"].select][:1] == ["700"]
    assert fields(switch, "GigabitEthernet0/0/12") == (None, "20", "20", "1")
    assert router.kind == "router"
    taken = {name: [vids.text(level.vids) for level in end.select] for name, end in router.ends.items()}
    assert taken["Eth-Trunk4.20"][:1] == ["20"]
    assert taken["Eth-Trunk4.30"][:2] == ["30", "7-9"]
    assert taken["GigabitEthernet0/0/3.5"][:1] == ["5"]
    assert taken["Eth-Trunk4.40"] == []  # no line says which tag


def test_where_ports_are_opened_one_by_one_the_others_may_be_shut() -> None:
    """From memory: routers of the NE series print `undo shutdown`, as their ports are shut by default."""
    box = fixture("gate")
    assert box.ports["GigabitEthernet0/0/1"].up.value is True
    assert box.ports["GigabitEthernet0/0/2"].up.value is UNKNOWN
    assert fixture("wash-house").ports["GigabitEthernet0/0/1"].up.value is True


def test_learned_addresses_and_neighbours_are_seen_at_their_ports() -> None:
    """Forms of VRP 5 and 8, from memory; static addresses and those of a VSI prove nothing of a VLAN."""
    boxes = read_fixture(FIXTURES / "huawei_vrp" / "seen.txt").devices
    seen = {(name, one.vid, one.neighbour) for box in boxes for name, port in box.ports.items() for one in port.seen}
    assert seen == {
        ("GigabitEthernet0/0/1", 10, ""),
        ("Eth-Trunk1", 10, ""),
        ("XGigabitEthernet0/0/1", None, "CELLAR"),
        ("25GE1/0/2", 10, ""),
        ("100GE1/0/6", None, "CELLAR"),
    }


# ---- doubt -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("number", [2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 15, 16])
def test_what_is_not_modelled_puts_its_port_in_doubt(number: int) -> None:
    """A VID out of range, MAC VLANs, 802.1X, two tags, a list cut off, two tags mapped to one, TPIDs, copies, voice."""
    box = fixture("doubts")
    assert box.bridge_ports[f"GigabitEthernet0/0/{number}"].doubt
    assert not box.bridge_ports["GigabitEthernet0/0/1"].doubt


def test_a_vlan_that_a_tunnel_carries_elsewhere_is_in_doubt_at_its_interface() -> None:
    """From memory: `l2 binding vsi` gives the frames of a VLAN to a VSI."""
    box = fixture("doubts")
    assert box.bridge_ports["Vlanif41"].doubt
    assert not box.bridge_ports["Vlanif40"].doubt


def test_what_speaks_of_the_whole_device_puts_every_port_in_doubt() -> None:
    """A MUX VLAN, lists of ports not read, a behaviour that changes VLANs, a group of ports; VLAN 5000 is none."""
    box = fixture("wide")
    assert all(one.doubt for one in box.bridge_ports.values())
    assert box.bridges[""].exists.sure == 0
    assert {one.origin[0].line for one in box.unread if one.matters} == {4, 6, 10, 17, 20, 24}


# ---- what a port is set to beside VLANs, and what the switch shows ------------------------------------------------


def test_what_a_port_is_set_to_beside_vlans_is_kept() -> None:
    """Words of the guides, from memory; what a line takes back is not there."""
    box = fixture("parlour")
    assert box.ports["GigabitEthernet0/0/1"].properties[Property.SPEED].value == "10 100"
    assert box.ports["GigabitEthernet0/0/1"].properties[Property.POWER].value == "high"
    assert box.ports["GigabitEthernet0/0/2"].properties[Property.ON_VIOLATION].value == "shutdown"
    assert box.ports["GigabitEthernet0/0/2"].properties[Property.AUTHENTICATION].value == "authentication-profile p1"
    assert box.ports["GigabitEthernet0/0/3"].properties[Property.DHCP_TRUST].value == "yes"
    assert box.ports["GigabitEthernet0/0/4"].properties[Property.VOICE].value == "20"
    assert Property.SPEED not in box.ports["GigabitEthernet0/0/3"].properties
    assert Property.EDGE not in box.ports["GigabitEthernet0/0/3"].properties


def test_links_and_the_pvid_that_a_neighbour_tells_are_read() -> None:
    """IEEE Std 802.1Q-2022, D.2.1 for the PVID; the columns from memory."""
    box = fixture("larder")
    assert box.ports["GigabitEthernet0/0/1"].link.value is False
    assert box.ports["GigabitEthernet0/0/24"].link.value is False
    assert box.ports["GigabitEthernet0/0/23"].link.value is True
    assert [(one.neighbour, one.neighbour_pvid) for one in box.ports["GigabitEthernet0/0/2"].seen if one.neighbour] == [
        ("CELLAR", 10)
    ]
