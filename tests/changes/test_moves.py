"""Cords in other ports, meant changes and renamed boxes, from a site folder to the report of `verify`."""

from __future__ import annotations

from pathlib import Path

import pytest

from vlancheck.changes.change import Kind
from vlancheck.changes.signing import must_sign
from vlancheck.dot1q.model import Device, Port
from vlancheck.dot1q.properties import Property
from vlancheck.evidence import Fact
from vlancheck.outcome import Report
from vlancheck.verdicts.ground import Ground
from vlancheck.wiring import Network

from .closets import AFTER, BEFORE, DECLARED, PORTS, SHEET, Closet, codes, sheet, switch

SPARE_DESK = {**SHEET, "PANEL-A:03": ("ACC-1:3", "PC spare")}
TO_PHONES = {"acc-1.txt": switch(ports={**PORTS, 3: 20}, clock=AFTER)}


def moves(report: Report) -> list[tuple[str, str, str, bool, str]]:
    """Return the moved cords: anchor, ports before and after without their device, alike, why to sign."""
    assert report.comparison is not None
    return [
        (move.anchor.name, move.before.rpartition("/")[2], move.after.rpartition("/")[2], move.alike, move.sign)
        for move in report.comparison.moves
    ]


def rows(report: Report) -> list[tuple[Kind, str, str, bool]]:
    """Return the rows of changed carriage: kind, anchor, frames, expected."""
    assert report.comparison is not None
    return [
        (row.kind, row.anchor.name, row.frame, row.expected)
        for cause in report.comparison.causes
        for row in cause.changes
    ]


def test_a_closet_that_was_only_captured_again_is_clean(tmp_path: Path) -> None:
    """Nothing moved, nothing changed, nothing to sign."""
    report = Closet(tmp_path).verified()

    assert (report.exit_code, codes(report), moves(report), rows(report)) == (0, [], [], [])


def test_a_cord_in_an_alike_port_is_a_move_and_no_change(tmp_path: Path) -> None:
    """It is listed as moved; no frame fares otherwise, no finding is made."""
    report = Closet(tmp_path, repatched=sheet(A02="ACC-1:3")).verified()

    assert (report.exit_code, codes(report)) == (0, [])
    assert moves(report) == [("PANEL-A:02", "2", "3", True, "")]
    assert rows(report) == []


def test_two_cords_swapped_between_alike_ports_are_two_moves(tmp_path: Path) -> None:
    """Harmless, and still said."""
    report = Closet(tmp_path, repatched=sheet(A01="ACC-1:2", A02="ACC-1:1")).verified()

    assert (report.exit_code, codes(report), rows(report)) == (0, [], [])
    assert sorted(moves(report)) == [("PANEL-A:01", "1", "2", True, ""), ("PANEL-A:02", "2", "1", True, "")]


def test_a_cord_in_a_port_of_another_vlan_is_a_change(tmp_path: Path) -> None:
    """One cause, with what the desk lost and what it hears now; the move is not alike."""
    report = Closet(tmp_path, repatched=sheet(A02="ACC-1:6")).verified()

    assert report.exit_code == 1
    assert [verdict.state.value for verdict in report.vlans] == ["dropped", "carried"]
    assert moves(report) == [("PANEL-A:02", "2", "6", False, "")]
    assert set(rows(report)) == {
        (Kind.LOST, "PANEL-A:02", "untagged", False),
        (Kind.GAINED, "PANEL-A:02", "untagged", False),
    }
    assert report.comparison is not None
    assert len(report.comparison.causes) == 1


def test_two_cords_swapped_between_ports_that_differ_have_one_cause(tmp_path: Path) -> None:
    """A desk and a phone exchanged: both VLANs dropped, one error, and the phone to sign for."""
    report = Closet(tmp_path, repatched=sheet(A01="ACC-1:4", A04="ACC-1:1")).verified()

    assert report.exit_code == 1
    assert [verdict.state.value for verdict in report.vlans] == ["dropped", "dropped"]
    assert [finding.severity.value for finding in report.findings] == ["error", "warning"]
    assert sorted(moves(report)) == [("PANEL-A:01", "1", "4", False, ""), ("PANEL-A:04", "4", "1", False, "phone")]
    assert report.comparison is not None
    assert [set(cause.place.ports) for cause in report.comparison.causes] == [
        {"ACC-1:GigabitEthernet0/1", "ACC-1:GigabitEthernet0/4"}
    ]


HOLD = 'holds:\n  - {at: "PANEL-A:02", why: fire alarm dialler, owner: building services}\n'
HANDOFF = 'handoffs:\n  - {at: "PANEL-A:08", carrier: metro, circuit: "EX-0001"}\n'
CARRIER = {**SHEET, "PANEL-A:08": ("ACC-1:8", "carrier")}
APART = {**PORTS, 7: 30, 8: 30}
TO_SIGN = [
    ("phone", {"repatched": sheet(A04="ACC-1:6")}, ("PANEL-A:04", "4", "6", True, "phone")),
    (
        "hold",
        {"declared": DECLARED + HOLD, "repatched": sheet(A02="ACC-1:3")},
        ("PANEL-A:02", "2", "3", True, "hold: fire alarm dialler"),
    ),
    (
        "handoff",
        {
            "declared": DECLARED + HANDOFF,
            "patched": sheet(CARRIER),
            "repatched": sheet(CARRIER, A08="ACC-1:7"),
            "found": {"acc-1.txt": switch(ports=APART, clock=BEFORE)},
            "left": {"acc-1.txt": switch(ports=APART, clock=AFTER)},
        },
        ("EX-0001", "8", "7", True, "handoff"),
    ),
]


