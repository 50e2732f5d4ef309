"""A patch sheet written to a file and read again says the same, and no spreadsheet runs a cell of it."""

from __future__ import annotations

import csv
import io
import re
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from openpyxl import Workbook, load_workbook

from vlancheck.errors import UsageError
from vlancheck.report.sheetfile import SUFFIXES, left_out, sheet_file
from vlancheck.site.reading import read_sheet
from vlancheck.site.rows import squeezed
from vlancheck.site.sheet import Sheet

HEADINGS = ("From", "To", "Label", "Kind", "Colour", "Length", "Serves", "Hold", "Note", "Jack", "VLAN")
ENDS = st.sampled_from(
    ["PANEL-A:1", "PANEL-A:02", "PANEL-A:1..2", "ACC-1:1", "ACC-1:Gi1/0/2", "ACC-1:3-4", "spare", "?", "", "1/2", "=A1"]
)
ODD = st.text(st.sampled_from("aC7=+-@'\"#?|,;\t\n\r\x07\ufffe._ éß/"), max_size=8)
CELLS = st.one_of(st.just(""), st.sampled_from(["C-7", "cat6", "uplink(?)", "fire alarm", "-", "2026-02-01"]), ODD)
ROWS = st.lists(st.tuples(ENDS, ENDS, *[CELLS] * (len(HEADINGS) - 2)), max_size=6)
TITLES = st.lists(st.lists(CELLS, min_size=1, max_size=3), max_size=3)


def said(sheet: Sheet) -> dict[str, object]:
    """Return everything a sheet says, with the rows that say it, but the name of the file and of its tabs."""
    rows = lambda origins: [origin.line for origin in origins]  # noqa: E731
    return {
        "cords": [
            (*one.ends, one.label, one.kind, one.colour, one.length, one.serves, one.hold) for one in sheet.cords
        ],
        "more": [(one.note, one.room, one.jack, rows(one.origins)) for one in sheet.cords],
        "loose": [
            (one.end, one.free, one.serves, one.hold, one.note, one.jack, rows(one.origins)) for one in sheet.loose
        ],
        "doubts": [(one.why, one.ends, one.boxes, rows(one.origins)) for one in sheet.doubts],
        "unsure": [(one.why, rows(one.origins)) for one in sheet.unsure],
        "headings": [(one.text, one.column, one.sense) for one in sheet.headings],
        "clashes": [(one.clash, one.name, one.message, rows(one.origins)) for one in sheet.contradictions],
        "panels": [(one.name, one.jack, one.room) for one in sheet.panels.values()],
        "jacks": [(one.name, one.panel, one.room) for one in sheet.jacks.values()],
        "endpoints": [(one.at, one.text, one.kinds) for one in sheet.endpoints],
        "skipped": sheet.skipped,
        "cells": [(row.line, filled(row.cells)) for table in sheet.tables for row in table.rows],
    }


def filled(cells: tuple[str, ...]) -> tuple[str, ...]:
    """Return cells without the blank ones at their end."""
    return cells[: max((place for place, cell in enumerate(cells, 1) if cell), default=0)]


