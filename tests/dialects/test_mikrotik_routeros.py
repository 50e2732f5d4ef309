"""RouterOS: fields and walks as its documentation describes them, and what is left in doubt.

DOC is "Bridging and Switching" of the RouterOS documentation (manual.mikrotik.com/docs/bridging-and-switching).
"""

from __future__ import annotations

import pytest

from dialects.boxes import came, device_of, device_of_fixture, fields
from vlancheck import vids
from vlancheck.capture import Line, Section
from vlancheck.dot1q.model import Device, PortKind
from vlancheck.evidence import UNKNOWN
from vlancheck.reader import read, with_lines_pasted

SEVEN = "# 2024-05-12 09:14:33 by RouterOS 7.14.2\n"
SIX = "# jan/02/1970 00:07:41 by RouterOS 6.49.10\n"
HYBRID = """\
/interface bridge
add name=bridge1 vlan-filtering=yes
/interface bridge port
add bridge=bridge1 interface=ether2 frame-types=admit-only-vlan-tagged
add bridge=bridge1 interface=ether6 pvid=200
add bridge=bridge1 interface=ether7 pvid=300
add bridge=bridge1 interface=ether8 pvid=400
/interface bridge vlan
add bridge=bridge1 tagged=ether2,ether7,ether8 vlan-ids=200
add bridge=bridge1 tagged=ether2,ether6,ether8 vlan-ids=300
add bridge=bridge1 tagged=ether2,ether6,ether7 vlan-ids=400
"""


# ---- the VLAN table ----------------------------------------------------------------------------------------------


def test_hybrid_ports_of_the_published_example() -> None:
    """DOC, "VLAN Example: Trunk and Hybrid Ports": a port is untagged in its PVID without standing in the table."""
    box = device_of(SEVEN + HYBRID)

    assert fields(box, "ether2") == (None, "200,300,400", "200,300,400", "none")
    assert fields(box, "ether6") == (200, "200,300,400", "200,300,400", "200")
    assert fields(box, "ether7") == (300, "200,300,400", "200,300,400", "300")
    assert fields(box, "ether8") == (400, "200,300,400", "200,300,400", "400")
    assert came(box, "ether6", "untagged") == {("ether2", "200"), ("ether7", "200"), ("ether8", "200")}
    assert came(box, "ether2", "300") == {("ether6", "300"), ("ether7", "untagged"), ("ether8", "300")}


def test_the_bridge_is_a_port_of_its_own() -> None:
    """DOC, VLAN table: the bridge has PVID 1, and is a tagged member only where the table says so."""
    box = device_of(SEVEN + HYBRID)

    assert box.ports["bridge1"].kind is PortKind.INSIDE
    assert fields(box, "bridge1") == (1, "1", "1", "1")
    assert box.bridge_ports["ether6"].port == "ether6"


@pytest.mark.parametrize(
    ("header", "admit"),
    [(SEVEN, "200,300,400"), (SIX, "1-4094"), ("# RouterOS 6.48.2\n", "1-4094"), ("# RouterOS 7.1\n", "200,300,400")],
)
def test_ingress_filtering_is_on_from_version_7(header: str, admit: str) -> None:
    """DOC, port settings: "enabled by default since RouterOS v7"."""
    assert fields(device_of(header + HYBRID), "ether6")[1] == admit


def test_without_a_version_only_members_are_certainly_admitted() -> None:
    """The default of ingress-filtering is not known, so that other VIDs may be taken or not."""
    admit = device_of(HYBRID).bridge_ports["ether6"].admit

    assert vids.text(admit.sure) == "200,300,400"
    assert admit.possible & vids.of([999])


@pytest.mark.parametrize(
    ("words", "wanted"),
    [
        ("pvid=10", (10, "10,20", "10,20", "10")),
        ("pvid=10 frame-types=admit-only-untagged-and-priority-tagged", (10, "none", "10,20", "10")),
        ("pvid=10 frame-types=admit-only-vlan-tagged", (None, "20", "20", "none")),
        ("pvid=10 ingress-filtering=no", (10, "1-4094", "10,20", "10")),
        ("ingress-filtering=no frame-types=admit-only-vlan-tagged", (None, "1-4094", "20", "none")),
    ],
)
def test_frame_types_and_ingress_filtering(words: str, wanted: tuple[object, ...]) -> None:
    """DOC, VLAN table: only ports that admit untagged frames are added as untagged in their PVID."""
    text = "/interface bridge\nadd name=b vlan-filtering=yes\n/interface bridge port\nadd bridge=b interface=e1 "
    box = device_of(f"{SEVEN}{text}{words}\n/interface bridge vlan\nadd bridge=b tagged=e1 vlan-ids=20\n")

    assert fields(box, "e1") == wanted


