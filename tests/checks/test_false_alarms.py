"""What looks like a fault in text and is none yields no finding; beside each stands the fault that it looks like."""

from __future__ import annotations

from pathlib import Path

import pytest

from checks.closet_texts import DECLARED, SHEET, SW_1, SW_2, audited, changed, codes, shown, verified
from vlancheck.vids import text as written

TRUNK = """\
interface GigabitEthernet0/{port}
 switchport mode trunk
 switchport trunk allowed vlan {vlans}
 switchport nonegotiate
!
"""
LIST = " switchport trunk allowed vlan 10,20\n"
STATIC = f" switchport mode trunk\n{LIST}"
BOTH = (SW_1, SW_2)
EIGHT = changed(SW_2, ("end\n", "interface GigabitEthernet0/8\n switchport mode access\n!\nend\n"))  # a port more


def table(*rows: str) -> str:
    """Return a table of addresses as the switch prints it."""
    head = (
        "show mac address-table",
        "Vlan    Mac Address       Type        Ports",
        "----    -----------       --------    -----",
    )
    return "".join(f"{row}\n" for row in (*head, *rows))


DESK, PRINTER = "  10    0200.5e00.0003    DYNAMIC     Gi0/3", "  20    0200.5e00.0004    DYNAMIC     Gi0/4"


def test_the_closet_has_no_finding_as_it_is(tmp_path: Path) -> None:
    assert audited(tmp_path / "a", *BOTH) == ()
    assert verified(tmp_path / "b", BOTH, BOTH) == ()


# ---- lists of VLANs ----------------------------------------------------------------------------------------------


def test_a_saved_list_over_several_lines_is_one_list(tmp_path: Path) -> None:
    """In a saved configuration `add` goes on with the list; without the second line its VLANs are missing."""
    first, more = " switchport trunk allowed vlan 10\n", " switchport trunk allowed vlan add 20\n"
    assert audited(tmp_path / "a", SW_1, changed(SW_2, (LIST, first + more))) == ()

    (found,) = audited(tmp_path / "b", SW_1, changed(SW_2, (LIST, first)))
    assert (found.code, written(found.vids)) == ("L101", "20")


def test_a_longer_list_at_one_end_is_no_fault_where_nobody_needs_the_rest(tmp_path: Path) -> None:
    """VLANs 30-39 are needed on neither side of the link; 20 is."""
    longer = changed(
        SW_1,
        (LIST, " switchport trunk allowed vlan 10,20,30-39\n"),
        ("vlan 20\n name", "vlan 30-39\n!\nvlan 20\n name"),
    )
    assert audited(tmp_path / "a", longer, SW_2) == ()

    shorter = changed(SW_2, (LIST, " switchport trunk allowed vlan 10,30-39\n"))
    assert codes(audited(tmp_path / "b", SW_1, shorter)) == ["L101"]


def test_vlan_1_untagged_at_both_ends_is_no_difference(tmp_path: Path) -> None:
    """No line sets the untagged VLAN: it is 1 at both ends, until one end says otherwise."""
    every = (LIST, " switchport trunk allowed vlan 1,10,20\n")
    ends = changed(SW_1, every), changed(SW_2, every)
    assert audited(tmp_path / "a", *ends) == ()

    other = changed(
        ends[1],
        (" switchport trunk allowed vlan 1", " switchport trunk native vlan 20\n switchport trunk allowed vlan 1"),
    )
    assert "L102" in codes(audited(tmp_path / "b", ends[0], other))


def test_the_case_of_a_vlans_name_is_no_difference(tmp_path: Path) -> None:
    """DESKS and Desks are names for people; a VLAN that is not there is a fault."""
    small = changed(SW_2, (" name DESKS", " name Desks"), (" name PHONES", " name phones"))
    assert audited(tmp_path / "a", SW_1, small) == ()
    assert verified(tmp_path / "b", BOTH, (SW_1, small)) == ()

    gone = changed(SW_2, ("vlan 20\n name PHONES\n!\n", ""))
    assert codes(audited(tmp_path / "c", SW_1, gone)) == ["V102"]


def test_spare_trunks_that_allow_all_are_no_fault(tmp_path: Path) -> None:
    """The sheet names the switch and has no cord in these ports; with a cord to a desk it is a leak."""
    spare = "interface GigabitEthernet0/{}\n switchport mode trunk\n!\n"
    text = changed(SW_2, ("end\n", spare.format(23) + spare.format(24) + "end\n"))
    assert audited(tmp_path / "a", SW_1, text) == ()

    only = DECLARED.replace("frame: untagged}]}\n  - {vid: 20", "frame: untagged}], only: true}\n  - {vid: 20")
    assert only != DECLARED
    assert audited(tmp_path / "b", SW_1, text, declared=only) == ()
    found = audited(tmp_path / "c", SW_1, text, declared=only, sheet=f"{SHEET}PANEL-B:9,SW-2:Gi0/24,C-7,PC\n")
    assert "S102" in codes(found)


# ---- what is heard and logged ------------------------------------------------------------------------------------


