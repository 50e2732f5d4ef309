"""A report in, the bytes of a workbook out that a crew works through: endings, findings, changes, each with a tick."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from vlancheck.outcome import Report
from vlancheck.report.records import Record, records
from vlancheck.report.sheetfile import LONGEST
from vlancheck.report.workbook import empty_book, lay_out, put_text, saved


class _Tab(NamedTuple):
    """What one tab has."""

    name: str  # of the tab
    kinds: tuple[str, ...]  # of records that stand on it
    columns: dict[str, str]  # heading -> field of a record
    bold: tuple[str, ...]  # states whose rows stand out


_LINE = {"File": "file", "Line": "line", "Text": "text", "Other lines": "also"}
_TABS = (
    _Tab(
        "endings",
        ("ending", "leak", "question", "not yet"),
        {"State": "state", "What": "record", "Name": "name", "Tag": "tag", "At": "at", "Port": "port", "Frame": "frame"}
        | {"Why": "words", "Ways": "why", "Settled by": "settled_by"}
        | _LINE,
        ("dropped", "mismatched", "leaked"),
    ),
    _Tab(
        "findings",
        ("finding",),
        {
            "Severity": "state",
            "Check": "name",
            "What is wrong": "words",
            "What it does": "why",
            "At": "at",
            "VIDs": "tag",
        }
        | _LINE
        | {"Settled by": "settled_by", "Fingerprint": "fingerprint"},
        ("error",),
    ),
    _Tab(
        "changes",
        ("change", "open"),
        {"Change": "state", "Which": "name", "At": "at", "Ports": "port", "Frames": "frame"}
        | {"Cause": "words", "Before and after": "why"}
        | _LINE,
        ("lost", "retagged"),
    ),
)
BLANKS = (("Done", 9), ("By", 12), ("Remark", 24))  # columns that people fill in, and how wide they are


def xlsx_report(report: Report, paper: str = "a4") -> bytes:
    """Return the workbook; every cell is text, headings stay and are printed on every page, each tab has a filter."""
    made = empty_book()
    rows = list(records(report))
    title = f"{report.site}, {report.survey}" + (f" against {report.before}" if report.before else "")
    for sheet in _TABS:
        tab = made.create_sheet(sheet.name)
        table = _table(sheet, rows)
        for line, row in enumerate(table, 1):
            for column, text in enumerate(row, 1):
                put_text(tab, line, column, _short(text), bold=line == 1 or row[0] in sheet.bold)
        filled = len(table[0]) - len(BLANKS)
        widths = [max(len(row[column]) for row in table) for column in range(filled)]
        lay_out(tab, f"{title}: {sheet.name}", paper, [*widths, *(width for _, width in BLANKS)])
        tab.auto_filter.ref = tab.dimensions
    return saved(made)


def _table(sheet: _Tab, rows: Sequence[Record]) -> list[tuple[str, ...]]:
    """Return the headings and the rows of a tab."""
    headings = (*sheet.columns, *(heading for heading, _ in BLANKS))
    fields = list(sheet.columns.values())
    empty = ("",) * len(BLANKS)
    return [headings, *((*one.cells(fields), *empty) for one in rows if one.record in sheet.kinds)]


def _short(text: str) -> str:
    """Return a text that a cell of a workbook can hold."""
    return text if len(text) <= LONGEST else text[: LONGEST - 1] + "…"
