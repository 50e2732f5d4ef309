"""Worksheets in, every file they are written to out: a page, a CSV file a sheet, a workbook."""

from __future__ import annotations

from vlancheck.moves.worksheets.sheet import Book
from vlancheck.report.worksheets_csv import csv_file
from vlancheck.report.worksheets_html import html_page
from vlancheck.report.worksheets_xlsx import xlsx_file

PAGE, WORKBOOK = "worksheets.html", "worksheets.xlsx"


def files(book: Book, paper: str = "a4") -> dict[str, bytes]:
    """Return the bytes of every file, by name; UsageError for a text that a workbook cannot hold."""
    made = {PAGE: html_page(book, paper).encode()}
    made |= {f"{sheet.name}.csv": csv_file(sheet) for sheet in book.sheets}
    return made | {WORKBOOK: xlsx_file(book, paper)}


def listed(book: Book, folder: str) -> str:
    """Return what was written, a line for each sheet."""
    lines = [f"{folder}: worksheets of {book.site}, from {book.before} to {book.after}"]
    width = max(len(sheet.name) for sheet in book.sheets)
    for sheet in book.sheets:
        held = sum(bool(row.hold) for row in sheet.rows)
        marks = f", {held} on hold" if held else ""
        lines.append(f"  {sheet.name:{width}}  {len(sheet.rows):>4} rows{marks}")
    lines.append(f"all of them: {PAGE}, to print or to tick; {WORKBOOK}; a .csv file each")
    return "\n".join(lines)