@pytest.mark.parametrize(("what", "closet", "moved"), TO_SIGN, ids=[row[0] for row in TO_SIGN])
def test_what_somebody_answers_for_is_to_sign(
    tmp_path: Path, what: str, closet: dict[str, object], moved: tuple[str, str, str, bool, str]
) -> None:
    """Moved to a port that is alike, it is no change, and a row that somebody must sign."""
    report = Closet(tmp_path, **closet).verified()  # type: ignore[arg-type]

    assert (report.exit_code, codes(report), rows(report)) == (0, ["C102"], [])
    assert moves(report) == [moved]
    assert what in report.findings[0].headline


def test_a_port_that_learned_its_address_is_to_sign() -> None:
    """A property of the port says so; `no` says that it does not."""
    sticky: dict[str, dict[Property, Fact[str]]] = {
        "1": {Property.STICKY_MAC: Fact("yes")},
        "2": {Property.STICKY_MAC: Fact("no")},
        "3": {},
    }
    ports = {name: Port(name=name, properties=one) for name, one in sticky.items()}
    ground = Ground(Network([Device(name="ACC-1", ports=ports)], []))

    assert [must_sign(ground, {}, f"ACC-1:{port}") for port in ports] == ["sticky MAC", "", ""]


EXPECTED = 'expected:\n  - {at: "PANEL-A:03", loses: untagged, gains: untagged, why: a phone instead of a desk}\n'


def test_a_change_that_nobody_announced_is_an_error(tmp_path: Path) -> None:
    """A desk that nothing declared hangs on; it is in the sheet, so its frames are needed."""
    report = Closet(tmp_path, patched=sheet(SPARE_DESK), repatched=sheet(SPARE_DESK), left=TO_PHONES).verified()

    assert (report.exit_code, codes(report)) == (1, ["C101"])
    assert {kind for kind, *_ in rows(report)} == {Kind.LOST, Kind.GAINED}
    assert {anchor for _, anchor, _, _ in rows(report)} == {"PANEL-A:03"}


def test_a_change_that_is_meant_is_ticked_off(tmp_path: Path) -> None:
    """The same rebuild with the change under `expected:` is clean, and the rows stay in the report."""
    report = Closet(
        tmp_path, DECLARED + EXPECTED, left=TO_PHONES, patched=sheet(SPARE_DESK), repatched=sheet(SPARE_DESK)
    )
    done = report.verified()

    assert (done.exit_code, codes(done)) == (0, [])
    assert {expected for *_, expected in rows(done)} == {True}
    assert len(rows(done)) == 2
    assert done.comparison is not None
    assert done.comparison.missing == ()


def test_a_meant_change_that_did_not_happen_is_an_error_at_its_line(tmp_path: Path) -> None:
    """What was ordered with the move is not there."""
    report = Closet(tmp_path, DECLARED + EXPECTED, patched=sheet(SPARE_DESK), repatched=sheet(SPARE_DESK)).verified()

    assert (report.exit_code, codes(report)) == (1, ["C103"])
    assert report.comparison is not None
    assert [name for name, _, _ in report.comparison.missing] == ["PANEL-A:03"]
    assert report.findings[0].where[0].origin.line == len(DECLARED.splitlines()) + 2


def test_a_change_at_a_place_that_is_not_named_is_not_excused(tmp_path: Path) -> None:
    """Both desks were to become phones; a third one did instead."""
    declared = DECLARED + EXPECTED.replace("PANEL-A:03", "PANEL-A:02")
    report = Closet(tmp_path, declared, left=TO_PHONES, patched=sheet(SPARE_DESK), repatched=sheet(SPARE_DESK))
    done = report.verified()

    assert done.exit_code == 1
    assert set(codes(done)) == {"C101", "C103"}


def test_half_of_a_meant_change_is_not_the_whole(tmp_path: Path) -> None:
    """The desk left its VLAN and came into one where nothing is: what it was to gain is missing."""
    alone = {"acc-1.txt": switch(ports={**PORTS, 3: 30}, clock=AFTER)}
    rows_of_sheet = sheet(SPARE_DESK)
    closet = Closet(tmp_path, DECLARED + EXPECTED, left=alone, patched=rows_of_sheet, repatched=rows_of_sheet)
    report = closet.verified()

    assert (report.exit_code, codes(report)) == (1, ["C103"])
    assert rows(report) == [(Kind.LOST, "PANEL-A:03", "untagged", True)]


