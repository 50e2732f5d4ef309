"""Shorter cords: never another carriage, never a cord that is not free, and as short as trying every way finds."""

from __future__ import annotations

from itertools import permutations
from pathlib import Path
from random import Random
from tempfile import TemporaryDirectory

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from moves.closets import DECLARED, Row, access, long_cords, switch, write
from vlancheck.moves.plan import _MOVE, _Measure, plan
from vlancheck.pipeline import open_site
from vlancheck.report import sheetfile
from vlancheck.site.reading import read_sheet

HEIGHTS = "cabinet: {PANEL-A: 12, ACC-1: 11, ACC-2: 4}\n"
SERVES = ("PC", "PC", "printer", "phone 7", "fire alarm", "camera")
NOTES = ("", "", "", "bad port", "not to be used", "fixed")


def test_cords_get_shorter_and_the_plan_is_proven(tmp_path: Path) -> None:
    found = open_site(long_cords(tmp_path / "site")).replan()
    assert found.proven
    assert found.plan.cords == 8
    assert len(found.plan.shifts) >= 4
    assert found.plan.before - found.plan.after == sum(shift.saves for shift in found.plan.shifts) > 0


@pytest.mark.parametrize("note", ["port defect", "not to be used", "dead", "loose contact"])
def test_no_cord_goes_into_a_port_that_a_row_marks_bad(tmp_path: Path, note: str) -> None:
    """The row names the port alone, and no cord; without it the plan goes there."""
    site = open_site(long_cords(tmp_path / "site"))
    wanted = site.replan().plan.shifts[0].after
    sheet = tmp_path / "site/patching/as-found.csv"
    sheet.write_text(sheet.read_text() + f",{wanted},,,{note}\n", encoding="utf-8")
    marked = open_site(tmp_path / "site").replan()
    assert marked.proven
    assert marked.plan.shifts
    assert wanted not in {shift.after for shift in marked.plan.shifts}


def test_the_planned_sheet_reads_back_and_has_nothing_else_changed(tmp_path: Path) -> None:
    """Written as a file and read again it has the cords of the plan, and every other cell as before."""
    site = open_site(long_cords(tmp_path / "site"))
    found = site.replan()
    assert found.sheet is not None
    path = tmp_path / "planned.csv"
    path.write_bytes(sheetfile.sheet_file(found.sheet, ".csv"))
    before = {cord.label: cord for cord in site.survey().sheet.cords}  # type: ignore[union-attr]
    moved = {shift.label: shift.after for shift in found.plan.shifts}
    for cord in read_sheet(path).cords:
        was = before[cord.label]
        assert (cord.one, cord.serves, cord.note) == (was.one, was.serves, was.note)
        assert cord.other.name == moved.get(cord.label, was.other.name)


def test_a_row_of_ranges_is_split(tmp_path: Path) -> None:
    root = long_cords(tmp_path / "site")
    rows = "From,To,Label,Serves\nPANEL-A:01-04,ACC-1:20-23,C-1..4,PC\nPANEL-A:05-08,ACC-1:5-8,C-5..8,PC\n"
    (root / "patching/as-found.csv").write_text(rows, encoding="utf-8")
    site = open_site(root)
    found = site.replan()
    assert found.proven
    assert found.plan.shifts
    assert found.sheet is not None
    assert len(found.sheet.cords) == 8
    assert not found.sheet.doubts
    assert {cord.one.name for cord in found.sheet.cords} == {f"PANEL-A:{n:02}" for n in range(1, 9)}


def random_site(rng: Random, root: Path) -> Path:
    """Write a site of two switches with random ports, cords, remarks and kinds of endpoints."""
    kinds = (access(10), access(20), access(10, "speed 100"), access(10, "switchport voice vlan 20"))
    logs = {
        name.lower(): switch(
            name, {port: rng.choice(kinds) for port in range(1, 9)}, uplink=rng.choice(("10,20", "10"))
        )
        for name in ("ACC-1", "ACC-2")
    }
    ports = [f"{name}:{port}" for name in ("ACC-1", "ACC-2") for port in range(1, 9)]
    rng.shuffle(ports)
    rows: list[Row] = [("ACC-1:24", "ACC-2:24", "", "")]
    for number in range(1, rng.randint(3, 12)):
        serves = f"{rng.choice(SERVES)} {number}"
        rows.append((f"PANEL-A:{number:02}", ports.pop(), serves, rng.choice(NOTES)))
    return write(root, logs, rows, DECLARED + rng.choice((HEIGHTS, "")))


