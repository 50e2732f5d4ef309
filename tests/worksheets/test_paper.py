"""The sheets on paper: every row is there whole, on one page, inside it, under repeated headings and a page number."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from vlancheck.moves.worksheets.sheet import Blank, Book, Fill, Row, Worksheet
from vlancheck.report.worksheets_html import html_page

from .browser import PrintedPage, needed, printed
from .nights import example_book

SIZES = {"a4": (595, 842), "letter": (612, 792)}
_BLANKS = (
    Blank("Ticked", Fill.TICK, "tick"),
    Blank("Result", Fill.RESULT, "result"),
    Blank("Seen", Fill.WORDS, "seen"),
)
EDGE = 14  # points that stay white at every side: printers leave about 4 mm, from memory


@pytest.fixture(autouse=True)
def browser() -> None:
    needed()


def long_book() -> Book:
    """Return sheets of rows of very different heights; every cell begins and ends in a word of its own."""
    sheets = []
    for name, wide in (("tall", False), ("broad", True)):
        rows = tuple(
            Row(
                f"{name}{number}",
                tuple(
                    f"{name}{number}a{cell} {'word ' * ((number * 7 + cell * 11) % 60)}{name}{number}z{cell}"
                    for cell in range(4)
                ),
                part=f"part {number // 9}",
                hold=f"HOLD:{name}{number}h" if number % 5 == 0 else "",
            )
            for number in range(1, 61)
        )
        sheets.append(
            Worksheet(name, name, "", ("One", "Two", "Three", "Four"), rows, _BLANKS, ("Careful.",), ("Signed",), wide)
        )
    return Book("paper", "before", "after", tuple(sheets))


def pages_with(pages: list[PrintedPage], word: str) -> list[int]:
    """Return the pages that have a word, each as often as it is there."""
    return [number for number, page in enumerate(pages) for one in page.words if one.text == word]


@pytest.mark.parametrize("paper", SIZES)
def test_no_row_is_split_lost_or_clipped(paper: str, tmp_path: Path) -> None:
    book = long_book()
    pages = printed(html_page(book, paper), tmp_path)
    for sheet in book.sheets:
        for row in sheet.rows:
            edges = [cell.split()[place] for cell in row.cells for place in (0, -1)] + ([row.hold] if row.hold else [])
            found = [pages_with(pages, word) for word in edges]
            assert all(len(one) == 1 for one in found), f"{row.key}: each word once and whole: {found}"
            assert len({one[0] for one in found}) == 1, f"{row.key} is split over pages {found}"
    inside(pages, paper)


@pytest.mark.parametrize("paper", SIZES)
def test_every_row_of_the_example_is_on_paper(paper: str, tmp_path: Path) -> None:
    book = example_book()
    pages = printed(html_page(book, paper), tmp_path)
    there = {part for page in pages for word in page.words for part in re.findall(r"\w+", word.text)}
    for sheet in book.sheets:
        wanted = {part for row in sheet.rows for text in (*row.cells, row.hold) for part in re.findall(r"\w+", text)}
        assert wanted <= there, sheet.name
    inside(pages, paper)


def inside(pages: list[PrintedPage], paper: str) -> None:
    """Require pages of the right size, every word within the margins and on no other, headings and numbers."""
    short, long = SIZES[paper]
    for number, page in enumerate(pages, 1):
        assert sorted((round(page.width), round(page.height))) == [short, long]
        assert f"page {number} of {len(pages)}" in page.text
        for word in page.words:
            assert word.left >= EDGE, word
            assert word.right <= page.width - EDGE, word
            assert EDGE <= word.top < word.bottom <= page.height - EDGE, word
        for one, other in zip(page.words, page.words[1:], strict=False):
            same_line = abs(one.top - other.top) < 1 and other.left > one.left
            assert not same_line or one.right <= other.left + 1, f"{one.text} runs into {other.text}"


def test_headings_stand_on_every_page(tmp_path: Path) -> None:
    pages = printed(html_page(long_book(), "a4"), tmp_path)
    assert len(pages) > 6
    with_rows = [page for page in pages if re.search(r"(?:tall|broad)\d+a0", page.text)]
    assert len(with_rows) > 4
    for page in with_rows:
        for heading in ("No.", "One", "Two", "Three", "Four", "Ticked", "Result", "Seen"):
            assert heading in [word.text for word in page.words], page.text[:200]


def test_a_split_row_would_be_noticed(tmp_path: Path) -> None:
    """Without the rule that keeps rows whole, the same pages fail the test."""
    text = html_page(long_book(), "a4")
    broken = text.replace("tr, .together, .cautions, .signatures { break-inside: avoid; }", "")
    assert broken != text
    pages = printed(broken, tmp_path)
    split = [
        row.key
        for sheet in long_book().sheets
        for row in sheet.rows
        if len({tuple(pages_with(pages, cell.split()[place])) for cell in row.cells for place in (0, -1)}) > 1
    ]
    assert split
