"""`vlancheck patching`, and a workbook as the patch sheet of a site."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from openpyxl import Workbook
from report.sites import write_closet

from cli.running import run
from vlancheck.site.reading import read_sheet


@pytest.fixture
def closet(tmp_path: Path) -> Path:
    return write_closet(tmp_path / "site")


def as_book(closet: Path, *more: tuple[str, ...]) -> None:
    """Replace the sheet of a site by a workbook with the same rows on the second of two tabs, and more of them."""
    path = closet / "patching/as-found.csv"
    (table,) = read_sheet(path).tables
    book = Workbook()
    book.worksheets[0].append(("legend",))
    tab = book.create_sheet("cords")
    tab.append(("Closet", "before the move"))
    for cells in (*(row.cells for row in table.rows), *more):
        tab.append(cells)
    book.save(path.with_suffix(".xlsx"))
    path.unlink()


def test_a_workbook_gives_the_answers_of_its_rows(closet: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The same verdicts, places and walks as from a file of text."""
    asked = [
        ("audit", closet, "--json"),
        ("at", closet, "PANEL-A:01", "--json"),
        ("walk", closet, "PANEL-A:01", "untagged"),
    ]

    def answers() -> list[tuple[int, str]]:
        return [(run(*words), capsys.readouterr().out) for words in asked]

    before = answers()
    as_book(closet)
    after = answers()

    assert [code for code, _ in after] == [code for code, _ in before]
    was, now = json.loads(before[0][1]), json.loads(after[0][1])
    for part in ("verdict", "services", "vlans", "changes"):
        assert now.get(part) == was.get(part)
    assert json.loads(after[1][1]) == json.loads(before[1][1])
    assert "as-found.csv" not in after[2][1]


def test_findings_name_the_tab(closet: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """And the row in it; a tab that is not read is told."""
    as_book(closet, ("PANEL-A:01", "ACC-1:Gi0/9", "C-99"))
    sheet = read_sheet(closet / "patching/as-found.xlsx")
    (first,) = [cord.origins[0].line for cord in sheet.cords if "PANEL-A:01" in {end.name for end in cord.ends}][:1]

    assert run("audit", closet) == 1
    said = capsys.readouterr().out
    assert f"patching/as-found.xlsx[cords]:{first}: error W101" in said
    assert "the tab 'Sheet' has no headings for the two ends of a cord" in said


def test_what_is_told_of_a_sheet(closet: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Headings by sense, and each row in doubt with its number; the exit code says how it stands."""
    assert run("patching", closet) == 0
    said = capsys.readouterr().out.splitlines()
    assert said[0].startswith("patching/as-found.csv, as-found: ")
    assert said[0].endswith("0 doubtful rows, 0 contradictions")

    with (closet / "patching/as-found.csv").open("a", encoding="utf-8") as sheet:
        sheet.write("PANEL-A:20,unknown\n")
    line = len((closet / "patching/as-found.csv").read_text(encoding="utf-8").splitlines())
    assert run("patching", closet) == 3
    assert f"  row {line}: it says 'unknown'" in capsys.readouterr().out.splitlines()
    assert run("patching", closet, "--json") == 3
    assert [doubt["row"]["line"] for doubt in json.loads(capsys.readouterr().out)["doubts"]] == [line]

    with (closet / "patching/as-found.csv").open("a", encoding="utf-8") as sheet:
        sheet.write("PANEL-A:21,ACC-1:Gi0/1\nPANEL-A:22,ACC-1:Gi0/1\n")
    assert run("patching", closet) == 1
    assert "port used twice" in capsys.readouterr().out


@pytest.mark.parametrize("suffix", [".csv", ".tsv", ".xlsx"])
def test_a_sheet_is_written_once(closet: Path, suffix: str, capsys: pytest.CaptureFixture[str]) -> None:
    """As the sheet of the next survey; what is there is not overwritten."""
    out = closet / f"patching/as-planned{suffix}"
    assert run("patching", closet, "-o", out) == 0
    before = out.read_bytes()
    cords = [(cord.ends, cord.label) for cord in read_sheet(closet / "patching/as-found.csv").cords]
    assert [(cord.ends, cord.label) for cord in read_sheet(out).cords] == cords
    assert capsys.readouterr() == ("", "")

    assert run("patching", closet, "-o", out) == 2
    assert "is there already, and is not overwritten" in capsys.readouterr().err
    assert out.read_bytes() == before
    assert sorted(path.name for path in (closet / "patching").iterdir()) == sorted(
        ["as-found.csv", "as-left.csv", out.name]
    )


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("-o", "cords.ods"), "not written to .ods files"),
        (("-o", "cords"), "does not say what to write"),
        (("-o", "none/cords.csv"), "cannot be written"),
        (("--survey", "as-lost"), "there is no survey 'as-lost'"),
    ],
)
def test_what_cannot_be_done_is_one_error(
    closet: Path, words: tuple[str, ...], says: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run("patching", closet, *words) == 2
    assert says in capsys.readouterr().err


def test_a_survey_without_a_sheet_is_one_error(closet: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (closet / "patching/as-left.csv").unlink()
    assert run("patching", closet, "--survey", "as-left") == 2
    assert "the survey 'as-left' has no patch sheet" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("name", "says"), [("as-found.ods", "not read from .ods files"), ("as-found.xlsx", "the file is no workbook")]
)
def test_a_sheet_of_another_format_is_refused(
    closet: Path, name: str, says: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """It is not passed over as if there were none; beside a sheet that is read it does no harm."""
    if name.endswith(".ods"):
        (closet / "patching" / name).write_bytes(b"PK")
        assert run("patching", closet) == 0
    (closet / "patching/as-found.csv").unlink()
    (closet / "patching" / name).write_bytes(b"no")
    for command in ("patching", "audit"):
        assert run(command, closet) == 2
        assert says in capsys.readouterr().err
