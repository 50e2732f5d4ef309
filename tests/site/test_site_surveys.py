"""Surveys are found by folder and file name, or as declared; renamings come from a map or a file."""

from __future__ import annotations

from pathlib import Path

import pytest
from closets import folder

from vlancheck.capture.console import Section
from vlancheck.errors import SiteError
from vlancheck.site.bind import bindings
from vlancheck.site.declaration import read_declaration


def capture(root: Path, name: str) -> None:
    """Write a capture under captures/."""
    path = root / "captures" / name
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text("hostname X\n", encoding="utf-8")


def test_surveys_are_found_in_the_order_of_a_rebuild(tmp_path: Path) -> None:
    """Folders of captures and sheets of the same name are one survey."""
    root = folder(tmp_path / "s", sheets={"as-left.csv": "From,To\n", "as-planned.csv": "From,To\n", "notes.md": "x"})
    capture(root, "as-left/a.txt")
    capture(root, "as-found/a.txt")
    capture(root, "aside/a.txt")
    surveys = read_declaration(root).surveys

    assert list(surveys) == ["as-found", "as-planned", "as-left", "aside"]
    assert surveys["as-left"].captures == (root / "captures" / "as-left",)
    assert surveys["as-left"].patching == root / "patching" / "as-left.csv"
    assert (surveys["as-planned"].captures, surveys["aside"].patching) == ((), None)


def test_bare_captures_are_the_survey_as_found(tmp_path: Path) -> None:
    """Files right under captures/ need no folder; beside folders they belong to nobody, which is an error."""
    root = folder(tmp_path / "s")
    capture(root, "one.txt")
    assert list(read_declaration(root).surveys) == ["as-found"]

    capture(root, "as-left/two.txt")
    with pytest.raises(SiteError, match=r"one\.txt lies beside the folders"):
        read_declaration(root)


def test_a_site_without_captures_has_one_survey(tmp_path: Path) -> None:
    """There is something to declare before anything is captured."""
    assert list(read_declaration(folder(tmp_path / "s")).surveys) == ["as-found"]


def test_a_survey_may_combine_captures_and_patching_of_others(tmp_path: Path) -> None:
    """The plan is the captures of today with the sheet of tomorrow; edits are a path."""
    root = folder(
        tmp_path / "s",
        """
        surveys:
          as-found:
          as-planned: {captures: [captures/as-found], patching: patching/plan.csv, edits: edits}
          as-left: {taken: 2026-03-14 22:40 CET}
        """,
        {"plan.csv": "From,To\n", "as-found.csv": "From,To\n"},
    )
    capture(root, "as-found/a.txt")
    capture(root, "as-left/a.txt")
    (root / "edits").mkdir()
    found, planned, left = read_declaration(root).surveys.values()

    assert (found.captures, found.patching) == ((root / "captures/as-found",), root / "patching/as-found.csv")
    assert (planned.captures, planned.patching) == ((root / "captures/as-found",), root / "patching/plan.csv")
    assert planned.edits == root / "edits"
    assert (left.taken, left.captures) == ("2026-03-14 22:40:00 CET", (root / "captures/as-left",))


def test_two_sheets_for_one_survey_are_an_error(tmp_path: Path) -> None:
    """Which of them is right nobody can know; temporary files of a spreadsheet program do not count."""
    root = folder(tmp_path / "s", sheets={"as-found.csv": "From,To\n", "~$as-found.xlsx": "", ".as-found.csv": ""})
    assert read_declaration(root).surveys["as-found"].patching == root / "patching/as-found.csv"
    (root / "patching/as-found.xlsx").write_bytes(b"PK")
    with pytest.raises(SiteError, match="two patch sheets"):
        read_declaration(root)


def test_renamings_come_from_a_map_or_a_file(tmp_path: Path) -> None:
    """Both say old -> new, and know their line."""
    root = folder(tmp_path / "s", "renamed: {as-found: {ACC-1: ACC-9, 'SORT-1:24': 'SORT-2:Gi1/0/24'}}\n")
    rows = read_declaration(root).renamed["as-found"]
    assert [(row.old, row.new, row.line) for row in rows] == [
        ("ACC-1", "ACC-9", 1),
        ("SORT-1:24", "SORT-2:Gi1/0/24", 1),
    ]

    root = folder(tmp_path / "s", "renamed: {as-found: names.csv}\n")
    (root / "names.csv").write_text("Renamed boxes\nOld;New;Who\nACC-1;ACC-9;me\n", encoding="utf-8")
    (row,) = read_declaration(root).renamed["as-found"]
    assert (row.old, row.new, row.file, row.line) == ("ACC-1", "ACC-9", "names.csv", 3)
    assert row.origins[0].kind == "sheet"


@pytest.mark.parametrize(
    ("text", "line", "message"),
    [("a,b\n1,2\n", 0, "no row of headings"), ("old,new\nA,\n", 2, "an old and a new name"), ("", 0, "empty")],
)
def test_a_file_of_renamings_that_is_not_right(tmp_path: Path, text: str, line: int, message: str) -> None:
    """One error with the file and the line."""
    root = folder(tmp_path / "s", "renamed: {as-found: names.csv}\n")
    (root / "names.csv").write_text(text, encoding="utf-8")
    with pytest.raises(SiteError, match=message) as caught:
        read_declaration(root)
    assert (caught.value.file, caught.value.line) == ("names.csv", line)


def section(file: str) -> Section:
    """Return an empty section of a file."""
    return Section(file, "", "", (), None)


def test_captures_are_bound_by_the_last_parts_of_their_path(tmp_path: Path) -> None:
    """A file that only another survey has is no fault; one that none has is a typing error."""
    root = folder(tmp_path / "s", "devices: {A: {captures: [a.txt], dialect: x}, B: {captures: as-left/b.txt}}\n")
    capture(root, "as-found/a.txt")
    capture(root, "as-left/b.txt")
    declaration = read_declaration(root)
    names, dialects = bindings(declaration, [section("captures/as-found/a.txt"), section("captures/as-found/c.txt")])

    assert names == {"captures/as-found/a.txt": "A"}
    assert dialects == {"A": "x"}

    folder(root, "devices: {A: {captures: [aa.txt]}}\n")
    with pytest.raises(SiteError, match=r"no capture of any survey is called aa\.txt") as caught:
        bindings(read_declaration(root), [section("captures/as-found/a.txt")])
    assert caught.value.hint == "nearest: a.txt, b.txt"

    folder(root, "devices: {A: {captures: [a.txt]}, B: {captures: [a.txt]}}\n")
    with pytest.raises(SiteError, match="bound to A and to B"):
        bindings(read_declaration(root), [section("captures/as-found/a.txt")])

    folder(root, "devices: {A: {captures: [a.txt]}}\n")
    with pytest.raises(SiteError, match="several captures are called"):
        bindings(read_declaration(root), [section("x/a.txt"), section("y/a.txt")])