def test_a_handoff_without_a_neighbour_is_no_fault(tmp_path: Path) -> None:
    """A carrier's port says nothing of itself; a switch that another one should hear is another matter."""
    heard = "show lldp neighbors\nDevice ID           Local Intf     Hold-time  Capability      Port ID\n{}"
    link = heard.format("SW-2                Gi0/9          120        B               Gi0/9\n")
    assert audited(tmp_path / "a", shown(SW_1, link), SW_2) == ()
    assert verified(tmp_path / "b", (shown(SW_1, link), SW_2), (shown(SW_1, link), SW_2)) == ()

    moved = heard.format("SW-2                Gi0/9          120        B               Gi0/8\n")
    assert "C107" in codes(verified(tmp_path / "c", (shown(SW_1, link), EIGHT), (shown(SW_1, moved), EIGHT)))


@pytest.mark.parametrize("told", ["0", "- not advertised"])
def test_a_neighbour_that_tells_no_pvid_has_no_other_one(tmp_path: Path, told: str) -> None:
    """PVID 0 in LLDP says that the port has none or does not tell (IEEE Std 802.1AB, Annex D.2.1.1, from memory)."""
    rows = (
        "Local Intf: Gi0/9",
        "Chassis id: 0200.5e00.0102",
        "Port id: {port}",
        "Port Description: up",
        "System Name: SW-2",
        "",
        "System Description:",
        "a switch",
        "",
        "Time remaining: 100 seconds",
        "System Capabilities: B",
        "Enabled Capabilities: B",
        "Management Addresses - not advertised",
        "Auto Negotiation - not supported",
        "Physical media capabilities - not advertised",
        "Media Attachment Unit type - not advertised",
        f"Vlan ID: {told}",
        "",
        "Total entries displayed: 1",
    )
    line = "------------------------------------------------\n"
    heard = f"show lldp neighbors detail\n{line}" + "\n".join(rows) + "\n"
    near = shown(SW_1, heard.format(port="Gi0/9"))
    assert audited(tmp_path / "a", near, SW_2) == ()
    assert verified(tmp_path / "b", (near, SW_2), (near, SW_2)) == ()

    far = shown(SW_1, heard.format(port="Gi0/8"))
    assert "C107" in codes(verified(tmp_path / "c", (near, EIGHT), (far, EIGHT)))


def test_a_message_of_the_trunk_negotiation_says_nothing_of_a_fixed_trunk(tmp_path: Path) -> None:
    """The domains differ, the mode is written: the trunk works. Left to negotiation, it is an uplink in doubt."""
    log = (
        "show logging\n"
        "Mar 14 09:01:02.345: %DTP-5-DOMAINMISMATCH: Unable to perform trunk negotiation on port Gi0/9 because of VTP "
        "domain mismatch.\n"
    )
    fixed = changed(SW_1, (f"{LIST} switchport nonegotiate\n!\nend", f"{LIST}!\nend"))
    assert audited(tmp_path / "a", shown(fixed, log), SW_2) == ()

    left = changed(fixed, (STATIC + "!\nend", f" switchport mode dynamic desirable\n{LIST}!\nend"))
    far = changed(SW_2, (STATIC + " switchport nonegotiate\n", f" switchport mode dynamic auto\n{LIST}"))
    assert "N101" in codes(audited(tmp_path / "b", shown(left, log), far))


# ---- tables of addresses -----------------------------------------------------------------------------------------


def test_one_table_of_addresses_is_no_proof_of_absence(tmp_path: Path) -> None:
    """The printer said nothing when the later table was printed; seen at another port, it is elsewhere."""
    before = SW_1, shown(SW_2, table(DESK, PRINTER))
    assert verified(tmp_path / "a", before, (SW_1, shown(SW_2, table(DESK)))) == ()

    swapped = table(DESK.replace("0003", "0004"), PRINTER.replace("0004", "0003"))
    found = codes(verified(tmp_path / "b", before, (SW_1, shown(SW_2, swapped))))
    assert "C106" in found


def test_rows_of_the_switch_itself_and_of_groups_are_no_devices(tmp_path: Path) -> None:
    """Such rows come and go with the release; an address of a device at two desks is told."""
    own = (
        " All    0100.0ccc.cccc    STATIC      CPU",
        " All    0180.c200.0000    STATIC      CPU",
        "  10    0100.5e00.0016    STATIC      Gi0/3 Gi0/9",
        "  20    3333.0000.0001    STATIC      Gi0/4",
    )
    before, after = (
        shown(SW_2, table(*own, DESK, PRINTER)),
        shown(SW_2, table(DESK, PRINTER, own[0], own[2].replace("Gi0/3", "Gi0/4"))),
    )
    assert verified(tmp_path / "a", (SW_1, before), (SW_1, after)) == ()

    moved = shown(SW_2, table(*own, DESK.replace("Gi0/3", "Gi0/4").replace("  10", "  20")))
    assert "C106" in codes(verified(tmp_path / "b", (SW_1, before), (SW_1, moved)))


