"""A plan is verified before anyone touches a cord: every fault that a plan can have, planted in a clean site.

The texts are configurations of three families that write the same things in three ways.
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest

from vlancheck.findings.finding import Severity

from .rehearsals import (
    DECLARED,
    LOFT,
    MACS,
    SHEET,
    TRUNK,
    access,
    addresses,
    core,
    hall,
    loft,
    rehearsed,
    the,
    told,
    with_loft,
)

UPLINK = {"CORE-1:Gi1/0/1": ("ACC-1:Gi0/24", "")}  # the cord of ACC-1's uplink goes one port on
STORES = {"PANEL-A:01": ("ACC-1:Gi0/3", "PC stores")}
CAMERA = {"PANEL-A:04": ("ACC-1:Gi0/6", "camera yard")}
SECURE = " switchport port-security\n"
STUCK = SECURE + " switchport port-security mac-address sticky\n switchport port-security mac-address sticky {mac}\n"
SNOOPING = "ip dhcp snooping\nip dhcp snooping vlan 10\n"
BUNDLE = {
    "CORE-1": core({1: " channel-group 1 mode active\n", 2: " channel-group 1 mode active\n", "Port-channel1": TRUNK}),
    "ACC-1": access(
        {23: " channel-group 1 mode active\n", 24: " channel-group 1 mode active\n", "Port-channel1": TRUNK}
    ),
}
BUNDLED = {**SHEET, "CORE-1:Gi1/0/2": ("ACC-1:Gi0/24", "")}
PHONE = DECLARED.replace("DESKSW: {kind: unmanaged}", "PHONE-1: {kind: phone}")
POWER = (
    "ACC-1#show power inline\nAvailable:370.0(w)  Used:6.3(w)  Remaining:363.7(w)\n\n"
    "Interface Admin  Oper       Power   Device              Class Max\n"
    "                            (Watts)                            \n"
    "--------- ------ ---------- ------- ------------------- ----- ----\n"
    "Gi0/4     auto   on         6.3     Ieee PD             2     30.0\n"
    "Gi0/5     auto   off        0.0     n/a                 n/a   30.0\n"
)


def edit(device: str, port: str, *lines: str) -> dict[str, dict[str, str]]:
    """Return lines to be pasted under one port."""
    return {"edits": {device: "\n".join((f"interface {port}", *(f" {line}" for line in lines))) + "\n"}}


def acc(more: Mapping[int | str, str], **plan: Any) -> dict[str, Any]:
    """Return a rehearsal in which ACC-1 has more lines."""
    return {"boxes": {"ACC-1": access(more)}, **plan}


G, H = "ACC-1:GigabitEthernet0/", "CORE-1:GigabitEthernet1/0/"
FAULTS: list[tuple[str, dict[str, Any], list[str]]] = [
    ("bare list", edit("CORE-1", "Gi1/0/1", "switchport trunk allowed vlan 30"), [f"T101 {H}1"]),
    ("bare list of one it has", edit("CORE-1", "Gi1/0/1", "switchport trunk allowed vlan 10"), [f"T101 {H}1"]),
    (
        "last VID removed",
        {
            "boxes": {"CORE-1": core({4: " switchport trunk allowed vlan 20\n"})},
            **edit("CORE-1", "Gi1/0/4", "switchport trunk allowed vlan remove 20"),
        },
        [f"T102 {H}4"],
    ),
    ("cord in another VLAN", {"plan": {"PANEL-A:01": ("ACC-1:Gi0/6", "PC stores")}}, [f"C105 {G}6"]),
    ("BPDU guard", acc({24: " spanning-tree bpduguard enable\n"}, plan=UPLINK), [f"P102 {G}24"]),
    (
        "BPDU guard of edge ports",
        acc({"box": "spanning-tree portfast bpduguard default\n", 24: " spanning-tree portfast trunk\n"}, plan=UPLINK),
        [f"P102 {G}24"],
    ),
    ("limit of addresses", acc({24: f"{SECURE} switchport port-security maximum 2\n"}, plan=UPLINK), [f"P102 {G}24"]),
    (
        "authentication",
        acc({24: " authentication port-control auto\n dot1x pae authenticator\n"}, plan=UPLINK),
        [f"P102 {G}24"],
    ),
    ("root guard", acc({24: " spanning-tree guard root\n"}, plan=UPLINK), [f"P102 {G}24"]),
    ("edge port", acc({24: " spanning-tree portfast trunk\n"}, plan=UPLINK), [f"P102 {G}24"]),
    (
        "switch in words",
        acc(
            {3: " spanning-tree bpduguard enable\n"},
            found={**SHEET, "PANEL-A:05": ("ACC-1:Gi0/5", "small switch")},
            plan={"PANEL-A:05": ("ACC-1:Gi0/3", "small switch")},
        ),
        [f"P102 {G}3", f"W104 {G}3"],
    ),
    ("sticky address in the new port", acc({3: STUCK.format(mac=MACS[3])}, plan=STORES), [f"P103 {G}3"]),
    (
        "static address in the new port",
        acc({3: f"{SECURE} switchport port-security mac-address {MACS[3]}\n"}, plan=STORES),
        [f"P103 {G}3"],
    ),
    (
        "another address was seen",
        {
            "boxes": {"ACC-1": access({3: STUCK.format(mac=MACS[3])}, after=addresses({"Gi0/1": (10, MACS[1])}))},
            "plan": STORES,
        },
        [f"P103 {G}3"],
    ),
    (
        "sticky address in the old port",
        acc({1: STUCK.format(mac=MACS[1]), 3: SECURE}, plan=STORES),
        [f"P103 {G}1 {G}3", f"C102 {G}3"],
    ),
    (
        "sticky address in a third port",
        {
            "boxes": {"ACC-1": access({5: STUCK.format(mac=MACS[1])}, after=addresses({"Gi0/1": (10, MACS[1])}))},
            "plan": STORES,
        },
        [f"P103 {G}3 {G}5"],
    ),
    (
        "bundle torn at one end",
        {
            "boxes": BUNDLE,
            "found": BUNDLED,
            "plan": {"CORE-1:Gi1/0/2": None, "CORE-1:Gi1/0/4": ("ACC-1:Gi0/24", "")},
        },
        [f"B102 {G}23 {G}24 ACC-1:Port-channel1"],
    ),
    (
        "loop through an unmanaged switch",
        {"plan": {"ACC-1:Gi0/3": ("DESKSW:1", ""), "ACC-1:Gi0/5": ("DESKSW:2", "")}},
        [f"K101 {G}3 {G}5 DESKSW:1 DESKSW:2"],
    ),
    (
        "loop through a phone",
        {
            "declared": PHONE,
            "found": {**SHEET, "ACC-1:Gi0/3": ("PHONE-1:net", "")},
            "plan": {"ACC-1:Gi0/5": ("PHONE-1:pc", "")},
        },
        [f"K101 {G}3 {G}5 PHONE-1:net PHONE-1:pc"],
    ),
    (
        "management VLAN cut off",
        edit("CORE-1", "Gi1/0/1", "switchport trunk allowed vlan remove 99"),
        [f"M101 ACC-1:Vlan99 {H}1"],
    ),
    (
        "management VLAN cut off at the switch itself",
        edit("ACC-1", "Gi0/23", "switchport trunk allowed vlan remove 99"),
        [f"M101 {G}23 ACC-1:Vlan99"],
    ),
    ("power turned off", acc({6: " power inline never\n"}, plan=CAMERA), [f"P104 {G}6"]),
    (
        "power not shown at the new port",
        {"boxes": {"ACC-1": access(after=POWER)}, "plan": CAMERA},
        [f"P104 {G}6"],
    ),
    ("DHCP trust", acc({"box": SNOOPING, 23: " ip dhcp snooping trust\n"}, plan=UPLINK), [f"P105 {G}24"]),
    ("ARP trust", acc({23: " ip arp inspection trust\n"}, plan=UPLINK), [f"P105 {G}24"]),
    ("speed and duplex", acc({4: " speed 100\n duplex full\n"}, plan=CAMERA), [f"P106 {G}6"]),
    ("filter", acc({6: " ip access-group CAMS in\n"}, plan=CAMERA), [f"P106 {G}6"]),
    ("location", acc({4: " location civic-location-id 7\n"}, plan=CAMERA), [f"P106 {G}6"]),
    ("storm limit", acc({4: " storm-control broadcast level 1.00\n"}, plan=CAMERA), [f"P106 {G}6"]),
    (
        "not saved",
        {"boxes": {"ACC-1": access() + access(users={1: 20}).replace("running", "startup")}},
        [f"U103 {G}1 {G}2 {G}3 {G}4 {G}5 {G}6"],
    ),
]


@pytest.mark.parametrize(("kept", "expected"), [row[1:] for row in FAULTS], ids=[row[0] for row in FAULTS])
def test_a_planted_fault_is_the_finding(tmp_path: Path, kept: dict[str, Any], expected: list[str]) -> None:
    """Exactly what was planted is told, with evidence."""
    report = rehearsed(tmp_path, **kept)

    assert told(report) == expected
    assert all(one.where and one.why for one in report.findings)


LOFT_FAULTS: list[tuple[str, str, dict[int | str, str], dict[int | str, str], dict[str, tuple[str, str]], str]] = [
    (
        "BPDU guard",
        "P102",
        {"box": "spanning-tree 24 bpdu-protection\n"},
        {24: " stp port bpdu-protection enable\n"},
        {"CORE-1:Gi1/0/2": ("24", "")},
        "24",
    ),
    (
        "root guard",
        "P102",
        {"box": "spanning-tree 24 root-guard\n"},
        {24: " stp root-protection\n"},
        {"CORE-1:Gi1/0/2": ("24", "")},
        "24",
    ),
    (
        "authentication",
        "P102",
        {"box": "aaa port-access authenticator 24\naaa port-access authenticator active\n"},
        {24: " dot1x\n"},
        {"CORE-1:Gi1/0/2": ("24", "")},
        "24",
    ),
    (
        "DHCP trust",
        "P105",
        {"box": "dhcp-snooping\ndhcp-snooping trust 23\n"},
        {23: " dhcp snooping trust\n"},
        {"CORE-1:Gi1/0/2": ("24", "")},
        "24",
    ),
    (
        "power",
        "P104",
        {6: "   no power-over-ethernet\n"},
        {4: " poe enable\n"},
        {"PANEL-B:04": ("6", "camera loft")},
        "6",
    ),
    (
        "address",
        "P103",
        {"box": "port-security 3 learn-mode static address-limit 1 mac-address 00005e-005303\n"},
        {3: " port-security max-mac-count 1\n port-security mac-address security 0000-5e00-5303 vlan 10\n"},
        {"PANEL-B:01": ("3", "PC loft")},
        "3",
    ),
    (
        "speed",
        "P106",
        {4: "   speed-duplex 100-full\n"},
        {4: " speed 100\n duplex full\n"},
        {"PANEL-B:04": ("6", "camera loft")},
        "6",
    ),
]


@pytest.mark.parametrize("family", ["under VLANs", "with undo"])
@pytest.mark.parametrize(
    ("code", "first", "second", "moved", "port"), [row[1:] for row in LOFT_FAULTS], ids=[row[0] for row in LOFT_FAULTS]
)
def test_other_families_are_told_of_alike(
    tmp_path: Path,
    family: str,
    code: str,
    first: dict[int | str, str],
    second: dict[int | str, str],
    moved: dict[str, tuple[str, str]],
    port: str,
) -> None:
    """The same faults, in the words of two other families."""
    box, before = ("ACC-2", "") if family == "under VLANs" else ("ACC-3", "Gi1/0/")
    text = loft(first) if box == "ACC-2" else hall(second)
    plan = {end: (f"{box}:{before}{number}", serves) for end, (number, serves) in moved.items()}
    report = rehearsed(tmp_path, {box: text}, plan, declared=LOFT, found=with_loft(box, before))

    name = port if box == "ACC-2" else f"GigabitEthernet1/0/{port}"
    assert told(report) == [f"{code} {box}:{name}"]


@pytest.mark.parametrize(
    ("box", "text", "edits"),
    [
        ("ACC-2", loft(), "vlan 99\n no tagged 23\n"),
        ("ACC-3", hall(), "interface GigabitEthernet1/0/23\n undo port trunk permit vlan 99\n"),
    ],
    ids=["under VLANs", "with undo"],
)
def test_management_of_other_families_is_cut_off(tmp_path: Path, box: str, text: str, edits: str) -> None:
    before = "" if box == "ACC-2" else "Gi1/0/"
    report = rehearsed(tmp_path, {box: text}, None, {box: edits}, LOFT, with_loft(box, before))

    assert [one.code for one in report.findings] == ["M101"]
    assert [f"{box}:" in place for place in sorted(report.findings[0].at)] == [True, True]


QUIET: list[tuple[str, dict[str, Any]]] = [
    ("nothing planned", {}),
    ("a cord in a port that is alike", {"plan": STORES}),
    ("an uplink in a port that is alike", {"plan": UPLINK}),
    ("a VLAN added to a list", edit("CORE-1", "Gi1/0/4", "switchport trunk allowed vlan add 10")),
    ("guards where the uplink does not go", acc({24: " spanning-tree bpduguard enable\n"})),
    ("a guard on a port of a PC", acc({3: " spanning-tree portfast\n spanning-tree bpduguard enable\n"}, plan=STORES)),
    ("a sticky address where nothing is moved to", acc({3: STUCK.format(mac=MACS[3])})),
    (
        "it was seen where it is kept",
        {
            "boxes": {"ACC-1": access({3: STUCK.format(mac=MACS[1])}, after=addresses({"Gi0/1": (10, MACS[1])}))},
            "plan": STORES,
        },
    ),
    (
        "room for one more address",
        {
            "boxes": {
                "ACC-1": access(
                    {3: f"{SECURE} switchport port-security maximum 2\n"}, after=addresses({"Gi0/1": (10, MACS[1])})
                )
            },
            "plan": STORES,
        },
    ),
    (
        "trust comes with the plan",
        acc(
            {"box": SNOOPING, 23: " ip dhcp snooping trust\n"},
            plan=UPLINK,
            **edit("ACC-1", "Gi0/24", "ip dhcp snooping trust"),
        ),
    ),
    ("power is off at both ports", acc({4: " power inline never\n", 6: " power inline never\n"}, plan=CAMERA)),
    (
        "power is turned on by the plan",
        acc({6: " power inline never\n"}, plan=CAMERA, **edit("ACC-1", "Gi0/6", "power inline auto")),
    ),
    ("a speed that every port takes", acc({4: " speed auto\n duplex auto\n"}, plan=CAMERA)),
    ("a phone that is patched once", {"declared": PHONE, "found": {**SHEET, "ACC-1:Gi0/3": ("PHONE-1:net", "")}}),
    ("a bundle that stays whole", {"boxes": BUNDLE, "found": BUNDLED}),
    ("saved", {"boxes": {"ACC-1": access() + access().replace("running", "startup")}}),
]


@pytest.mark.parametrize("kept", [row[1] for row in QUIET], ids=[row[0] for row in QUIET])
def test_a_plan_without_fault_is_quiet(tmp_path: Path, kept: dict[str, Any]) -> None:
    """What a port is set to is no fault where it does what the cord needs."""
    report = rehearsed(tmp_path, **kept)

    assert (report.exit_code, told(report)) == (0, [])


@pytest.mark.parametrize("mode", ["under VLANs", "with undo"])
def test_other_families_are_quiet(tmp_path: Path, mode: str) -> None:
    box, before, text = ("ACC-2", "", loft()) if mode == "under VLANs" else ("ACC-3", "Gi1/0/", hall())
    plan = {"CORE-1:Gi1/0/2": (f"{box}:{before}24", "")}
    report = rehearsed(tmp_path, {box: text}, plan, declared=LOFT, found=with_loft(box, before))

    assert (report.exit_code, told(report)) == (0, [])


def test_what_is_at_stake_decides_how_bad_it_is(tmp_path: Path) -> None:
    """A guard that shuts the only uplink is an error; an edge port is a note, a limit of storms too."""
    shut = rehearsed(tmp_path / "1", **acc({24: " spanning-tree bpduguard enable\n"}, plan=UPLINK))
    root = rehearsed(tmp_path / "2", **acc({24: " spanning-tree guard root\n"}, plan=UPLINK))
    edge = rehearsed(tmp_path / "3", **acc({24: " spanning-tree portfast trunk\n"}, plan=UPLINK))
    storm = rehearsed(tmp_path / "4", **acc({4: " storm-control broadcast level 1.00\n"}, plan=CAMERA))

    assert (shut.exit_code, root.exit_code, edge.exit_code, storm.exit_code) == (1, 0, 0, 0)
    assert the(root, "P102").severity is Severity.WARNING
    assert the(edge, "P102").severity is Severity.NOTE
    assert the(storm, "P106").severity is Severity.NOTE


def test_a_replaced_list_names_the_line_and_what_goes(tmp_path: Path) -> None:
    """The pasted line comes first; what is declared and lost hangs under it, the switch's own address too."""
    found = the(rehearsed(tmp_path, **edit("CORE-1", "Gi1/0/1", "switchport trunk allowed vlan 30")), "T101")

    assert "`switchport trunk allowed vlan 30` takes VLAN 10,20,99 out" in found.headline
    assert (found.where[0].origin.file, found.where[0].origin.line) == ("edits/CORE-1.txt", 2)
    assert any("no longer reaches" in words and "ACC-1:Vlan99" in words for words in found.effects)


