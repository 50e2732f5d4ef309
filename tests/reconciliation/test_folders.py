"""From a folder with captured tables to the report: several tables of one survey, times, hand tests, the text."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

import pytest
from changes.closets import AFTER, BEFORE, DECLARED, PORTS, SHEET, Closet, codes, sheet, switch

import vlancheck
from vlancheck.answering import Judged
from vlancheck.outcome import Report
from vlancheck.reconciliation.moved import HandTest, MoveKind, Proof
from vlancheck.reconciliation.reconcile import reconcile
from vlancheck.report import auditing

HOME = {1: "0200.5e00.0001", 2: "0200.5e00.0002", 4: "0200.5e00.0004", 5: "0200.5e00.0005"}  # port -> address
EXCHANGED = {**HOME, 1: HOME[4], 4: HOME[1]}
ALIKE = {**HOME, 1: HOME[2], 2: HOME[1]}


def table(learned: Mapping[int, str], clock: str, name: str = "ACC-1") -> str:
    """Return a console log with the time and a table of addresses."""
    rows = "".join(f"  {PORTS[port]}    {mac}    DYNAMIC     Gi0/{port}\n" for port, mac in learned.items())
    return (
        f"{name}#show clock\n{clock}\n{name}#show mac address-table\n"
        "Vlan    Mac Address       Type        Ports\n----    -----------       --------    -----\n"
        f"{rows}{name}#\n"
    )


def status(down: int, name: str = "ACC-1") -> str:
    """Return a console log that shows one port without a link."""
    return (
        f"{name}#show interfaces status\n\n"
        "Port      Name               Status       Vlan       Duplex  Speed Type\n"
        f"Gi0/{down}     {'':<18} notconnect   {PORTS[down]:<10} auto   auto 10/100/1000BaseTX\n{name}#\n"
    )


def closet(root: Path, *tables: str, **changed: object) -> Closet:
    """Return a closet whose later survey has these tables, and the earlier one everything where the sheet says."""
    found = {"acc-1.txt": switch(clock=BEFORE), "table.txt": table(HOME, BEFORE)}
    left = {"acc-1.txt": switch(clock=AFTER)} | {f"table-{n}.txt": text for n, text in enumerate(tables)}
    return Closet(root, found=found, left=left, **changed)  # type: ignore[arg-type]


def causes(report: Report) -> list[MoveKind]:
    assert report.moves is not None
    return [cause.kind for cause in report.moves.causes]


def states(report: Report) -> dict[str, Proof]:
    assert report.moves is not None
    return {jack.at: jack.state for jack in report.moves.jacks}


def test_a_closet_that_was_rebuilt_as_planned_is_proved_and_says_nothing_else(tmp_path: Path) -> None:
    report = closet(tmp_path, table(HOME, AFTER)).verified()

    assert (report.exit_code, codes(report), causes(report)) == (0, [], [])
    assert states(report) == dict.fromkeys(SHEET, Proof.PROVED)
    assert report.moves is not None
    first = report.moves.jacks[0]
    assert [origin.place for origin in first.origins] == [
        "captures/as-found/table.txt:6",
        "captures/as-left/table-0.txt:6",
    ]
    text = auditing.text(report)
    assert "Seen since as-found, against the sheet\n  4 rows of the sheet: 4 proved" in text


def test_two_cords_exchanged_against_sheet_and_lines_are_one_error(tmp_path: Path) -> None:
    """Sheets and configurations are as they were; only the tables know.  The report has it once."""
    report = closet(tmp_path, table(EXCHANGED, AFTER)).verified()

    assert (report.exit_code, codes(report)) == (1, ["C106"])
    (finding,) = (one for one in report.findings if one.code == "C106")
    files = {where.origin.file for where in finding.where}
    assert files == {"captures/as-found/table.txt", "captures/as-left/table-0.txt", "patching/as-left.csv"}
    assert "do not change the port" in finding.why
    document = report.to_dict()
    assert [cause["kind"] for cause in document["causes_of_moves"]] == ["cords exchanged"]
    first = document["jacks"][0]
    assert (first["state"], first["seen_at"]) == ("unproven", ["ACC-1:GigabitEthernet0/4"])


def test_two_cords_exchanged_between_ports_that_carry_the_same_are_a_note(tmp_path: Path) -> None:
    report = closet(tmp_path, table(ALIKE, AFTER)).verified()

    assert (report.exit_code, codes(report)) == (0, ["C106"])
    assert [one.severity.value for one in report.findings if one.code == "C106"] == ["note"]


def test_a_hold_in_another_port_that_carries_the_same_is_to_sign(tmp_path: Path) -> None:
    """The table has it in the port of a desk; nothing is lost, and its owner must know."""
    hold = 'holds:\n  - {at: "PANEL-A:02", why: fire alarm dialler, owner: building services}\n'
    report = closet(tmp_path, table(ALIKE, AFTER), declared=DECLARED + hold).verified()

    (finding,) = (one for one in report.findings if one.code == "C106")
    assert finding.severity.value == "warning"
    assert "hold: fire alarm dialler" in finding.headline


@pytest.mark.parametrize(("learned", "found"), [(ALIKE, []), (EXCHANGED, ["C106"])])
def test_without_a_sheet_only_another_vlan_is_an_error(
    tmp_path: Path, learned: Mapping[int, str], found: list[str]
) -> None:
    """Nothing says where the cords should be: ports are held against themselves, and only what is lost is told."""
    closet(tmp_path, table(learned, AFTER)).verified()
    for sheet_file in (tmp_path / "patching").iterdir():
        sheet_file.unlink()
    (tmp_path / "site.yaml").write_text("site: no sheet\n", encoding="utf-8")
    report = vlancheck.open_site(tmp_path).verify()

    assert causes(report) == [MoveKind.SWAP]
    assert [code for code in codes(report) if code == "C106"] == found
    assert report.moves is not None
    assert report.moves.jacks == ()


def test_a_move_that_the_sheet_has_and_the_table_shows_is_told_once(tmp_path: Path) -> None:
    """The later sheet exchanges a desk and a phone, and so it was done: the change is told, no contradiction."""
    done = closet(tmp_path / "done", table(EXCHANGED, AFTER), repatched=sheet(A01="ACC-1:4", A04="ACC-1:1"))
    report = _made(done).verified()

    assert codes(report) == ["C105", "C102"]
    assert causes(report) == []


def test_a_move_that_the_sheet_has_and_nobody_made_is_told(tmp_path: Path) -> None:
    report = closet(tmp_path, table(HOME, AFTER), repatched=sheet(A01="ACC-1:2", A02="ACC-1:1")).verified()

    assert codes(report) == ["C106"]


def test_the_last_of_several_tables_counts(tmp_path: Path) -> None:
    """A cord that was corrected on the same evening is where it should be; one that went wrong later is not."""
    early, late = AFTER, AFTER.replace("22:40", "23:50")
    mended = closet(tmp_path / "mended", table(EXCHANGED, early), table(HOME, late))
    broken = closet(tmp_path / "broken", table(HOME, early), table(EXCHANGED, late))

    assert causes(_made(mended).verified()) == []
    assert causes(_made(broken).verified()) == [MoveKind.SWAP]


def test_what_is_seen_in_any_table_is_seen(tmp_path: Path) -> None:
    """One table shows half of the desks, another the other half."""
    halves = [{port: HOME[port] for port in ports} for ports in ((1, 4), (2, 5))]
    report = closet(tmp_path, *(table(half, AFTER) for half in halves)).verified()

    assert states(report) == dict.fromkeys(SHEET, Proof.PROVED)


def test_a_device_is_never_gone_by_one_table(tmp_path: Path) -> None:
    """Three tables over more than a day and a port without a link let it be gone; less than that is silence."""
    rest = {port: mac for port, mac in HOME.items() if port != 5}
    days = [AFTER, *(AFTER.replace("Sat Mar 14", day) for day in ("Sun Mar 15", "Mon Mar 16"))]
    one = closet(tmp_path / "one", table(rest, AFTER), status(5))
    linked = closet(tmp_path / "linked", *(table(rest, day) for day in days))
    three = closet(tmp_path / "three", *(table(rest, day) for day in days), status(5))

    assert causes(_made(one).verified()) == [MoveKind.SILENT]
    assert causes(_made(linked).verified()) == [MoveKind.SILENT]
    report = _made(three).verified()
    assert causes(report) == [MoveKind.GONE]
    assert states(report)["PANEL-A:05"] is Proof.UNPROVEN
    assert codes(report) == []


def test_captures_of_before_the_move_prove_nothing_after_it(tmp_path: Path) -> None:
    """The planned survey has the captures of the earlier one."""
    made = closet(tmp_path, table(HOME, AFTER))
    made.verified()
    planned = "surveys: {as-found: , as-left: {captures: captures/as-found}}\n"
    (tmp_path / "site.yaml").write_text(DECLARED + planned, encoding="utf-8")
    report = vlancheck.open_site(tmp_path).verify()

    assert causes(report) == []
    assert states(report) == dict.fromkeys(SHEET, Proof.UNPROVEN)
    assert "against the sheet" not in auditing.text(report)


def test_a_box_that_was_replaced_is_the_one_it_was(tmp_path: Path) -> None:
    """Its cords are in the ports of the same number, and what is behind them is proved by the panel ports."""
    rows = {panel: (port.replace("ACC-1", "ACC-9"), serves) for panel, (port, serves) in SHEET.items()}
    made = closet(tmp_path, declared=f"{DECLARED}renamed: {{as-left: {{ACC-1: ACC-9}}}}\n", repatched=sheet(rows))
    made.left = {"acc-9.txt": switch("ACC-9", clock=AFTER), "table.txt": table(HOME, AFTER, "ACC-9")}
    report = made.verified()

    assert (causes(report), states(report)) == ([], dict.fromkeys(SHEET, Proof.PROVED))


@pytest.mark.parametrize(("passed", "state"), [(True, Proof.PROVED), (False, Proof.UNPROVEN)])
def test_a_test_by_hand_decides_its_row(tmp_path: Path, passed: bool, state: Proof) -> None:
    closet(tmp_path, table(HOME, AFTER)).verified()
    site = vlancheck.open_site(tmp_path)
    both = [Judged(site, site.survey(name)).sighted() for name in ("as-found", "as-left")]
    test = HandTest("PANEL-A:5", "R. Marsh", "2026-03-14 23:10", "dial tone, call in and out", passed)

    found = {jack.at: jack.state for jack in reconcile(*both, [test]).jacks}
    assert found == {**dict.fromkeys(SHEET, Proof.PROVED), "PANEL-A:05": state}


def _made(closet: Closet) -> Closet:
    closet.root.mkdir()
    return closet