@settings(max_examples=120, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(titles=TITLES, rows=ROWS, suffixes=st.tuples(st.sampled_from(SUFFIXES), st.sampled_from(SUFFIXES)))
def test_a_sheet_written_and_read_again_says_the_same(
    tmp_path_factory: pytest.TempPathFactory,
    titles: list[list[str]],
    rows: list[tuple[str, ...]],
    suffixes: tuple[str, str],
) -> None:
    """From a file of text into any form, and from that into any other."""
    folder = tmp_path_factory.mktemp("sheet")
    text = io.StringIO(newline="")
    csv.writer(text).writerows([*titles, HEADINGS, *rows])
    (folder / "s.csv").write_text(text.getvalue(), encoding="utf-8", newline="")
    first = read_sheet(folder / "s.csv", "s.csv")
    written = first
    for number, suffix in enumerate(suffixes):
        path = folder / f"{number}{suffix}"
        path.write_bytes(sheet_file(written, suffix))
        written = read_sheet(path, path.name)

    assert said(written) == said(first)
    assert [heading.text for heading in first.headings] == list(HEADINGS)


@settings(max_examples=60, deadline=None)
@given(rows=ROWS)
def test_a_workbook_written_and_read_again_says_the_same(
    tmp_path_factory: pytest.TempPathFactory, rows: list[tuple[str, ...]]
) -> None:
    """With its tabs, the hidden one and the one without cords too."""
    folder = tmp_path_factory.mktemp("sheet")
    book = Workbook()
    for name, table in (("cords", [HEADINGS, *rows]), ("more", [HEADINGS[:3], ("PANEL-C:1", "ACC-2:1", "D-1")])):
        tab = book.create_sheet(name)
        for line, row in enumerate(table, 1):
            for column, cell in enumerate(row, 1):
                if text := squeezed(cell):
                    tab.cell(line, column, text)
    book.worksheets[0].append(["legend"])
    book.worksheets[2].sheet_state = "hidden"
    book.save(folder / "s.xlsx")
    first = read_sheet(folder / "s.xlsx", "s.xlsx")
    (folder / "t.xlsx").write_bytes(sheet_file(first, ".xlsx"))
    second = read_sheet(folder / "t.xlsx", "s.xlsx")

    assert second == first
    assert second.remarks == first.remarks != ()


FORMULAS = ["=1+1", "+1", "-1", "@SUM(A1)", "'=1", "'quoted'", "=HYPERLINK(A1)"]


def sheet_with(root: Path, cells: list[str]) -> Sheet:
    """Return a sheet with these cells as notes."""
    text = io.StringIO(newline="")
    rows = [(f"PANEL-A:{number}", f"ACC-1:{number}", f"'{cell}") for number, cell in enumerate(cells, 1)]
    csv.writer(text).writerows([("From", "To", "Note"), *rows])
    (root / "s.csv").write_text(text.getvalue(), encoding="utf-8")
    return read_sheet(root / "s.csv", "s.csv")


def test_no_cell_is_a_formula(tmp_path: Path) -> None:
    """In a file of text none begins like one; in a workbook every cell is a text."""
    sheet = sheet_with(tmp_path, FORMULAS)
    assert [cord.note for cord in sheet.cords] == FORMULAS

    for suffix, delimiter in ((".csv", ","), (".tsv", "\t")):
        text = sheet_file(sheet, suffix).decode("utf-8-sig")
        cells = [cell for row in csv.reader(io.StringIO(text), delimiter=delimiter) for cell in row]
        assert [cell for cell in cells if re.match(r"[=+\-@\t\r]", cell)] == []
        assert text.count("\r\n") == text.count("\n") == len(FORMULAS) + 1
    book = load_workbook(io.BytesIO(sheet_file(sheet, ".xlsx")))
    typed = {(cell.data_type, cell.number_format) for row in book.worksheets[0].iter_rows() for cell in row}
    assert typed == {("s", "@")}
    assert book.worksheets[0]["C2"].value == "=1+1"


def test_the_same_sheet_gives_the_same_bytes(tmp_path: Path) -> None:
    """No time and no chance is in them."""
    sheet = sheet_with(tmp_path, FORMULAS)

    for suffix in SUFFIXES:
        assert sheet_file(sheet, suffix) == sheet_file(sheet, suffix)
    assert b"dcterms:created" not in sheet_file(sheet, ".xlsx")


def test_rows_keep_their_numbers(tmp_path: Path) -> None:
    """A finding at row 5 is at row 5 of the new file."""
    (tmp_path / "s.csv").write_text('title\n\nFrom;To;Note\n\nPANEL-A:1;ACC-1:1;"two\nlines"\nPANEL-A:2;ACC-1:2;x\n')
    sheet = read_sheet(tmp_path / "s.csv", "s.csv")

    for suffix in SUFFIXES:
        (tmp_path / f"t{suffix}").write_bytes(sheet_file(sheet, suffix))
        again = read_sheet(tmp_path / f"t{suffix}", "t")
        assert [cord.origins[0].line for cord in again.cords] == [5, 7]
        assert again.cords[0].note == "two lines"


def test_cords_on_several_tabs_fit_no_file_of_text(tmp_path: Path) -> None:
    """It is said what to write instead; tabs without cords are left out, and named."""
    book = Workbook()
    book.worksheets[0].append(["legend"])
    for name in ("one", "two"):
        tab = book.create_sheet(name)
        tab.append(("From", "To"))
        tab.append((f"PANEL-A:{name}", f"ACC-1:{name}"))
    book.save(tmp_path / "s.xlsx")
    sheet = read_sheet(tmp_path / "s.xlsx", "s.xlsx")

    with pytest.raises(UsageError, match=r"2 tabs \(one, two\)") as caught:
        sheet_file(sheet, ".csv")
    assert ".xlsx" in caught.value.hint
    assert (left_out(sheet, ".csv"), left_out(sheet, ".xlsx")) == (("Sheet",), ())


def test_a_tab_that_is_a_panel_fits_no_file_of_text(tmp_path: Path) -> None:
    """Its name would be lost, and with it the panel."""
    book = Workbook()
    book.worksheets[0].title = "PANEL-B"
    for row in (("Port", "Switch", "Switch port"), ("7", "ACC-1", "7")):
        book.worksheets[0].append(row)
    book.save(tmp_path / "s.xlsx")
    sheet = read_sheet(tmp_path / "s.xlsx", "s.xlsx")

    with pytest.raises(UsageError, match="the tab PANEL-B stands for the panel"):
        sheet_file(sheet, ".csv")
    (tmp_path / "t.xlsx").write_bytes(sheet_file(sheet, ".xlsx"))
    assert [cord.one.name for cord in read_sheet(tmp_path / "t.xlsx").cords] == ["PANEL-B:7"]


def test_a_cell_that_a_workbook_cannot_hold_is_an_error(tmp_path: Path) -> None:
    """It would be cut without a word."""
    sheet = sheet_with(tmp_path, ["x" * 40_000])

    assert b"x" * 40_000 in sheet_file(sheet, ".csv")
    with pytest.raises(UsageError, match="row 2 has more than 32767 characters"):
        sheet_file(sheet, ".xlsx")
