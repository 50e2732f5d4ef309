"""Particular semantics of Junos, each with the document that says so."""

from __future__ import annotations

from pathlib import Path

import pytest

from dialects.boxes import came, device_of
from dialects.expected import FIXTURES, read_fixture
from vlancheck import vids
from vlancheck.capture import Section
from vlancheck.capture.lines import numbered
from vlancheck.dot1q.model import BridgePort, Device, PortKind
from vlancheck.evidence import UNKNOWN
from vlancheck.pipeline import read_paths
from vlancheck.reader import Reading, read, with_lines_pasted
from vlancheck.site.live import as_shown
from vlancheck.writer import PortPlan, Wish, edit
from vlancheck.writer.plan import WriteError

UNIT = "set interfaces ge-0/0/1 unit 0 family ethernet-switching"
HEAD = "set version 18.4R3.3\nset system host-name X\nset vlans red vlan-id 10\nset vlans blue vlan-id 20\n"


def box(tmp_path: Path, text: str, head: str = HEAD) -> Device:
    """Return the device that the head and `text` make."""
    path = tmp_path / "x.txt"
    path.write_text(f"{head}{text}\n")
    (found,) = read_paths([path]).devices
    return found


def port(tmp_path: Path, *lines: str) -> BridgePort:
    """Return the switched unit that `lines` make."""
    return box(tmp_path, "\n".join(lines)).bridge_ports["ge-0/0/1.0"]


def test_a_port_without_a_mode_is_an_access_port_of_the_vlan_default(tmp_path: Path) -> None:
    """Junos OS 10.3 software guide for EX, p.1382 (manualshive.com, manual 2032793)."""
    made = port(tmp_path, UNIT)

    assert (made.pvid.value, vids.text(made.member.sure), vids.text(made.untagged.sure)) == (1, "1", "1")


def test_the_vlan_default_has_the_tag_it_is_given(tmp_path: Path) -> None:
    """Common practice, no source."""
    assert port(tmp_path, "set vlans default vlan-id 5", UNIT).pvid.value == 5
    assert port(tmp_path, "set vlans default vlan-id 5", f"{UNIT} vlan members default").pvid.value == 5
    assert port(tmp_path, "set vlans default interface ge-0/0/1.0", UNIT).pvid.value == 1


def test_an_access_port_takes_no_frame_tagged_with_another_vlan(tmp_path: Path) -> None:
    """Ethernet Switching on EX Series, p.6: untagged packets only; of its own VLAN's tag nothing is published."""
    made = port(tmp_path, f"{UNIT} interface-mode access", f"{UNIT} vlan members red")

    assert made.pvid.value == 10
    assert vids.text(made.admit.sure) == "none"
    assert vids.text(made.admit.possible) == "10"


def test_a_trunk_drops_untagged_frames_unless_it_has_a_native_vlan(tmp_path: Path) -> None:
    """Statement native-vlan-id, Default (juniper.net, native-vlan-id-edit-interfaces-qfx-series.html)."""
    made = port(tmp_path, f"{UNIT} interface-mode trunk", f"{UNIT} vlan members [ red blue ]")

    assert made.pvid.value is None
    assert vids.text(made.admit.sure) == "10,20"


def test_newer_style_native_vlan_must_be_in_the_list(tmp_path: Path) -> None:
    """It must belong to the trunk's list (Junos OS 10.3 security, "Understanding Layer 2 Interfaces").

    Of one that does not, nothing is published: it stays open.
    """
    trunk = (f"{UNIT} interface-mode trunk", f"{UNIT} vlan members red")
    inside = port(tmp_path, "set interfaces ge-0/0/1 native-vlan-id 10", *trunk)
    outside = port(tmp_path, "set interfaces ge-0/0/1 native-vlan-id 20", *trunk)

    assert (inside.pvid.value, vids.text(inside.untagged.sure), vids.text(inside.member.possible)) == (10, "10", "10")
    assert outside.pvid.value is UNKNOWN
    assert (vids.text(outside.member.sure), vids.text(outside.member.possible)) == ("10", "10,20")