# ---- spanning tree -----------------------------------------------------------------------------------------------


def tree(blocked: str, forwarding: str) -> str:
    """Return the state of two uplinks in both VLANs, as the switch prints it."""
    return "show spanning-tree\n" + "".join(
        f"\nVLAN{vid:04}\n  Spanning tree enabled protocol rstp\n"
        "Interface           Role Sts Cost      Prio.Nbr Type\n"
        "------------------- ---- --- --------- -------- --------------------------------\n"
        f"{blocked:<19} Altn BLK 4         128.8    P2p\n{forwarding:<19} Root FWD 4         128.9    P2p\n"
        for vid in (10, 20)
    )


def test_the_blocked_one_of_two_uplinks_may_be_the_other_one(tmp_path: Path) -> None:
    """Which of two equal links blocks is the tree's to choose; where the open one lacks a VLAN, it is cut."""
    second = TRUNK.format(port=8, vlans="{}") + "end\n"
    sheet = f"{SHEET}SW-1:Gi0/8,SW-2:Gi0/8,C-8,\n"
    near, far = (changed(text, ("end\n", second.format("10,20"))) for text in BOTH)
    was, now = shown(far, tree("Gi0/8", "Gi0/9")), shown(far, tree("Gi0/9", "Gi0/8"))
    assert verified(tmp_path / "a", (near, was), (near, now), sheet=sheet) == ()

    near, far = (changed(text, ("end\n", second.format("10"))) for text in BOTH)
    was, now = shown(far, tree("Gi0/8", "Gi0/9")), shown(far, tree("Gi0/9", "Gi0/8"))
    found = verified(tmp_path / "b", (near, was), (near, now), sheet=sheet)
    assert any("phones" in effect for one in found for effect in one.effects)


# ---- one cause, one finding --------------------------------------------------------------------------------------

SERVERS = TRUNK.format(port=7, vlans="30-49") + "end\n"


def test_twenty_vids_missing_from_one_list_are_one_finding_with_the_range(tmp_path: Path) -> None:
    vlans = "".join(
        f'  - {{vid: {vid}, name: tenant {vid}, reaches: ["SW-1:Gi0/7", "SW-2:Gi0/7"]}}\n' for vid in range(30, 50)
    )
    every = (
        (LIST, " switchport trunk allowed vlan 10,20,30-49\n"),
        ("end\n", SERVERS),
        ("vlan 20\n name", "vlan 30-49\n!\nvlan 20\n name"),
    )
    sheet = f"{SHEET}PANEL-A:7,SW-1:Gi0/7,C-7,server\nPANEL-B:7,SW-2:Gi0/7,C-8,server\n"
    near, far = changed(SW_1, *every), changed(SW_2, *every)
    assert audited(tmp_path / "a", near, far, sheet=sheet, declared=DECLARED + vlans) == ()

    short = changed(far, (" switchport trunk allowed vlan 10,20,30-49\n", LIST))
    (found,) = audited(tmp_path / "b", near, short, sheet=sheet, declared=DECLARED + vlans)
    assert (found.code, written(found.vids)) == ("L101", "30-49")
    assert "30-49" in found.headline
    assert {effect.split(":")[0] for effect in found.effects} == {f"tenant {vid}" for vid in range(30, 50)}


def test_a_cause_that_drops_three_services_is_one_finding_that_names_them(tmp_path: Path) -> None:
    services = "".join(
        f'  - {{name: {name}, tag: {tag}, enters: "SW-1:Gi0/1", '
        f'leaves: [{{at: "SW-2:Gi0/{port}", frame: untagged}}]}}\n'
        for name, tag, port in (("lift", 320, 5), ("till", 330, 6), ("radio", 340, 7))
    )
    declared = DECLARED.replace("services: [{name: records", f"services:\n{services}  - {{name: records", 1).replace(
        "frame: untagged}]}]\nvlans", "frame: untagged}]}\nvlans", 1
    )
    rooms = "".join(
        f"interface GigabitEthernet0/{port}\n switchport mode access\n switchport access vlan {tag}\n!\n"
        for tag, port in ((320, 5), (330, 6), (340, 7))
    )
    sheet = SHEET + "".join(f"PANEL-B:{port},SW-2:Gi0/{port},C-2{port},PC\n" for port in (5, 6, 7))
    known = ("vlan 20\n name", "vlan 320,330,340\n!\nvlan 20\n name")
    link = (LIST, " switchport trunk allowed vlan 10,20,320,330,340\n")
    near = changed(SW_1, known, link, ("allowed vlan 310\n", "allowed vlan 310,320,330,340\n"))
    far = changed(SW_2, known, link, ("end\n", f"{rooms}end\n"))
    assert audited(tmp_path / "a", near, far, sheet=sheet, declared=declared) == ()

    (found,) = audited(tmp_path / "b", near, changed(far, (link[1], LIST)), sheet=sheet, declared=declared)
    assert found.code == "L101"
    assert [effect.split(":")[0] for effect in found.effects] == ["lift", "till", "radio"]