@settings(max_examples=30, deadline=None)
@given(st.randoms(use_true_random=False))
def test_a_plan_never_changes_carriage_and_moves_free_cords_alone(rng: Random) -> None:
    with TemporaryDirectory() as folder:
        root = random_site(rng, Path(folder) / "site")
        found = open_site(root).replan()
        assert found.proven
        rows = {row.split(",")[0]: row for row in (root / "patching/as-found.csv").read_text().splitlines()}
        for shift in found.plan.shifts:
            row = rows[shift.name]
            assert not any(word in row for word in ("phone", "alarm", "bad", "not to be used", "fixed"))
        assert len({shift.after for shift in found.plan.shifts}) == len(found.plan.shifts)


@settings(max_examples=30, deadline=None)
@given(st.randoms(use_true_random=False))
def test_no_other_way_is_shorter(rng: Random) -> None:
    """Every way to put up to six cords of one class into its ports is tried."""
    with TemporaryDirectory() as folder:
        count, room = rng.randint(2, 5), rng.randint(5, 6)
        ports = rng.sample(range(1, room + 1), count)
        rows: list[Row] = [(f"PANEL-A:{n:02}", f"ACC-1:{port}", f"PC {n}", "") for n, port in enumerate(ports, 1)]
        log = switch("ACC-1", {port: access(10) for port in range(1, room + 1)})
        site = open_site(
            write(Path(folder) / "site", {"acc-1": log}, rows, DECLARED + HEIGHTS.replace(", ACC-2: 4", ""))
        )
        found = site.replan()
        boxes = site.survey().boxes
        names = {name: {"GigabitEthernet1/0/": room} for name in boxes.devices}
        measure = _Measure({"PANEL-A": 12, "ACC-1": 11}, names)

        def total(chosen: tuple[int, ...]) -> int:
            lengths = [
                round(measure.length(row[0], f"ACC-1:GigabitEthernet1/0/{port}", flat=False))
                for row, port in zip(rows, chosen, strict=True)
            ]
            return sum(lengths) + _MOVE * sum(new != old for new, old in zip(chosen, ports, strict=True))

        least = min(map(total, permutations(range(1, room + 1), count)))
        assert found.plan.after + _MOVE * len(found.plan.shifts) == least


def test_heights_that_nobody_says_keep_cords_at_their_device(tmp_path: Path) -> None:
    rows: list[Row] = [
        ("ACC-1:24", "ACC-2:24", "", ""),
        *[(f"PANEL-A:{n:02}", f"ACC-1:{9 - n}", f"PC {n}", "") for n in range(1, 5)],
    ]
    logs = {
        name.lower(): switch(name, {port: access(10) for port in range(1, 9)}, uplink="10")
        for name in ("ACC-1", "ACC-2")
    }
    found = open_site(write(tmp_path / "site", logs, rows)).replan()
    assert found.plan.no_height == ("ACC-1", "ACC-2", "PANEL-A")
    assert all(shift.after.startswith("ACC-1:") for shift in found.plan.shifts)


def test_a_plan_without_free_cords_is_empty(tmp_path: Path) -> None:
    rows: list[Row] = [("PANEL-A:01", "ACC-1:1", "phone 1", "")]
    site = open_site(write(tmp_path / "site", {"acc-1": switch("ACC-1", {1: access(10), 2: access(10)})}, rows))
    assert plan(site.alike(), site.survey().boxes, {}).shifts == ()
    assert site.replan().proven


@pytest.mark.parametrize(("unit", "told"), [("0", "'0'"), ("top", "'top'"), ("61", "'61'")])
def test_a_height_that_is_none_is_an_error(tmp_path: Path, unit: str, told: str) -> None:
    from vlancheck.errors import SiteError

    rows: list[Row] = [("PANEL-A:01", "ACC-1:1", "PC", "")]
    declared = DECLARED + f"cabinet: {{PANEL-A: {unit}}}\n"
    root = write(tmp_path / "site", {"acc-1": switch("ACC-1", {1: access(10)})}, rows, declared)
    with pytest.raises(SiteError, match=told):
        open_site(root)
