"""The text of a CSV file in, its rows out, each with the line it starts on; what parts the cells is for the caller."""

from __future__ import annotations

import csv
import re
from typing import NamedTuple

from vlancheck.errors import SiteError

DELIMITERS = (",", ";", "\t", "|")
FORMULA_SIGNS = "=+-@"  # a spreadsheet takes a cell that begins with one of these for a formula
_CONTROL = re.compile(r"[\x00-\x08\x0e-\x1b\x7f\ud800-\udfff\ufffe\uffff]")


class Row(NamedTuple):
    """One row of a sheet that is not blank."""

    line: int  # 1-based line of the file it starts on
    cells: tuple[str, ...]  # blanks around them cut, runs of blanks made one
    text: str  # as it stands in the file; of a workbook its cells
    tab: str = ""  # of a workbook

    @property
    def remark(self) -> bool:
        """Tell whether it is a remark: `#`, words, and nothing else in the row."""
        return self.cells[0].startswith("#") and self.cells[0] != "#" and not any(self.cells[1:])


class Table(NamedTuple):
    """One file of text, or one tab of a workbook."""

    tab: str  # its name; "" for a file of text
    rows: tuple[Row, ...]  # those that are not blank
    hidden: bool = False  # the workbook does not show it


def squeezed(cell: str) -> str:
    """Return a cell without control characters and blanks around it, runs of blanks made one."""
    return " ".join(_CONTROL.sub(" ", cell).split())


def guarded(cell: str) -> str:
    """Return a cell that no spreadsheet takes for a formula: with `'` before a sign that begins one."""
    return f"'{cell}" if cell[:1] in (*FORMULA_SIGNS, "'") else cell


def unguarded(cell: str) -> str:
    """Return a cell without the `'` that `guarded` puts before it."""
    return cell[1:] if cell[:1] == "'" and cell[1:2] in (*FORMULA_SIGNS, "'") else cell


def csv_rows(text: str, delimiter: str, shown: str) -> list[Row]:
    """Return the rows of `text`; SiteError, with the line, for a quote that is never closed or followed by more."""
    lines = csv_lines(text)
    reader = csv.reader(
        (f"{line}\n" for line in lines), delimiter=delimiter, strict=True, skipinitialspace=delimiter != "\t"
    )
    made: list[Row] = []
    start = 1
    try:
        for cells in reader:
            kept = tuple(unguarded(squeezed(cell)) for cell in cells)
            if any(kept):
                raw = " ".join(line.strip() for line in lines[start - 1 : reader.line_num])
                made.append(Row(start, kept, raw))
            start = reader.line_num + 1
    except csv.Error as error:
        hint = 'a cell in quotes ends with its quote; a quote inside is doubled: "6"" cord"'
        raise SiteError(f"this row cannot be read: {error}", file=shown, line=start, hint=hint) from error
    return made


def csv_lines(text: str) -> list[str]:
    """Return the lines of the text of a sheet, whatever ends them."""
    text = text.replace("\r\n", "\n")
    return (text if "\n" in text.rstrip("\r") else text.replace("\r", "\n")).replace("\r", " ").rstrip("\n").split("\n")


def declared_delimiter(text: str) -> str:
    """Return the delimiter that a first line `sep=;` declares, else "".  Spreadsheets write such a line."""
    first = csv_lines(text)[0].strip().strip('"')
    return first[4:5] if first.lower().startswith("sep=") and len(first) == 5 else ""
