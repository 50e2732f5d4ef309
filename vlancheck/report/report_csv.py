"""A report in, the bytes of one CSV file out: a row for each ending, leak, question, finding and change."""

from __future__ import annotations

from vlancheck.outcome import Report
from vlancheck.report.csvtext import csv_bytes
from vlancheck.report.records import Record, records

COLUMNS = Record.__slots__


def csv_report(report: Report) -> bytes:
    """Return the names of the columns and all rows (RFC 4180); no cell is a formula."""
    heading = tuple(name.replace("_", " ") for name in COLUMNS)
    return csv_bytes((heading, *(one.cells(COLUMNS) for one in records(report))))