def test_older_style_native_vlan_of_the_unit_is_a_member_by_itself(tmp_path: Path) -> None:
    """Statement native-vlan-id, platforms without ELS, for its place; membership from memory."""
    made = port(tmp_path, f"{UNIT} port-mode trunk", f"{UNIT} vlan members red", f"{UNIT} native-vlan-id blue")

    assert (made.pvid.value, vids.text(made.member.sure), vids.text(made.untagged.sure)) == (20, "10,20", "20")


def test_older_style_vlan_lists_its_ports(tmp_path: Path) -> None:
    """Common practice, no source: `vlans NAME interface` and `vlan members` say the same."""
    made = port(tmp_path, UNIT, "set vlans blue interface ge-0/0/1.0")

    assert (made.pvid.value, vids.text(made.untagged.sure)) == (20, "20")


@pytest.mark.parametrize(
    ("written", "read"),
    [("red", "10"), ("20", "20"), ("20-22", "20-22"), ("all", "1-4094"), ("[ red 30-31 ]", "10,30-31")],
)
def test_members_by_name_number_range_and_all(tmp_path: Path, written: str, read: str) -> None:
    """Common practice, no source."""
    assert (
        vids.text(port(tmp_path, f"{UNIT} interface-mode trunk", f"{UNIT} vlan members {written}").admit.sure) == read
    )


def test_a_vlan_named_by_number_alone_may_be_missing(tmp_path: Path) -> None:
    """Nothing published says that a port's list makes the VLAN."""
    exists = box(tmp_path, f"{UNIT} vlan members 30").bridges[""].exists

    assert vids.text(exists.sure & vids.WIRE) == "1,10,20"
    assert vids.text(exists.possible & vids.WIRE) == "1,10,20,30"


def test_a_part_of_the_configuration_leaves_the_vlans_open(tmp_path: Path) -> None:
    """Every configuration begins with its version; a text without it may lack VLANs."""
    exists = box(tmp_path, f"{UNIT} vlan members red", head="set vlans red vlan-id 10\n").bridges[""].exists

    assert vids.text(exists.sure & vids.WIRE) == "1,10"
    assert exists.possible >> 77 & 1


def test_deactivated_statements_have_no_effect(tmp_path: Path) -> None:
    """Common practice, no source: both lines are counted and passed over."""
    made = port(
        tmp_path,
        f"{UNIT} interface-mode trunk",
        f"{UNIT} vlan members red",
        f"{UNIT} vlan members blue",
        f"{UNIT.replace('set', 'deactivate')} vlan members red",
    )

    assert vids.text(made.member.sure) == "20"


def test_a_range_of_interfaces_and_the_ports_own_lines_add_up(tmp_path: Path) -> None:
    """Junos OS, Interface Ranges (juniper.net, switches-interface-range.html): appended from 14.1X53-D15 on."""
    unit = UNIT.replace("ge-0/0/1", "interface-range many")
    made = port(
        tmp_path,
        "set interfaces interface-range many member-range ge-0/0/0 to ge-0/0/2",
        f"{unit} interface-mode trunk",
        f"{unit} vlan members red",
        f"{UNIT} vlan members blue",
    )

    assert vids.text(made.member.sure) == "10,20"


def test_a_member_written_as_a_pattern_leaves_every_port_open(tmp_path: Path) -> None:
    """Junos OS, Interface Ranges: a pattern counts ports that the box may not have; it is not spelt out."""
    made = port(tmp_path, UNIT, 'set interfaces interface-range many member "ge-0/0/[0-7]"')

    assert made.doubt


def test_a_bundle_says_how_its_members_join(tmp_path: Path) -> None:
    """From memory: a bundle without a statement of lacp speaks none."""
    lines = "set interfaces ge-0/0/1 ether-options 802.3ad ae0\nset interfaces ge-0/0/2 gigether-options 802.3ad ae1\n"
    found = box(tmp_path, f"{lines}set interfaces ae1 aggregated-ether-options lacp passive").ports

    assert {name: (one.bundle, one.bundle_mode) for name, one in found.items()} == {
        "ge-0/0/1": ("ae0", "on"),
        "ge-0/0/2": ("ae1", "passive"),
        "ae0": ("", ""),
        "ae1": ("", ""),
    }


