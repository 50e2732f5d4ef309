"""Worksheets in, the bytes of one workbook with a tab for each out."""

from __future__ import annotations

import io
import re
from typing import TYPE_CHECKING

from vlancheck.errors import UsageError
from vlancheck.moves.worksheets.sheet import Book, Fill, Worksheet
from vlancheck.report.sheetfile import LONGEST, same_bytes

if TYPE_CHECKING:
    from openpyxl.worksheet.worksheet import Worksheet as Tab

_WIDEST = 46  # characters that a column is wide at most
_FILLED = {Fill.TICK: 9, Fill.RESULT: 12, Fill.WORDS: 24}  # characters that a column to be filled in is wide
_NONE = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f]")  # characters that XML 1.0 has not (2.2)
# 1 is letter, 9 is A4 (ECMA-376-1, 18.3.1.63, from memory)
_PAPER = {"letter": 1, "a4": 9}
PAPERS = tuple(_PAPER)


def xlsx_file(book: Book, paper: str = "a4") -> bytes:
    """Return all sheets; every cell is text, and the headings are printed on every page.

    Raises UsageError for a text that is longer than a cell of a workbook can be.
    """
    from openpyxl import Workbook

    made = Workbook()
    for sample in made.worksheets:
        made.remove(sample)
    for sheet in book.sheets:
        tab = made.create_sheet(sheet.name)
        _fill(tab, sheet)
        _lay_out(tab, sheet, book, paper)
    out = io.BytesIO()
    made.save(out)
    return same_bytes(out.getvalue())


def _fill(tab: Tab, sheet: Worksheet) -> None:
    from openpyxl.styles import Alignment, Font

    for line, row in enumerate(sheet.table(), 1):
        held = line > 1 and bool(sheet.rows[line - 2].hold)
        for column, text in enumerate(row, 1):
            if len(text) > LONGEST:
                what = f"row {line} of the sheet {sheet.name} has a text of more than {LONGEST} characters"
                raise UsageError(what, hint="a cell of a workbook cannot hold it; shorten the row of the patch sheet")
            cell = tab.cell(line, column)
            cell.alignment = Alignment(wrap_text=True, vertical="top")
            if line == 1 or held:
                cell.font = Font(bold=True)
            if text:
                cell.value = _NONE.sub("\N{REPLACEMENT CHARACTER}", text)
                cell.data_type = "s"  # a text, whatever it begins with
                cell.number_format = "@"
                cell.quotePrefix = True


def _lay_out(tab: Tab, sheet: Worksheet, book: Book, paper: str) -> None:
    from openpyxl.utils import get_column_letter
    from openpyxl.worksheet.properties import PageSetupProperties

    tab.freeze_panes = "A2"
    tab.print_title_rows = "1:1"
    tab.page_setup.paperSize = _PAPER[paper]
    tab.page_setup.orientation = "landscape"
    tab.page_setup.fitToHeight = 0
    tab.sheet_properties.pageSetUpPr = PageSetupProperties(fitToPage=True)
    footer = tab.oddFooter
    assert footer is not None, "a new tab has a footer to fill in"
    footer.left.text = f"{book.site}: {sheet.title}".replace("&", "&&")
    footer.right.text = "&P / &N"
    table = sheet.table()
    filled = len(table[0]) - len(sheet.blanks)
    for column in range(len(table[0])):
        width = max(len(row[column]) for row in table)
        if column >= filled:
            width = _FILLED[sheet.blanks[column - filled].fill]
        tab.column_dimensions[get_column_letter(column + 1)].width = min(width, _WIDEST) + 2
