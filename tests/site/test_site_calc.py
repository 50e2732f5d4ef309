"""Workbooks as LibreOffice Calc saves them: one that is kept, one saved anew; both say what their CSV twins say."""

from __future__ import annotations

import os
import shutil
import subprocess
from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path

import pytest

from vlancheck.site.reading import read_sheet
from vlancheck.site.sheet import SheetCord

SHEETS = Path(__file__).resolve().parents[2] / "fixtures" / "sheets"
PROGRAM, PACKAGE = "soffice", "libreoffice-calc"  # and the Debian package that has it
TWINS = ("closet-2-desks.csv", "closet-2-building-B.csv")  # a tab each, in order


def assert_same_as_twins(book: Path) -> None:
    """Hold everything that the workbook says against its twins, but where it stands."""
    sheet = read_sheet(book, "s.xlsx")
    twins = [read_sheet(SHEETS / name, name) for name in TWINS]
    cords = [cord for twin in twins for cord in twin.cords]
    assert len(cords) == 16
    assert bare(sheet.cords) == bare(cords)
    assert [cord.origins[0].sheet for cord in sheet.cords] == ["desks"] * 2 + ["building B"] * 14
    doubts = [doubt for twin in twins for doubt in twin.doubts]
    assert [doubt.why for doubt in doubts] == [
        "'2026-02-01' is a date; a spreadsheet may have made it of a port",
        "it says '#N/A'",
    ]
    assert [(doubt.why, doubt.ends, doubt.boxes) for doubt in sheet.doubts] == [
        (doubt.why, doubt.ends, doubt.boxes) for doubt in doubts
    ]
    assert [doubt.origins[0].line for doubt in sheet.doubts] == [7, 8]
    assert (sheet.loose, sheet.unsure, sheet.contradictions, sheet.remarks) == ((), (), (), ())


def bare(cords: Iterable[SheetCord]) -> list[SheetCord]:
    """Return cords without the rows that they come from."""
    return [replace(cord, origins=()) for cord in cords]


def test_a_kept_workbook_says_what_its_twins_say() -> None:
    """A title, merged cells, formulas, formats that write text before a number, a port that has become a date."""
    assert_same_as_twins(SHEETS / "closet-2.xlsx")


def test_a_workbook_saved_anew_says_what_its_twins_say(tmp_path: Path) -> None:
    """By the Calc that is installed, whatever its release."""
    save_as(tmp_path, SHEETS / "closet-2.fods", "xlsx")
    assert_same_as_twins(tmp_path / "closet-2.xlsx")


def test_ports_that_calc_makes_dates_of(tmp_path: Path) -> None:
    """A CSV file opened with special numbers told apart: `1/2` is a date, and its row is in doubt."""
    (tmp_path / "cords.csv").write_text(
        "Panel,Panel port,Switch,Switch port\nPANEL-B,7,ACC-1,1/2\nPANEL-B,8,ACC-1,1/0/8\nPANEL-B,9,ACC-1,3:15\n",
        encoding="utf-8",
    )
    save_as(tmp_path, tmp_path / "cords.csv", "xlsx", "--infilter=CSV:44,34,76,1,,1033,false,true")
    sheet = read_sheet(tmp_path / "cords.xlsx", "cords.xlsx")

    assert [(cord.one.name, cord.other.name) for cord in sheet.cords] == [("PANEL-B:8", "ACC-1:1/0/8")]
    assert [(doubt.why.partition("; ")[2], doubt.origins[0].line) for doubt in sheet.doubts] == [
        ("a spreadsheet may have made it of a port", 2),
        ("a spreadsheet may have made it of a port", 4),
    ]


def save_as(folder: Path, path: Path, kind: str, *words: str) -> None:
    """Let Calc save a file in another format; skip without Calc, or fail where VLANCHECK_REQUIRE_CALC=1 asks for it."""
    program = shutil.which(PROGRAM)
    if program is None:
        why = f"{PROGRAM} not found: install Debian package {PACKAGE}"
        if os.environ.get("VLANCHECK_REQUIRE_CALC") == "1":
            pytest.fail(why)
        pytest.skip(why)
    profile = f"-env:UserInstallation={(folder / 'profile').as_uri()}"
    command = [program, profile, "--headless", *words, "--convert-to", kind, "--outdir", str(folder), str(path)]
    done = subprocess.run(command, capture_output=True, text=True, timeout=180, check=False)
    assert (folder / path.with_suffix(f".{kind}").name).is_file(), done.stderr[-2000:]