def test_sub_interfaces_take_their_tags(tmp_path: Path) -> None:
    """Junos, vlan-id and vlan-tags; of the native VLAN's own interface the page native-vlan-id, Description."""
    text = (
        "set interfaces ge-0/0/1 vlan-tagging\n"
        "set interfaces ge-0/0/1 unit 5 vlan-id 5\n"
        "set interfaces ge-0/0/1 unit 5 family inet address 192.0.2.1/30\n"
        "set interfaces ge-0/0/1 unit 6 vlan-tags outer 0x8100.6 inner 7\n"
        "set interfaces ge-0/0/1 unit 6 family inet6 address 2001:db8::1/64"
    )
    plain = box(tmp_path, text).ends
    native = box(tmp_path, f"{text}\nset interfaces ge-0/0/1 native-vlan-id 5").ends

    assert {name: [vids.text(level.vids) for level in end.select] for name, end in plain.items()} == {
        "ge-0/0/1.5": ["5", "4095"],
        "ge-0/0/1.6": ["6", "7", "4095"],
    }
    assert plain["ge-0/0/1.5"].up.value is True
    assert native["ge-0/0/1.5"].up.value is UNKNOWN


def test_a_vlans_own_interface_is_inside(tmp_path: Path) -> None:
    """Common practice, no source."""
    found = box(
        tmp_path, "set interfaces irb unit 7 family inet address 192.0.2.1/24\nset vlans red l3-interface irb.7"
    )

    assert found.ports["irb.7"].kind is PortKind.INSIDE
    assert found.bridge_ports["irb.7"].pvid.value == 10


def test_a_voice_vlan_is_tagged_beside_the_access_vlan(tmp_path: Path) -> None:
    """Junos OS 9.4, ethernet-switching-options voip: interface (all | NAME | access-ports), vlan (ID | NAME)."""
    for name in ("ge-0/0/1.0", "access-ports", "all"):
        made = port(tmp_path, f"set switch-options voip interface {name} vlan blue", UNIT, f"{UNIT} vlan members red")
        assert (vids.text(made.admit.sure), vids.text(made.member.sure), vids.text(made.untagged.sure)) == (
            "20",
            "10,20",
            "10",
        )


DOUBTED = [
    "set interfaces ge-0/0/1 apply-groups edge",
    "set groups edge interfaces <ge-*> unit 0 family ethernet-switching vlan members blue\nset apply-groups edge",
    "set groups edge when time 01:00 to 02:00",
    "set interfaces ge-0/0/1 unit 0 input-vlan-map push",
    "set interfaces ge-0/0/1 encapsulation ethernet-bridge",
    "set interfaces ge-0/0/1 unit 0 vlan-id 5",
    "set interfaces ge-0/0/1 unit 0 family bridge interface-mode trunk",
    "set interfaces ge-0/0/1 gigether-options ethernet-switch-profile tag-protocol-id 0x9100",
    f"{UNIT} vlan members nowhere",
    f"{UNIT} port-mode tagged-access",
    "set vlans red dot1q-tunneling customer-vlans 1-5",
    "set vlans red interface all",
    "set vlans red no-local-switching",
    "set firewall family ethernet-switching filter f term t then vlan blue",
    "set ethernet-switching-options redundant-trunk-group group g interface ge-0/0/1.0 primary",
    "set protocols mvrp interface all",
    "set protocols dot1x authenticator interface ge-0/0/1.0 supplicant single",
    "set protocols dot1x authenticator interface all",
    "set ethernet-switching-options analyzer a output interface ge-0/0/1.0",
    "set logical-systems l interfaces ge-0/0/1 unit 0 vlan-id 5",
    "set security forwarding-options secure-wire w interface ge-0/0/1.0",
    "set routing-instances v instance-type virtual-switch",
    "delete interfaces ge-0/0/1 unit 0",
    "activate interfaces ge-0/0/1",
    'set event-options policy p then change-configuration commands "deactivate interfaces ge-0/0/1"',
    "set protocols igmp-snooping vlan all data-forwarding receiver source-vlans red",
    "set vlans red forwarding-options vlan-anything",
    "set protocols dot1x authenticator static 00:00:5e:00:53:01/48 vlan-assignment blue",
]