def test_tagged_in_the_own_pvid_is_not_known_to_be_untagged() -> None:
    """The documentation does not say which wins; the membership is certain, the tag is not."""
    port = device_of_fixture("mikrotik_routeros", "attic-sw").bridge_ports["ether3"]

    assert port.member.sure == port.untagged.possible == vids.of([20])
    assert not port.untagged.sure


def test_disabled_lines_count_for_nothing() -> None:
    """DOC: disabled entries of the table and disabled ports of a bridge are not in effect."""
    box = device_of_fixture("mikrotik_routeros", "attic-sw")

    assert "ether4" not in box.bridge_ports
    assert not any(port.member.possible & vids.of([666]) for port in box.bridge_ports.values())


def test_members_of_an_interface_list_stand_for_the_list() -> None:
    """DOC: `interface`, `tagged` and `untagged` take an interface list; here second in the table's list."""
    box = device_of_fixture("mikrotik_routeros", "attic-sw")

    assert fields(box, "ether7") == fields(box, "ether8") == (40, "40", "40", "40")
    assert not {"guests", "nobody", "WAN", "ether13"} & set(box.ports)


def test_ports_of_one_horizon_are_apart() -> None:
    """DOC, port settings, horizon: no data between ports of the same value."""
    box = device_of_fixture("mikrotik_routeros", "attic-sw")

    assert came(box, "ether7", "untagged") == {("desk2", "untagged"), ("up-core", "40")}


# ---- bridges that look at no tag, VLAN interfaces ----------------------------------------------------------------


def test_without_filtering_every_frame_passes_as_it_is() -> None:
    """DOC, Bridge VLAN Filtering: "the bridge ignores VLAN tags ... and cannot modify VLAN tags of packets"."""
    box = device_of(SEVEN + HYBRID.replace(" vlan-filtering=yes", ""))

    for frame in ("untagged", "200", "999", "200.7"):
        others = {("bridge1", frame), ("ether2", frame), ("ether7", frame), ("ether8", frame)}
        assert came(box, "ether6", frame) == others


def test_a_vlan_interface_in_a_bridge_takes_its_tag_off_and_puts_it_on() -> None:
    """Common practice, no source: VLAN 30 of ether1 and the frames of ether2 are one LAN, a further tag is payload."""
    box = device_of_fixture("mikrotik_routeros", "old-router")

    assert came(box, "ether2", "untagged") == {("br-shop", "untagged"), ("ether1", "30")}
    assert came(box, "ether1", "30") == {("br-shop", "untagged"), ("ether2", "untagged")}
    assert came(box, "ether1", "30.5") == {("br-shop", "5"), ("ether2", "5")}
    assert came(box, "ether1", "31") == {("br-cams", "untagged"), ("ether5", "untagged")}


def test_a_vlan_interface_on_a_bridge_without_filtering_sends_and_hears_its_tag() -> None:
    """Common practice, no source: the tag is payload of the bridge."""
    box = device_of_fixture("mikrotik_routeros", "old-router")

    assert came(box, "ether2", "7") == {("br-shop", "7"), ("ether1", "30.7"), ("shop-in-7", "untagged")}
    assert came(box, "shop-in-7", "untagged") == {("br-shop", "7"), ("ether1", "30.7"), ("ether2", "7")}


def test_stacked_vlan_interfaces_take_two_tags() -> None:
    """RouterOS documentation, VLAN: Q-in-Q by a VLAN interface on another; use-service-tag is TPID 88a8."""
    end = device_of_fixture("mikrotik_routeros", "old-router").ends["vlan975-12"]

    assert end.port == "ether1"
    levels = [(level.vids & vids.WIRE, level.tpids) for level in end.select[:2]]
    assert levels == [(vids.of([975]), frozenset({0x88A8})), (vids.of([12]), frozenset({0x8100}))]


