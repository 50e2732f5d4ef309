"""Rows of text in, the bytes of a CSV file out that a spreadsheet reads as text."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence

from vlancheck.site.rows import guarded


def csv_bytes(rows: Iterable[Sequence[str]]) -> bytes:
    """Return the rows (RFC 4180); a cell that a spreadsheet would take for a formula has `'` before it."""
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    for row in rows:
        writer.writerow([guarded(cell) for cell in row])
    return out.getvalue().encode("utf-8-sig")
