"""Worksheets in, the bytes of one workbook with a tab for each out."""

from __future__ import annotations

from typing import TYPE_CHECKING

from vlancheck.errors import UsageError
from vlancheck.moves.worksheets.sheet import Book, Fill, Worksheet
from vlancheck.report.sheetfile import LONGEST
from vlancheck.report.workbook import PAPERS, empty_book, lay_out, put_text, saved

if TYPE_CHECKING:
    from openpyxl.worksheet.worksheet import Worksheet as Tab

__all__ = ["PAPERS", "xlsx_file"]
_FILLED = {Fill.TICK: 9, Fill.RESULT: 12, Fill.WORDS: 24}  # characters that a column to be filled in is wide


def xlsx_file(book: Book, paper: str = "a4") -> bytes:
    """Return all sheets; every cell is text, and the headings are printed on every page.

    Raises UsageError for a text that is longer than a cell of a workbook can be.
    """
    made = empty_book()
    for sheet in book.sheets:
        tab = made.create_sheet(sheet.name)
        _fill(tab, sheet)
        lay_out(tab, f"{book.site}: {sheet.title}", paper, _widths(sheet))
    return saved(made)


def _fill(tab: Tab, sheet: Worksheet) -> None:
    for line, row in enumerate(sheet.table(), 1):
        held = line > 1 and bool(sheet.rows[line - 2].hold)
        for column, text in enumerate(row, 1):
            if len(text) > LONGEST:
                what = f"row {line} of the sheet {sheet.name} has a text of more than {LONGEST} characters"
                raise UsageError(what, hint="a cell of a workbook cannot hold it; shorten the row of the patch sheet")
            put_text(tab, line, column, text, bold=line == 1 or held)


def _widths(sheet: Worksheet) -> list[int]:
    table = sheet.table()
    filled = len(table[0]) - len(sheet.blanks)
    widths = [max(len(row[column]) for row in table) + 2 for column in range(filled)]
    return widths + [_FILLED[blank.fill] + 2 for blank in sheet.blanks]