@pytest.mark.parametrize("line", DOUBTED)
def test_what_may_change_a_port_leaves_it_open(tmp_path: Path, line: str) -> None:
    """Not followed is not proven."""
    assert port(tmp_path, UNIT, f"{UNIT} vlan members red", line).doubt


HARMLESS = [
    'set vlans red description "vlan for the trunk"',
    'set snmp location "closet with the vlan box"',
    "set policy-options policy-statement vlans term tagged from interface irb.10",
    "set firewall family ethernet-switching filter f term t from vlan red",
    "set security zones security-zone vlan10 interfaces irb.10 host-inbound-traffic system-services ping",
    "set forwarding-options dhcp-relay group vlan-10 interface irb.10",
    "set ethernet-switching-options secure-access-port vlan red arp-inspection",
    "set protocols igmp-snooping vlan red interface ge-0/0/1.0 multicast-router-interface",
    "set system login message vlan",
    "set firewall family inet filter vlan-10 term a then accept",
    "set policy-options prefix-list vlan10 192.0.2.0/24",
    "set security zones security-zone trust interfaces vlan.10",
    "set protocols igmp-snooping vlan all",
    "set protocols lldp interface all",
    "set interfaces ge-0/0/1 mtu 9216",
    "set routing-instances r interface irb.7",
]


@pytest.mark.parametrize("line", HARMLESS)
def test_what_says_nothing_of_vlans_is_passed_over(tmp_path: Path, line: str) -> None:
    """Named sections that hold VLAN words and decide no frame's VLAN."""
    found = box(tmp_path, f"{UNIT}\n{line}")

    assert found.unread == ()
    assert not found.bridge_ports["ge-0/0/1.0"].doubt


@pytest.mark.parametrize("bad", ["0", "4095", "none"])
def test_a_vlan_id_that_is_none_leaves_the_vlans_open(tmp_path: Path, bad: str) -> None:
    """Junos OS 10.3 software guide for EX, p.1382: 0 and 4095 are reserved."""
    found = box(tmp_path, f"{UNIT}\nset vlans green vlan-id {bad}")

    assert [item.matters for item in found.unread] == [True]
    assert not found.bridges[""].exists.sure & vids.WIRE


# ---- lines to be pasted ------------------------------------------------------------------------------------------

TRUNK = f"{UNIT} interface-mode trunk\n{UNIT} vlan members red\nset interfaces ge-0/0/1 native-vlan-id 10"
ACCESS = UNIT.replace("ge-0/0/1", "ge-0/0/2")


def read_as_x(text: str) -> Reading:
    """Return what a text says of a box called X."""
    captured = Section("x.txt", "", "", tuple(numbered(text)), None)
    return read([captured], names={"x.txt": "X"}, dialects={"X": "juniper_junos"})


def planned(*lines: str, text: str = f"{HEAD}{TRUNK}\n{ACCESS} vlan members red") -> Device:
    """Return the box of `text` with lines pasted."""
    reading = read_as_x(text)
    edits = Section("edits/X.txt", "", "", tuple(numbered("\n".join(lines))), None)
    (found,) = with_lines_pasted(reading, {"X": [edits]}).devices
    return found


def said(box: Device, name: str = "ge-0/0/1.0") -> tuple[object, str, str]:
    """Return PVID, member and untagged VIDs of a switched unit of which nothing is in doubt."""
    one = box.bridge_ports[name]
    assert not one.doubt
    return one.pvid.value, vids.text(one.member.sure), vids.text(one.untagged.sure)