def test_a_list_without_its_last_vlan_may_be_all_or_none(tmp_path: Path) -> None:
    """mostlynetworks.com, "No More VLANs Jumping on the Trunk", 2014; that releases differ from memory."""
    boxes = {"CORE-1": core({4: " switchport trunk allowed vlan 20\n"})}
    last = edit("CORE-1", "Gi1/0/4", "switchport trunk allowed vlan remove 20")
    found = the(rehearsed(tmp_path / "last", boxes=boxes, **last), "T102")
    rest = edit("CORE-1", "Gi1/0/4", "switchport trunk allowed vlan none")
    none = rehearsed(tmp_path / "none", boxes=boxes, **rest)

    assert "`switchport trunk allowed vlan remove 20` may make CORE-1:GigabitEthernet1/0/4 carry all" in found.headline
    assert "releases differ" in found.why
    assert "type `none`" in found.why
    assert "T102" not in [one.code for one in none.findings]


def test_both_lines_of_a_setting_are_shown(tmp_path: Path) -> None:
    """The line at the port that is left, and the one at the port that is taken."""
    found = the(rehearsed(tmp_path, **acc({4: " speed 100\n", 6: " speed 10\n"}, plan=CAMERA)), "P106")

    assert "speed was 100, is 10" in found.headline
    assert {one.origin.text.strip() for one in found.where if one.label.startswith("speed")} >= {
        "speed 100",
        "speed 10",
    }


def test_a_taken_back_sticky_address_blocks_nobody(tmp_path: Path) -> None:
    """The planned line clears it; that the cord is moved is still to be signed for."""
    line = f"no switchport port-security mac-address sticky {MACS[1]}"
    kept = acc({1: STUCK.format(mac=MACS[1]), 3: SECURE}, plan=STORES, **edit("ACC-1", "Gi0/1", line))

    assert told(rehearsed(tmp_path, **kept)) == [f"C102 {G}3"]


def test_what_was_not_saved_is_told_with_lines_to_be_pasted(tmp_path: Path) -> None:
    """A plan for the box does not make the difference go away."""
    boxes = {"ACC-1": access() + access(users=dict.fromkeys(range(1, 7), 10)).replace("running", "startup")}
    report = rehearsed(tmp_path, boxes, edits={"ACC-1": "interface Gi0/24\n description spare uplink\n"})

    assert the(report, "U103").at == {f"{G}4", f"{G}6"}