@pytest.mark.parametrize(
    ("release", "there"), [("7.15.3", False), ("7.16", True), ("7.16.2", True), ("7.20beta2", True)]
)
def test_from_7_16_a_vlan_interface_makes_the_bridge_a_member(release: str, there: bool) -> None:
    """DOC, VLAN table: "Since RouterOS v7.16, this is done automatically"."""
    office = "/interface vlan\nadd interface=bridge1 name=office vlan-id=200\n"
    box = device_of(f"# 2025-02-03 18:00:01 by RouterOS {release}\n{HYBRID}{office}")

    assert (("office", "untagged") in came(box, "ether6", "untagged")) is there


def test_a_provider_bridge_knows_its_own_tag_alone() -> None:
    """DOC, ether-type: only the EtherType of the bridge counts as a tag; a customer's tag is payload."""
    box = device_of_fixture("mikrotik_routeros", "old-router")

    assert came(box, "ether3", "55") == {("ether4", "s200.55"), ("ether6", "55")}
    assert came(box, "ether6", "s200") == {("ether3", "s200"), ("ether4", "s200.s200")}


# ---- bundles, and what is not known ------------------------------------------------------------------------------


def test_members_of_a_bond() -> None:
    """RouterOS documentation, Bonding: 802.3ad speaks LACP, no mode is balance-rr, which does not."""
    ports = device_of_fixture("mikrotik_routeros", "attic-sw").ports

    assert {(ports[name].bundle, ports[name].bundle_mode) for name in ("ether9", "ether10")} == {
        ("bond-attic", "active")
    }
    assert {(ports[name].bundle, ports[name].bundle_mode) for name in ("ether11", "ether12")} == {("bond-plain", "on")}


def test_what_is_not_read_or_not_modelled_is_in_doubt() -> None:
    """MVRP, switch chips, bridge filters, unknown words: everything they may touch is unproven."""
    unsure, chip = device_of_fixture("mikrotik_routeros", "doubts"), device_of_fixture("mikrotik_routeros", "chip")

    assert all(port.doubt for port in (*unsure.bridge_ports.values(), *chip.bridge_ports.values()))
    assert unsure.ends["learns"].up.value is UNKNOWN
    assert {line.port for line in unsure.unread if line.matters} >= {"ether5", "ether6", "ether7", "wlan1", "learns"}


def test_a_vlan_interface_beside_the_bridge_of_its_port_is_in_doubt() -> None:
    """RouterOS documentation, Layer2 misconfiguration, "VLAN in a bridge with a physical interface": it misbehaves."""
    beside = "/interface vlan\nadd interface=ether6 name=beside vlan-id=9\n"

    box = device_of(SEVEN + HYBRID + beside)

    assert box.bridge_ports["ether6"].doubt
    assert box.ends["beside"].up.value is UNKNOWN
    assert not box.bridge_ports["ether7"].doubt


@pytest.mark.parametrize(
    ("ether_type", "service", "doubt"),
    [("0x8100", "no", False), ("0x88a8", "yes", False), ("0x88a8", "no", True), ("0x8100", "yes", True)],
)
def test_a_vlan_interface_has_the_tag_of_its_bridge(ether_type: str, service: str, doubt: bool) -> None:
    """DOC, ether-type: another EtherType is no tag to the bridge, so that the interface is not in its VLAN."""
    bridge = HYBRID.replace("name=bridge1 vlan", f"ether-type={ether_type} name=bridge1 vlan").replace(
        "tagged=ether2,ether7,ether8", "tagged=ether2,bridge1"
    )
    interface = f"/interface vlan\nadd interface=bridge1 name=v200 use-service-tag={service} vlan-id=200\n"

    assert bool(device_of(SEVEN + bridge + interface).bridge_ports["v200"].doubt) is doubt