@pytest.mark.parametrize(
    ("lines", "becomes"),
    [
        (f"{UNIT} vlan members blue", (10, "10,20", "10")),
        (f"set interfaces ge-0/0/1 native-vlan-id 20\n{UNIT} vlan members blue", (20, "10,20", "20")),
        ("delete interfaces ge-0/0/1 native-vlan-id", (None, "10", "none")),
        (f"delete interfaces ge-0/0/1 native-vlan-id 10\n{UNIT} vlan members [ blue 30 ]", (None, "10,20,30", "none")),
        (f"{UNIT} vlan members 30\n{UNIT.replace('set', 'delete')} vlan members red", (UNKNOWN, "30", "10")),
        (f"{UNIT.replace('set', 'delete')} vlan members\n{UNIT} interface-mode access", (1, "1", "1")),
        ("deactivate interfaces ge-0/0/1 native-vlan-id", (None, "10", "none")),
        ("deactivate interfaces ge-0/0/1\nactivate interfaces ge-0/0/1", (10, "10", "10")),
        ("delete interfaces ge-0/0/1 unit 0 family ethernet-switching interface-mode", (10, "10", "10")),
        ("set vlans red vlan-id 77", (UNKNOWN, "77", "10")),
    ],
)
def test_pasted_lines_edit_the_statements(lines: str, becomes: tuple[object, str, str]) -> None:
    """Junos OS CLI User Guide, configuration mode: set, delete, deactivate and activate (from memory)."""
    one = planned(lines).bridge_ports["ge-0/0/1.0"]

    assert not one.doubt
    assert (one.pvid.value, vids.text(one.member.sure), vids.text(one.untagged.sure)) == becomes


def test_what_is_pasted_is_evidence_with_its_own_file_and_line() -> None:
    found = planned("# a remark", f"{UNIT} vlan members blue").bridge_ports["ge-0/0/1.0"]

    red, blue = ({(one.file, one.line) for one in found.admit.why(vid)[1]} for vid in (10, 20))
    assert ("edits/X.txt", 2) in blue
    assert ("x.txt", 6) in red - blue


def test_a_port_whose_last_list_goes_is_in_the_vlan_default_and_one_whose_unit_goes_is_no_bridge_port() -> None:
    """The family stays when its last statement goes (from memory)."""
    unit = "delete interfaces ge-0/0/2 unit 0"

    assert said(planned(f"{unit} family ethernet-switching vlan members red"), "ge-0/0/2.0") == (1, "1", "1")
    assert said(planned(f"{unit} family ethernet-switching vlan"), "ge-0/0/2.0") == (1, "1", "1")
    for path in (f"{unit} family ethernet-switching", unit, "delete interfaces ge-0/0/2"):
        found = planned(path)
        assert "ge-0/0/2.0" not in found.bridge_ports
        assert said(found) == (10, "10", "10")


def test_a_deleted_vlan_leaves_what_names_it_unread() -> None:
    """The box would refuse the commit: a name that no VLAN has."""
    found = planned("delete vlans red", "set vlans green vlan-id 30")

    assert not found.bridges[""].exists.possible >> 10 & 1
    assert found.bridges[""].exists.sure >> 30 & 1
    assert {item.port for item in found.unread if item.matters} == {"ge-0/0/1", "ge-0/0/2"}


def test_a_vlan_with_another_tag_has_it_alone() -> None:
    found = planned("set vlans red vlan-id 77").bridges[""]

    assert vids.text(found.exists.sure & vids.WIRE) == "1,20,77"
    assert vids.text(found.exists.possible & vids.WIRE) == "1,20,77"


def test_lines_are_pasted_over_braces_and_ranges() -> None:
    """A member that is typed gets what its range says; the evidence is of both files."""
    braces = (
        "version 18.4R3.3;\nsystem {\n    host-name X;\n}\ninterfaces {\n    interface-range many {\n"
        "        member ge-0/0/3;\n        unit 0 {\n            family ethernet-switching {\n"
        "                vlan {\n                    members [ red ];\n                }\n            }\n"
        "        }\n    }\n}\nvlans {\n    red {\n        vlan-id 10;\n    }\n}\n"
    )
    found = planned("set interfaces interface-range many member ge-0/0/4", text=braces)
    fewer = planned("delete interfaces interface-range many member ge-0/0/3", text=braces)

    assert said(found, "ge-0/0/3.0") == said(found, "ge-0/0/4.0") == (10, "10", "10")
    assert {(one.file, one.line) for one in found.bridge_ports["ge-0/0/4.0"].pvid.origins if one.file} >= {
        ("x.txt", 11),
        ("edits/X.txt", 1),
    }
    assert "ge-0/0/3.0" not in fewer.bridge_ports


