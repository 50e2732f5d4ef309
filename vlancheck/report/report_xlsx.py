"""A report in, the bytes of a workbook out that a crew works through: endings, findings, changes, each with a tick."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from vlancheck.outcome import Report
from vlancheck.report.records import Record, records
from vlancheck.report.sheetfile import LONGEST
from vlancheck.report.workbook import empty_book, lay_out, print_first, put_text, saved
from vlancheck.verdicts.verdict import State


class _Tab(NamedTuple):
    """What one tab has."""

    name: str  # of the tab
    kinds: tuple[str, ...]  # of records that stand on it
    printed: tuple[tuple[str, str, int], ...]  # heading, field of a record and width of what is printed
    beside: tuple[str, ...]  # fields that stand beside it on a screen, under their own names
    bold: tuple[str, ...]  # states that stand out


_LINE = (("File", "file", 24), ("Line", "line", 6))
_TABS = (
    _Tab(
        "endings",
        ("ending", "leak", "question", "not yet"),
        (
            ("State", "state", 11),
            ("Name", "name", 16),
            ("Tag", "tag", 6),
            ("At", "at", 24),
            ("Frame", "frame", 9),
            ("Why", "words", 36),
            *_LINE,
        ),
        ("record", "port", "why", "settled_by", "text", "also"),
        ("dropped", "mismatched", "leaked"),
    ),
    _Tab(
        "findings",
        ("finding",),
        (
            ("Severity", "state", 9),
            ("Check", "name", 20),
            ("What is wrong", "words", 36),
            ("What it does", "why", 40),
            *_LINE,
        ),
        ("at", "tag", "text", "also", "settled_by", "fingerprint"),
        ("error",),
    ),
    _Tab(
        "changes",
        ("change", "open"),
        (
            ("Change", "state", 10),
            ("Which", "name", 12),
            ("At", "at", 22),
            ("Frames", "frame", 9),
            ("Cause", "words", 34),
            ("Before and after", "why", 40),
        ),
        ("port", "file", "line", "text", "also"),
        ("lost", "retagged"),
    ),
)
_STATES = [state.value for state in State]
BLANKS = (("Done", 6), ("By", 8), ("Remark", 18))  # columns that people fill in, and how wide they are


def xlsx_report(report: Report, paper: str = "a4") -> bytes:
    """Return the workbook; every cell is text, headings stay and are printed on every page, each tab has a filter.

    What is printed comes first, then the columns to fill in; the lines themselves stand beside that, for a screen.
    """
    made = empty_book()
    rows = list(records(report))
    title = f"{report.site}, {report.survey}" + (f" against {report.before}" if report.before else "")
    for sheet in _TABS:
        tab = made.create_sheet(sheet.name)
        table = _table(sheet, rows)
        widths = [width for _, _, width in sheet.printed] + [width for _, width in BLANKS]
        for line, row in enumerate(table, 1):
            for column, text in enumerate(row, 1):
                bold = line == 1 or (column == 1 and text in sheet.bold)
                put_text(tab, line, column, _short(text), bold=bold, wrap=column <= len(widths))
        beside = [max(len(row[column]) for row in table) + 2 for column in range(len(widths), len(table[0]))]
        lay_out(tab, f"{title}: {sheet.name}", paper, [*widths, *beside])
        print_first(tab, widths)
        tab.auto_filter.ref = tab.dimensions
    return saved(made)


def _table(sheet: _Tab, rows: Sequence[Record]) -> list[tuple[str, ...]]:
    """Return the headings and the rows of a tab, of endings the worst first."""
    printed = [field for _, field, _ in sheet.printed]
    top = [heading for heading, _, _ in sheet.printed] + [heading for heading, _ in BLANKS]
    empty = ("",) * len(BLANKS)
    mine = sorted((one for one in rows if one.record in sheet.kinds), key=_worst_first)
    told = [(*one.cells(printed), *empty, *one.cells(sheet.beside)) for one in mine]
    return [(*top, *(field.replace("_", " ") for field in sheet.beside)), *told]


def _worst_first(row: Record) -> int:
    return _STATES.index(row.state) if row.state in _STATES else 0


def _short(text: str) -> str:
    """Return a text that a cell of a workbook can hold."""
    return text if len(text) <= LONGEST else text[: LONGEST - 1] + "…"
