"""A patch sheet in, the bytes of a CSV, TSV or XLSX file with the very same rows out."""

from __future__ import annotations

import csv
import io
import re
import zipfile
from collections.abc import Sequence
from pathlib import PurePath
from typing import TYPE_CHECKING

from vlancheck.errors import UsageError
from vlancheck.site.headings import find_layout
from vlancheck.site.rows import Row, Table, guarded
from vlancheck.site.sheet import Sheet

if TYPE_CHECKING:
    from openpyxl.worksheet.worksheet import Worksheet

SUFFIXES = (".csv", ".tsv", ".xlsx")
_DELIMITERS = {".csv": ",", ".tsv": "\t"}
_TAB = "cords"  # what a file of text is called as a tab
LONGEST = 32767  # characters in a cell of a workbook (ECMA-376-1, part 18.3.1.4, from memory)
_WIDEST = 40  # characters that a column is wide at most
_STAMPS = re.compile(rb"<dcterms:(created|modified)[^>]*>[^<]*</dcterms:\1>")


def sheet_file(sheet: Sheet, suffix: str) -> bytes:
    """Return the rows of the sheet, each on its line, as a file whose name ends with `suffix`.

    Every cell is text: a workbook makes no date of `1/2`.  In CSV (RFC 4180) and TSV a cell that a spreadsheet would
    take for a formula has `'` before it, which is not read again.  Raises UsageError where a format cannot hold all
    the cords.
    """
    if suffix == ".xlsx":
        return _book(sheet)
    read = {heading.tab for heading in sheet.headings}
    tables = [table for table in sheet.tables if table.tab in read]
    if len(tables) > 1:
        tabs = ", ".join(table.tab for table in tables)
        what = f"the cords stand on {len(tables)} tabs ({tabs}), and a {suffix} file has none"
        raise UsageError(what, file=sheet.file, hint="write them as .xlsx")
    layout = find_layout(tables[0].rows)
    if layout and (layout.one.by_tab(tables[0].tab) or layout.other.by_tab(tables[0].tab)):
        what = f"the tab {tables[0].tab} stands for the panel of its ports, and a {suffix} file has none"
        raise UsageError(what, file=sheet.file, hint="write it as .xlsx")
    return _text(tables[0], _DELIMITERS[suffix])


def suffix_of(path: PurePath) -> str:
    """Return how the name of a file for a sheet ends; UsageError for an ending that no sheet is written to."""
    suffix = path.suffix.lower()
    if suffix not in SUFFIXES:
        what = f"a patch sheet is not written to {suffix} files" if suffix else "the name does not say what to write"
        raise UsageError(what, file=str(path), hint=f"let it end with {', '.join(SUFFIXES)}")
    return suffix


def left_out(sheet: Sheet, suffix: str) -> tuple[str, ...]:
    """Return the tabs without cords that a file of this kind leaves out."""
    read = {heading.tab for heading in sheet.headings}
    return () if suffix == ".xlsx" else tuple(one.tab for one in sheet.tables if one.rows and one.tab not in read)


def _text(table: Table, delimiter: str) -> bytes:
    out = io.StringIO(newline="")
    writer = csv.writer(out, delimiter=delimiter, lineterminator="\r\n")
    width = max(len(row.cells) for row in table.rows)
    line = 1
    for row in table.rows:
        for _ in range(line, row.line):
            writer.writerow([""] * width)
        writer.writerow([guarded(cell) for cell in (*row.cells, *[""] * (width - len(row.cells)))])
        line = row.line + 1
    return out.getvalue().encode("utf-8-sig")


def _book(sheet: Sheet) -> bytes:
    from openpyxl import Workbook

    for table in sheet.tables:
        for row in table.rows:
            if any(len(cell) > LONGEST for cell in row.cells):
                what = f"a cell of row {row.line} has more than {LONGEST} characters, and a workbook's has not"
                raise UsageError(what, file=sheet.file, hint="write the sheet as .csv")
    book = Workbook()
    for sample in book.worksheets:
        book.remove(sample)
    top = _headings(sheet)
    for table in sheet.tables:
        tab = book.create_sheet(table.tab or _TAB)
        tab.sheet_state = "hidden" if table.hidden else "visible"
        _fill(tab, table.rows, top.get(table.tab, []))
    out = io.BytesIO()
    book.save(out)
    return same_bytes(out.getvalue())


def _headings(sheet: Sheet) -> dict[str, list[str]]:
    """Return the headings of each tab."""
    found: dict[str, list[str]] = {}
    for heading in sheet.headings:
        found.setdefault(heading.tab, []).append(heading.text)
    return found


def _fill(tab: Worksheet, rows: Sequence[Row], headings: Sequence[str]) -> None:
    from openpyxl.styles import Font
    from openpyxl.utils import get_column_letter

    widths: dict[int, int] = {}
    for row in rows:
        top = list(row.cells[: len(headings)]) == list(headings) and not any(row.cells[len(headings) :])
        for column, text in enumerate(row.cells, 1):
            if not text:
                continue
            cell = tab.cell(row.line, column)
            cell.value = text
            cell.data_type = "s"  # a text, whatever it begins with
            cell.number_format = "@"
            cell.quotePrefix = True
            if top and headings:
                cell.font = Font(bold=True)
            widths[column] = max(widths.get(column, 0), len(text))
        if top and headings and tab.freeze_panes is None:
            tab.freeze_panes = f"A{row.line + 1}"
    for column, width in widths.items():
        tab.column_dimensions[get_column_letter(column)].width = min(width, _WIDEST) + 2


def same_bytes(data: bytes) -> bytes:
    """Return a workbook without the times at which it was made."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as made, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as clean:
        for info in made.infolist():
            part = made.read(info)
            entry = zipfile.ZipInfo(info.filename)
            entry.compress_type = zipfile.ZIP_DEFLATED
            clean.writestr(entry, _STAMPS.sub(b"", part) if info.filename == "docProps/core.xml" else part)
    return out.getvalue()
