"""A worksheet in, the bytes of a CSV file with the same rows out."""

from __future__ import annotations

import csv
import io

from vlancheck.moves.worksheets.sheet import Worksheet
from vlancheck.site.rows import guarded


def csv_file(sheet: Worksheet) -> bytes:
    """Return the headings and every row (RFC 4180).

    A cell that a spreadsheet would take for a formula has `'` before it.
    """
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    for row in sheet.table():
        writer.writerow([guarded(cell) for cell in row])
    return out.getvalue().encode("utf-8-sig")