def test_a_deletion_that_finds_nothing_is_a_note() -> None:
    """The box prints `warning: statement not found` and goes on (from memory)."""
    found = planned("delete interfaces ge-0/0/7 disable", f"{UNIT} vlan members blue")

    assert [(item.origin[0].line, item.why, item.matters) for item in found.unread] == [
        (1, "nothing is there for it to act on", False)
    ]
    assert said(found) == (10, "10,20", "10")


@pytest.mark.parametrize(
    "line",
    [
        "delete int ge-0/0/1 native-vlan-id",
        "delete interfaces ge-0/0/1.0 family",
        "rename interfaces ge-0/0/1 to ge-0/0/5",
        "replace pattern ge-0/0/1 with ge-0/0/5",
        "wildcard delete interfaces ge-*",
        "edit interfaces ge-0/0/1",
        "rollback 1",
        "load merge terminal",
    ],
)
def test_pasted_lines_that_are_not_followed_leave_every_port_open(line: str) -> None:
    found = planned(f"{UNIT} vlan members blue", line)

    assert all(found.bridge_ports[name].doubt for name in ("ge-0/0/1.0", "ge-0/0/2.0"))


def test_a_pasted_block_adds_and_one_that_replaces_is_not_followed() -> None:
    block = (
        "interfaces {\n    ge-0/0/1 {\n        unit 0 {\n            family ethernet-switching {\n"
        "                vlan {\n                    members blue;\n                }\n            }\n"
        "        }\n    }\n}"
    )

    assert said(planned(block)) == (10, "10,20", "10")
    for mark in ("replace: ge-0/0/1", "inactive: ge-0/0/8"):
        marked = block.replace("ge-0/0/1", f"ge-0/0/9 {{\n        disable;\n    }}\n    {mark}")
        assert planned(marked).bridge_ports["ge-0/0/1.0"].doubt


def test_what_was_shown_stays_when_lines_are_pasted() -> None:
    """Addresses stay in the VLAN that had the name when they were learned, and the link that was down is."""
    before = read_fixture(FIXTURES / "juniper_junos" / "shown.txt")
    lines = "delete vlans till\nset vlans till vlan-id 30\ndelete interfaces ge-0/0/3 unit 0"
    edits = Section("edits/LOFT-3.txt", "", "", tuple(numbered(lines)), None)
    (found,) = with_lines_pasted(before, {"LOFT-3": [edits]}).devices

    assert found.ports["ge-0/0/3"].link.value is False
    assert [(one.mac, one.vid, one.neighbour) for one in found.ports["ge-0/0/0"].seen] == [
        ("00:00:5e:00:53:02", 10, ""),
        ("00:00:5e:00:53:03", 20, ""),
        ("", None, "LOFT-1"),
    ]


# ---- lines that are written --------------------------------------------------------------------------------------


def test_a_list_of_names_and_ranges_is_written_anew() -> None:
    """What no single deletion takes out of a list is said again without it."""
    text = f"{HEAD}set vlans green vlan-id 30\nset vlans grey vlan-id 31\n{UNIT} interface-mode trunk\n"
    reading = read_as_x(f"{text}{UNIT} vlan members [ red 30-31 ]")
    made = edit(reading.gathered["X"], "X", Wish(ports=(PortPlan("ge-0/0/1", None, vids.of([30])),)))

    assert made.lines == (
        "delete interfaces ge-0/0/1 native-vlan-id",
        "delete interfaces ge-0/0/1 unit 0 family ethernet-switching vlan",
        f"{UNIT} interface-mode trunk",
        f"{UNIT} vlan members [ 30 ]",
    )
    assert made.exact