@pytest.mark.parametrize(
    "line",
    [
        "/interface bridge port add bridge=bridge1 interface=all",
        "/interface bridge port set 3 pvid=20",
        "/interface bridge vlan set [ find vlan-ids~200 ] tagged=ether2",
        "/interface bridge vlan set 0 tagged=ether2",
        "/interface bridge vlan remove [ find ]",
        "/interface bridge vlan add bridge=bridge1 tagged=ether2",
        "/interface bridge unset bridge1 pvid",
        "/interface bridge mlag set bridge=bridge1 peer-port=ether2",
        "/interface ethernet switch port set 1 vlan-mode=secure",
        "/interface ethernet switch vlan add ports=ether2 vlan-id=20",
        "/interface bridge filter add chain=forward action=drop vlan-id=20 mac-protocol=vlan",
        "/interface vxlan add name=vx vni=7 bridge=bridge1",
    ],
)
def test_a_statement_that_may_change_vlans_is_never_passed_over(line: str) -> None:
    """Each puts every port in doubt when no rule reads it."""
    box = device_of(f"{SEVEN}{HYBRID}{line}\n")

    assert box.unread
    assert all(port.doubt for port in box.bridge_ports.values())


# ---- lines to be pasted ------------------------------------------------------------------------------------------


def pasted(text: str, lines: str) -> Device:
    """Return the box of `text` with lines pasted."""
    made = [Section(file, "", "", tuple(map(Line, range(1, 99), said.split("\n"))), None) for file, said in
            (("X.rsc", SEVEN + text), ("X.txt", lines))]  # fmt: skip
    reading = read(made[:1], names={"X.rsc": "X"})
    (found,) = with_lines_pasted(reading, {"X": made[1:]}).devices
    return found


@pytest.mark.parametrize(
    ("lines", "port", "wanted"),
    [
        ("/interface bridge vlan set [find vlan-ids=300] tagged=ether2", "ether6", (200, "200,400", "200,400", "200")),
        ("/interface bridge vlan add bridge=bridge1 tagged=ether6 vlan-ids=5,7-8", "ether6",
         (200, "5,7-8,200,300,400", "5,7-8,200,300,400", "200")),
        ("/interface/bridge/vlan/remove [find bridge=bridge1 and vlan-ids=300]", "ether6",
         (200, "200,400", "200,400", "200")),
        ("/interface bridge vlan\ndisable [find vlan-ids=300]\ndisable [find vlan-ids=400]\nenable [find vlan-ids=400]",
         "ether6", (200, "200,400", "200,400", "200")),
        ("/interface bridge port set [find where interface=ether6] pvid=9 frame-types=admit-all ingress-filtering=no",
         "ether6", (9, "1-4094", "9,300,400", "9")),
        ("/interface bridge port\nremove [find interface=ether6]\nadd bridge=bridge1 interface=ether6 pvid=9", "ether6",
         (9, "9,300,400", "9,300,400", "9")),
        ("/interface bridge set bridge1 vlan-filtering=no", "ether6", (1, "none", "1", "1")),
        ("/interface bridge port\ndisable [find interface=ether7]\nenable [find interface=ether7]",
         "ether7", (300, "200,300,400", "200,300,400", "300")),
    ],
)  # fmt: skip
def test_pasted_lines_act_on_records(lines: str, port: str, wanted: tuple[object, ...]) -> None:
    """RouterOS documentation, Scripting, "General commands": what set, add, remove, enable and disable do."""
    assert fields(pasted(HYBRID, lines), port) == wanted


def test_a_socket_is_found_by_its_name_on_the_box() -> None:
    """RouterOS documentation, Ethernet, default-name: it stays when the interface gets another name."""
    named = "/interface ethernet\nset [ find default-name=ether2 ] name=up\n"
    text = named + HYBRID.replace("ether2", "up")

    for line in ("/interface ethernet set [find default-name=ether2] disabled=yes", "/interface disable up"):
        up = pasted(text, line).ports["up"].up
        assert up.value is False
        assert (up.origins[0].file, up.origins[0].line) == ("X.txt", 1)
    assert pasted(text, "/interface ethernet disable ether9").ports["ether9"].up.value is False


def test_a_pasted_list_stands_for_its_members() -> None:
    """The members of an interface list are in the capture, the line that names it is not."""
    lists = "/interface list\nadd name=desks\n/interface list member\nadd interface=ether6 list=desks\n"

    box = pasted(HYBRID + lists, "/interface bridge vlan add bridge=bridge1 tagged=desks vlan-ids=50")

    assert fields(box, "ether6") == (200, "50,200,300,400", "50,200,300,400", "200")


