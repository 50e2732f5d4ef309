"""The files: CSV and workbook have the very rows, nothing is overwritten, and a name is never a formula or markup."""

from __future__ import annotations

import base64
import csv
import hashlib
import io
import re
from dataclasses import replace
from html.parser import HTMLParser
from pathlib import Path

import pytest
from cli.running import run as cli
from hypothesis import given, settings
from hypothesis import strategies as st
from openpyxl import load_workbook

from vlancheck.errors import UsageError
from vlancheck.moves.worksheets.sheet import Blank, Book, Fill, Row, Worksheet
from vlancheck.report.markup import clean
from vlancheck.report.worksheets import PAGE, WORKBOOK, files
from vlancheck.report.worksheets_csv import csv_file
from vlancheck.report.worksheets_html import html_page, shares
from vlancheck.report.worksheets_script import SCRIPT
from vlancheck.report.worksheets_xlsx import PAPERS, xlsx_file
from vlancheck.site.rows import FORMULA_SIGNS, unguarded

from .nights import example_book, write_rough

SITE = Path(__file__).parents[2] / "vlancheck/example/site"
HOSTILE = "</td></script><script>alert(1)</script><img src=x onerror=alert(1)>\"'&amp;"
BLANKS = (Blank("Done", Fill.TICK, "done"), Blank("Result", Fill.RESULT, "result"), Blank("Seen", Fill.WORDS, "seen"))


def book_of(*texts: str) -> Book:
    """Return a book with one sheet, in which everything that a name can be in says these texts."""
    rows = tuple(Row(text or "-", (text, text), text, text) for text in texts)
    return Book(texts[0], texts[0], texts[0], (Worksheet("one", "One", "For this.", ("A", "B"), rows, BLANKS),))


def test_csv_files_have_the_very_rows() -> None:
    for sheet in example_book().sheets:
        data = csv_file(sheet)
        assert data.startswith(b"\xef\xbb\xbf")
        text = data.decode("utf-8-sig")
        assert text.count("\r\n") >= len(sheet.rows) + 1, "lines end as RFC 4180 says"
        read = list(csv.reader(io.StringIO(text, newline=""), strict=True))
        assert tuple(tuple(unguarded(cell) for cell in row) for row in read) == sheet.table()


def test_the_workbook_has_a_tab_a_sheet_with_the_very_rows() -> None:
    made = load_workbook(io.BytesIO(xlsx_file(example_book())))
    assert made.sheetnames == [sheet.name for sheet in example_book().sheets]
    for sheet in example_book().sheets:
        read = tuple(tuple(cell or "" for cell in row) for row in made[sheet.name].iter_rows(values_only=True))
        assert read == sheet.table()
        assert made[sheet.name].print_title_rows == "$1:$1"


@settings(max_examples=60, deadline=None)
@given(st.lists(st.text(st.characters(exclude_categories=["Cs", "Cc"]), max_size=30), min_size=1, max_size=4))
def test_no_cell_is_a_formula(texts: list[str]) -> None:
    sheet = book_of(*texts, "=1+1", "+1", "-1", "@x").sheets[0]
    rows = list(csv.reader(io.StringIO(csv_file(sheet).decode("utf-8-sig"), newline="")))
    assert tuple(tuple(unguarded(cell) for cell in row) for row in rows) == sheet.table()
    assert not [cell for row in rows for cell in row if cell.startswith(tuple(FORMULA_SIGNS))]
    book = load_workbook(io.BytesIO(xlsx_file(book_of(*texts, "=1+1", "+1", "-1", "@x"))))
    read = [list(row) for row in book["one"].iter_rows()]
    assert {cell.data_type for row in read for cell in row if cell.value} == {"s"}
    assert [tuple(cell.value or "" for cell in row) for row in read] == list(sheet.table())


def test_a_text_that_no_cell_holds_is_refused() -> None:
    with pytest.raises(UsageError, match="more than 32767 characters"):
        xlsx_file(book_of("x" * 40000))