@pytest.mark.parametrize(
    "lines",
    [
        f"{UNIT} port-mode trunk\n{UNIT} vlan members red",
        f"{UNIT}\nset ethernet-switching-options storm-control interface all",
        "set interfaces ge-0/0/1 unit 0 family inet address 192.0.2.1/24",
    ],
)
def test_nothing_is_written_for_a_box_of_the_older_style_or_a_port_with_an_address(lines: str) -> None:
    """The phrases are those of the newer style, and an address and switching do not stand on one unit (from memory)."""
    reading = read_as_x(f"{HEAD}{lines}")

    with pytest.raises(WriteError, match="is in doubt"):
        edit(reading.gathered["X"], "X", Wish(ports=(PortPlan("ge-0/0/1", 20),)))


def kilns() -> dict[str, Device]:
    """Return the boxes of the fixture of tables of VLANs."""
    return {one.name: one for one in read_fixture(FIXTURES / "juniper_junos" / "tables.txt").devices}


def test_what_a_unit_was_shown_to_do_is_kept_at_its_port() -> None:
    """Columns of both styles from memory; the lines of KILN-4 ask for another VLAN than the one shown."""
    box = kilns()["KILN-4"]
    shown = box.ports["ge-0/0/2"].shown
    assert shown is not None
    assert (shown.bridge_port.name, shown.bridge_port.pvid.value) == ("ge-0/0/2.0", 99)
    assert box.bridge_ports["ge-0/0/2.0"].pvid.value == 20

    now = as_shown(box)
    assert now.bridge_ports["ge-0/0/2.0"].pvid.value == 99
    asked = now.ports["ge-0/0/2"].configured
    assert asked is not None
    assert asked.pvid.value == 20


def test_the_table_of_vlans_alone_tells_members_and_not_their_tags() -> None:
    """Both styles print the ports of each VLAN and no more; what is missing is unknown, not left out."""
    one = kilns()["KILN-2"].bridge_ports["ge-0/0/1.0"]
    assert vids.text(one.member.sure) == "10,20"
    assert one.pvid.value is UNKNOWN
    assert (vids.text(one.untagged.sure), vids.text(one.untagged.possible)) == ("none", "10,20")
    assert kilns()["KILN-2"].bridge_ports["ge-0/0/7.0"].doubt, "its VLAN has no tag in the table"


def test_a_table_of_vlans_proves_others_absent_only_where_every_row_was_understood(tmp_path: Path) -> None:
    """From memory: `show vlans` lists every VLAN of the switch."""
    table = "k@K-1> show vlans\nName           Tag     Interfaces\ndefault        1\n                  ge-0/0/0.0\n"
    path = tmp_path / "x.txt"
    for odd in ("", "glaze 10 with more\n", "vr-1           sand      30\n"):
        path.write_text(f"{table}{odd}k@K-1>\n")
        (found,) = read_paths([path]).devices
        (bridge,) = found.bridges.values()
        assert bool(bridge.exists.possible >> 20 & 1) is bool(odd), odd


def test_a_port_that_drops_frames_is_in_doubt(tmp_path: Path) -> None:
    """`show ethernet-switching interface`, flags AD and SCTL, from memory."""
    head = "k@K-1> show ethernet-switching interface\nRouting Instance Name : default-switch\n"
    path = tmp_path / "x.txt"
    for flag, doubt in (("", False), ("DN", False), ("AD", True), ("SCTL", True)):
        rows = f"ge-0/0/1.0     65535     {flag}    untagged\n     red   10   65535   Forwarding  {flag}  untagged\n"
        path.write_text(f"{head}{rows}k@K-1>\n")
        (found,) = read_paths([path]).devices
        one = found.bridge_ports["ge-0/0/1.0"]
        assert bool(one.doubt) is doubt, flag
        assert one.pvid.value == (10 if not doubt else None)
        assert not found.unread


def test_a_group_gives_its_statements_where_it_is_applied(tmp_path: Path) -> None:
    """Junos OS CLI User Guide, Configuration Groups, from memory: a statement holds before what it inherits."""
    group = "set groups wide interfaces <ge-*> unit <*> family ethernet-switching"
    groups = [f"{group} interface-mode trunk", f"{group} vlan members [ red blue ]"]

    inherited = port(tmp_path, *groups, "set apply-groups wide", UNIT)
    own = port(tmp_path, *groups, "set apply-groups wide", f"{UNIT} interface-mode access", f"{UNIT} vlan members red")
    off = port(tmp_path, *groups, UNIT)

    assert (inherited.pvid.value, vids.text(inherited.member.sure)) == (None, "10,20")
    assert own.doubt
    assert (off.pvid.value, vids.text(off.member.sure), off.doubt) == (1, "1", ())


