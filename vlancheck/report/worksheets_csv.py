"""A worksheet in, the bytes of a CSV file with the same rows out."""

from __future__ import annotations

from vlancheck.moves.worksheets.sheet import Worksheet
from vlancheck.report.csvtext import csv_bytes


def csv_file(sheet: Worksheet) -> bytes:
    """Return the headings and every row (RFC 4180).

    A cell that a spreadsheet would take for a formula has `'` before it.
    """
    return csv_bytes(sheet.table())