class Seen(HTMLParser):
    """What a browser would make of the page."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.tags: list[str] = []
        self.attributes: list[tuple[str, str]] = []
        self.words = ""
        self.scripts = ""
        self.inside = ""
        self.rows: list[tuple[str, str]] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.inside = tag
        self.attributes += [(name, value or "") for name, value in attrs]
        named = dict(attrs)
        if tag == "tr" and "data-key" in named:
            self.rows.append((named["data-number"] or "", named["data-key"] or ""))

    def handle_data(self, data: str) -> None:
        if self.inside == "script":
            self.scripts += data
        elif self.inside != "style":
            self.words += data


def seen(text: str) -> Seen:
    found = Seen()
    found.feed(text)
    found.close()
    return found


@pytest.mark.parametrize("paper", PAPERS)
def test_the_page_has_every_row_once(paper: str) -> None:
    found = seen(html_page(example_book(), paper))
    wanted = [(str(number), row.key) for one in example_book().sheets for number, row in enumerate(one.rows, 1)]
    assert found.rows == wanted
    for one in example_book().sheets:
        for row in one.rows:
            assert all(cell in found.words for cell in (*row.cells, row.hold, row.part))


def test_names_never_become_markup_or_script() -> None:
    """The page of a hostile site has the very elements of a plain one, and runs the one script it names."""
    plain, hostile = seen(html_page(book_of("plain"))), seen(html_page(book_of(HOSTILE)))
    assert hostile.tags == plain.tags
    assert [name for name, _ in hostile.attributes] == [name for name, _ in plain.attributes]
    assert hostile.scripts.strip() == SCRIPT.strip()
    assert HOSTILE in hostile.words
    assert clean("\x07\u202e") in html_page(book_of("\x07\u202e"))


def test_the_page_needs_nothing_but_itself() -> None:
    text = html_page(example_book())
    found = seen(text)
    links = [value for name, value in found.attributes if name in ("href", "src")]
    assert links
    assert all(value.startswith("#") for value in links)
    assert not re.search(r"url\(|@import|@font-face|https?:", text)
    policy = next(v for n, v in found.attributes if "script-src" in v)
    whole = text[text.index("<script>") + 8 : text.index("</script>")]
    digest = base64.b64encode(hashlib.sha256(whole.encode()).digest()).decode()
    assert policy == f"default-src 'none'; style-src 'unsafe-inline'; script-src 'sha256-{digest}'"
    assert not re.search(r"innerHTML|outerHTML|document\.write|eval\(|Function\(|fetch\(|XMLHttp", SCRIPT)


def test_columns_fill_the_line() -> None:
    for one in (*example_book().sheets, *book_of("").sheets):
        assert sum(shares(one)) == pytest.approx(100)
        assert min(shares(one)) > 3


def test_the_same_site_gives_the_same_bytes() -> None:
    assert files(example_book()) == files(replace(example_book()))


def test_the_command_writes_everything_and_overwrites_nothing(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "deep" / "sheets"
    assert cli("sheets", SITE, "-o", out, "--first", "PANEL-B:07") == 0
    told = capsys.readouterr().out
    names = {PAGE, WORKBOOK, *(f"{one.name}.csv" for one in example_book().sheets)}
    assert {path.name for path in out.iterdir()} == names
    for one in example_book().sheets:
        assert re.search(rf"^  {one.name} +{len(one.rows)} rows", told, re.M)
    before = {path: path.read_bytes() for path in out.iterdir()}
    assert cli("sheets", SITE, "-o", out) == 2
    assert "is there already, and is not overwritten" in capsys.readouterr().err
    assert {path: path.read_bytes() for path in out.iterdir()} == before


def test_nothing_is_written_where_one_file_is_there(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = tmp_path / "sheets"
    out.mkdir()
    (out / WORKBOOK).write_text("mine", encoding="utf-8")
    assert cli("sheets", SITE, "-o", out) == 2
    assert f"{WORKBOOK}: is there already" in capsys.readouterr().err
    assert [path.name for path in out.iterdir()] == [WORKBOOK]


def test_nothing_is_left_of_a_folder_that_cannot_be_made(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "file").write_text("", encoding="utf-8")
    for out in (tmp_path / "file", tmp_path / "file" / "sheets"):
        assert cli("sheets", SITE, "-o", out) == 2
        assert capsys.readouterr().err.startswith("vlancheck: ")
    assert cli("sheets", SITE, "-o", tmp_path / "new" / "sheets", "--after", "as-built") == 2
    assert cli("sheets", SITE, "-o", tmp_path / "new" / "sheets", "--first", "PANEL-Z:1") == 2
    assert sorted(path.name for path in tmp_path.iterdir()) == ["file"]


def test_a_half_written_folder_is_taken_back(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from vlancheck.cli import output

    real = Path.open

    def full(path: Path, *words: str) -> object:
        if path.name == "b":
            raise OSError(28, "No space left on device")
        return real(path, *words)

    monkeypatch.setattr(Path, "open", full)
    with pytest.raises(UsageError, match="No space left"):
        output.emit_folder({"a": b"1", "b": b"2"}, tmp_path / "x" / "y")
    assert list(tmp_path.iterdir()) == []


def test_a_rough_site_is_written(tmp_path: Path) -> None:
    site = write_rough(tmp_path / "site")
    assert cli("sheets", site, "-o", tmp_path / "out", "--paper", "letter") == 0
    assert "size: letter" in (tmp_path / "out" / PAGE).read_text(encoding="utf-8")
    text = (tmp_path / "out" / "removal.csv").read_text(encoding="utf-8-sig")
    assert len(list(csv.reader(io.StringIO(text)))) == 1 + 14