@pytest.mark.parametrize(
    "line",
    [
        "/interface bridge vlan set 1 tagged=ether2",
        "/interface bridge vlan set [find vlan-ids~200] tagged=ether2",
        "/interface bridge vlan add bridge=bridge1 tagged=ether2 vlan-ids=150-250",
        "/interface bridge port set [find] pvid=9",
        "/interface bridge set bridge1 name=core",
    ],
)
def test_pasted_lines_that_are_not_followed_leave_every_port_open(line: str) -> None:
    """Which record is meant, or what the device does, is not known."""
    box = pasted(HYBRID, line)

    assert all(port.doubt for port in box.bridge_ports.values())
    assert [(one.origin[0].file, one.origin[0].line) for one in box.unread] == [("X.txt", 1)]


# ---- scripts, parts and odd things -------------------------------------------------------------------------------


def test_saved_scripts_change_nothing_by_themselves() -> None:
    """Common practice, no source: a script is text until it is run."""
    script = '/system script add name=night source="/interface bridge port set 1 pvid=66"\n'

    assert fields(device_of(SEVEN + HYBRID + script), "ether6") == fields(device_of(SEVEN + HYBRID), "ether6")


def test_vlan_interfaces_alone_do_not_say_what_they_stand_on() -> None:
    """`/interface vlan export` names bridges and sockets alike."""
    text = "/interface vlan\nadd interface=lan name=v5 vlan-id=5\n"
    lines = tuple(Line(number, line) for number, line in enumerate((SEVEN + text).split("\n"), 2))
    command = "/interface vlan export"
    (box,) = read([Section("box.log", "box", command, lines, Line(1, f"[ops@box] > {command}"))]).devices

    assert box.ends["v5"].up.value is UNKNOWN
    assert device_of(SEVEN + text).ends["v5"].up.value is True


def prompted(**outputs: str) -> Device:
    """Return the device that the outputs of several commands become."""
    sections = []
    for number, (menu, text) in enumerate(outputs.items()):
        first = 100 * number + 1
        lines = tuple(Line(first + at, line) for at, line in enumerate((SEVEN + text).split("\n"), 1))
        command = f"/interface bridge {menu} export".replace(" itself", "")
        sections.append(Section("box.log", "box", command, lines, Line(first, f"[ops@box] > {command}")))
    (found,) = read(sections).devices
    return found


def test_parts_of_an_export_without_the_bridge_or_its_table_prove_nothing() -> None:
    """An export of one menu is silent on the others: whether the bridge looks at tags, which VLANs a port is in."""
    itself, _, rest = HYBRID.partition("/interface bridge port")
    port, _, table = rest.partition("/interface bridge vlan")
    port, vlan = f"/interface bridge port{port}", f"/interface bridge vlan{table}"

    assert prompted(port=port, vlan=vlan).bridge_ports["ether6"].doubt
    assert prompted(itself=itself, port=port).bridge_ports["ether6"].doubt
    whole = prompted(itself=itself, port=port, vlan=vlan)
    assert fields(whole, "ether6") == (200, "200,300,400", "200,300,400", "200")


def test_odd_combinations_are_in_doubt_and_virtual_interfaces_are_no_sockets() -> None:
    """Nothing is documented of these; a tunnel in no bridge and a wireless interface take no cord."""
    extra = """\
/interface wireguard
add name=wg1
/interface wireless
set [ find default-name=wlan1 ] disabled=no
/interface bridge
add name=off disabled=yes
add name=other
/interface vlan
add interface=bridge1 name=v5 vlan-id=5
/interface bonding
add name=pair slaves=ether8
/interface bridge port
add bridge=other interface=v5
add bridge=off interface=ether20
add bridge=bridge1 frame-types=admit-only-vlan-tagged interface=ether21 tag-stacking=yes
"""
    box = device_of(HYBRID + extra)

    assert "wg1" not in box.ports
    assert "wlan1" in box.ports
    assert "wlan1" not in box.ends
    assert all(box.bridge_ports[name].doubt for name in ("v5", "ether8", "ether21"))
    assert not box.bridge_ports["ether20"].forwarding.possible
    assert box.ports["off"].up.value is False
    assert vids.text(box.bridge_ports["ether2"].admit.sure) == "200,300,400"
    assert box.bridge_ports["ether2"].admit.possible & vids.of([999])
