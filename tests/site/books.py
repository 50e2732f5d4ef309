"""Workbooks for tests, made as they are asked for."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from pathlib import Path

from openpyxl import Workbook
from openpyxl.worksheet.worksheet import Worksheet

from vlancheck.site.reading import read_sheet
from vlancheck.site.sheet import Sheet

Rows = Iterable[Sequence[object]]
HEADINGS = ("Panel", "Panel port", "Switch", "Switch port", "Label", "Jack", "Serves", "Note")


def tab(book: Workbook, name: str, rows: Rows) -> Worksheet:
    """Add a tab with rows."""
    made = book.create_sheet(name)
    for row in rows:
        made.append(list(row))
    return made


def book(**tabs: Rows) -> Workbook:
    """Return a workbook with these tabs."""
    made = Workbook()
    made.remove(made.worksheets[0])
    for name, rows in tabs.items():
        tab(made, name, rows)
    return made


def read(root: Path, made: Workbook) -> Sheet:
    """Return what a workbook says as a patch sheet."""
    made.save(root / "s.xlsx")
    return read_sheet(root / "s.xlsx", "s.xlsx")