DOMAINS = """set version 18.4R3.3
set system host-name MX-9
set interfaces ge-1/0/0 flexible-vlan-tagging
set interfaces ge-1/0/0 encapsulation flexible-ethernet-services
set interfaces ge-1/0/0 unit 10 encapsulation vlan-bridge
set interfaces ge-1/0/0 unit 10 vlan-id 310
set interfaces ge-1/0/1 flexible-vlan-tagging
set interfaces ge-1/0/1 encapsulation flexible-ethernet-services
set interfaces ge-1/0/1 unit 5 encapsulation vlan-bridge
set interfaces ge-1/0/1 unit 5 vlan-tags outer 500
set interfaces ge-1/0/2 unit 0 family bridge interface-mode trunk
set interfaces ge-1/0/2 unit 0 family bridge vlan-id-list 10-20
set interfaces ge-1/0/3 unit 0 family bridge interface-mode access
set interfaces ge-1/0/3 unit 0 family bridge vlan-id 10
set protocols rstp disable
set bridge-domains ten vlan-id 10
set bridge-domains ten interface ge-1/0/0.10
set bridge-domains ten interface ge-1/0/1.5"""


def test_a_bridge_domain_with_a_vid_takes_each_tag_off_and_puts_each_on() -> None:
    """Junos OS, Layer 2 Bridging, Configuring VLAN Identifiers for Bridge Domains, from memory."""
    made = device_of(DOMAINS)

    there = {("ge-1/0/1", "500"), ("ge-1/0/2", "10"), ("ge-1/0/3", "untagged")}
    assert came(made, "ge-1/0/0", "310") == there
    assert came(made, "ge-1/0/3", "untagged") == {("ge-1/0/0", "310"), ("ge-1/0/1", "500"), ("ge-1/0/2", "10")}
    assert came(made, "ge-1/0/0", "10") == came(made, "ge-1/0/2", "11") == came(made, "ge-1/0/2", "untagged") == set()


@pytest.mark.parametrize(
    "more",
    [
        "set interfaces ge-1/0/0 unit 10 input-vlan-map pop",
        "set interfaces ge-1/0/0 unit 10 vlan-tags outer 310 inner 5",
        "set bridge-domains ten no-local-switching",
        "set bridge-domains 10 interface ge-1/0/0.10",
    ],
)
def test_what_else_a_bridge_domain_may_do_leaves_a_unit_open(more: str) -> None:
    assert device_of(f"{DOMAINS}\n{more}").bridge_ports["ge-1/0/0.10"].doubt


@pytest.mark.parametrize(
    ("lines", "tree"),
    [
        ("set protocols rstp bridge-priority 4k", "one-tree"),
        ("set protocols vstp vlan 10 bridge-priority 4k", "per-vlan"),
        ("set protocols rstp bridge-priority 4k\nset protocols vstp vlan 10 bridge-priority 4k", "unknown"),
        ("set protocols vstp vlan 10 bridge-priority 4k\nset protocols rstp bridge-priority 4k", "unknown"),
        ("set protocols mstp configuration-name a\nset protocols rstp bridge-priority 4k", "unknown"),
        ("set protocols rstp disable\nset protocols vstp vlan 10 bridge-priority 4k", "per-vlan"),
    ],
)
def test_two_protocols_at_once_are_not_followed(tmp_path: Path, lines: str, tree: str) -> None:
    """RSTP beside VSTP has the VLANs that VSTP has not; which are these is not followed (common practice)."""
    (bridge,) = box(tmp_path, f"{UNIT}\n{lines}").bridges.values()
    assert (UNKNOWN if bridge.spanning_tree.value is UNKNOWN else str(bridge.spanning_tree.value)) == tree