TRUNK = (
    "interface GigabitEthernet0/3\n switchport mode trunk\n switchport trunk native vlan 999\n"
    " switchport trunk allowed vlan 10,20\n!\n"
)
LESS = TRUNK.replace("10,20", "10")
ACCESS = "interface GigabitEthernet0/3\n switchport mode access\n switchport access vlan 10\n!\n"
SHUT = "interface GigabitEthernet0/3\n shutdown\n!\n"
MEANT = [
    ("loses: [10, 20]", TRUNK, SHUT, {True}, []),
    ("loses: 1-4094", TRUNK, SHUT, {True}, []),
    ("loses: all", TRUNK, SHUT, {True}, []),
    ("loses: 10", TRUNK, SHUT, {False}, ["C101"]),
    ("loses: 20", TRUNK, LESS, {True}, []),
    ("gains: [10, 20]", SHUT, TRUNK, {True}, []),
    ("gains: 20", TRUNK, SHUT, {False}, ["C101", "C103"]),
    ("becomes: {untagged: 10}", ACCESS, LESS, {True}, []),
    ("becomes: 10", ACCESS, LESS, {True}, []),
    ("becomes: {10: untagged}", LESS, ACCESS, {True}, []),
    ("becomes: {untagged: 20}", ACCESS, LESS, {False}, ["C101", "C103"]),
]


@pytest.mark.parametrize(
    ("meant", "was", "now", "expected", "found"), MEANT, ids=[f"{row[0]} {number}" for number, row in enumerate(MEANT)]
)
def test_frames_of_a_meant_change(
    tmp_path: Path, meant: str, was: str, now: str, expected: set[bool], found: list[str]
) -> None:
    """A row is excused when all of its frames are meant; a change is missing when none of its frames changed so."""
    declared = f'{DECLARED}expected:\n  - {{at: "PANEL-A:03", {meant}, why: the server moves}}\n'
    others = {port: vid for port, vid in PORTS.items() if port != 3}
    report = Closet(
        tmp_path,
        declared,
        found={"acc-1.txt": switch(ports=others, clock=BEFORE, more=was)},
        left={"acc-1.txt": switch(ports=others, clock=AFTER, more=now)},
        patched=sheet({**SHEET, "PANEL-A:03": ("ACC-1:3", "server")}),
        repatched=sheet({**SHEET, "PANEL-A:03": ("ACC-1:3", "server")}),
    ).verified()

    assert {row[3] for row in rows(report)} == expected
    assert sorted(codes(report)) == found
    assert report.exit_code == (1 if "C103" in found else 0)


# ---- boxes under another name --------------------------------------------------------------------------------------

NEW_BOX = {"acc-9.txt": switch("ACC-9", clock=AFTER)}
ON_NEW_BOX = sheet().replace("ACC-1", "ACC-9")


def test_a_renamed_box_keeps_its_places(tmp_path: Path) -> None:
    """What is in the port of the same number was not moved."""
    renamed = DECLARED + "renamed:\n  as-left: {ACC-1: ACC-9}\n"
    report = Closet(tmp_path, renamed, left=NEW_BOX, repatched=ON_NEW_BOX).verified()

    assert (report.exit_code, codes(report), moves(report), rows(report)) == (0, [], [], [])


def test_a_port_that_was_renamed_with_its_box_was_not_moved(tmp_path: Path) -> None:
    """`ACC-1:2` is called `ACC-9:3` now: its cord is where it was.  Without that line it is a move."""
    elsewhere = sheet(A02="ACC-1:3").replace("ACC-1", "ACC-9")
    renamed = 'renamed:\n  as-left: {ACC-1: ACC-9, "ACC-1:2": "ACC-9:3"}\n'
    said = Closet(tmp_path / "said", DECLARED + renamed, left=NEW_BOX, repatched=elsewhere).verified()
    box = "renamed:\n  as-left: {ACC-1: ACC-9}\n"
    unsaid = Closet(tmp_path / "unsaid", DECLARED + box, left=NEW_BOX, repatched=elsewhere).verified()

    assert (said.exit_code, moves(said)) == (0, [])
    assert moves(unsaid) == [("PANEL-A:02", "2", "3", True, "")]


def test_a_box_of_which_nobody_says_that_it_is_renamed_is_another_box(tmp_path: Path) -> None:
    """Every cord was moved, and the phones are to sign for; jacks are still compared with jacks."""
    report = Closet(tmp_path, left=NEW_BOX, repatched=ON_NEW_BOX).verified()

    assert len(moves(report)) == len(SHEET)
    assert rows(report) == []
    assert codes(report) == ["C102", "C102"]


def test_the_captures_of_a_renamed_box_are_compared_by_time(tmp_path: Path) -> None:
    """A new name makes an old capture no newer."""
    renamed = DECLARED + "renamed:\n  as-left: {ACC-1: ACC-9}\n"
    old = {"acc-9.txt": switch("ACC-9", clock=BEFORE)}
    report = Closet(tmp_path, renamed, left=old, repatched=ON_NEW_BOX).verified()

    assert report.exit_code == 3
    assert codes(report) == ["C104"]
