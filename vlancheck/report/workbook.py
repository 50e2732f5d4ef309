"""What workbooks for people share: cells that are text, headings on every page, one paper, and the same bytes."""

from __future__ import annotations

import io
import re
from collections.abc import Sequence
from typing import TYPE_CHECKING

from vlancheck.report.sheetfile import same_bytes

if TYPE_CHECKING:
    from openpyxl import Workbook
    from openpyxl.worksheet.worksheet import Worksheet as Tab

_WIDEST = 48  # characters that a column is wide at most
_LINE, _HIGHEST = 15, 409  # points that a line is high, and a row at most
_FOOTER = 100  # characters of a title that go into a footer, which holds 255 in all (from memory)
_NONE = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ud800-\udfff\ufffe\uffff]")  # characters that XML 1.0 has not (2.2)
# 1 is letter, 9 is A4 (ECMA-376-1, 18.3.1.63, from memory)
_PAPER = {"letter": 1, "a4": 9}
PAPERS = tuple(_PAPER)


def empty_book() -> Workbook:
    """Return a workbook without a tab."""
    from openpyxl import Workbook

    made = Workbook()
    for sample in made.worksheets:
        made.remove(sample)
    return made


def put_text(tab: Tab, line: int, column: int, text: str, *, bold: bool = False, wrap: bool = True) -> None:
    """Put a text into a cell, as a text whatever it begins with."""
    from openpyxl.styles import Alignment, Font

    cell = tab.cell(line, column)
    cell.alignment = Alignment(wrap_text=wrap, vertical="top")
    if bold:
        cell.font = Font(bold=True)
    if text:
        cell.value = _shown(text)
        cell.data_type = "s"
        cell.number_format = "@"
        cell.quotePrefix = True


def lay_out(tab: Tab, title: str, paper: str, widths: Sequence[int]) -> None:
    """Freeze the headings, repeat them on every page, and set paper, footer and widths of columns."""
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
    footer.left.text = _shown(title[:_FOOTER]).replace("&", "&&")
    footer.right.text = "&P / &N"
    for column, width in enumerate(widths, 1):
        tab.column_dimensions[get_column_letter(column)].width = min(width, _WIDEST)


def print_first(tab: Tab, widths: Sequence[int]) -> None:
    """Print the first columns alone, and make every row as high as the longest text in them."""
    from openpyxl.utils import get_column_letter

    tab.print_options.gridLines = True
    tab.print_area = f"A1:{get_column_letter(len(widths))}{tab.max_row}"
    for line, row in enumerate(tab.iter_rows(max_col=len(widths)), 1):
        lines = (-(-len(str(cell.value or "")) // (width - 1)) for cell, width in zip(row, widths, strict=True))
        tab.row_dimensions[line].height = min(max(1, *lines) * _LINE, _HIGHEST)


def saved(book: Workbook) -> bytes:
    """Return the bytes of a workbook, without the times at which it was made."""
    out = io.BytesIO()
    book.save(out)
    return same_bytes(out.getvalue())


def _shown(text: str) -> str:
    return _NONE.sub("\N{REPLACEMENT CHARACTER}", text)
