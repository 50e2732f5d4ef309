"""A patch sheet's file in, its tables out, each with what its columns mean: CSV, TSV and XLSX."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from vlancheck.errors import SiteError
from vlancheck.site.headings import Layout, find_layout
from vlancheck.site.rows import DELIMITERS, Row, Table, csv_lines, csv_rows, declared_delimiter
from vlancheck.site.yamltext import read_text

BOOKS = (".xlsx", ".xlsm")
FOREIGN = (".xls", ".xlsb", ".ods", ".fods", ".numbers")  # formats of other workbooks, that are not read
_HEADINGS = "its headings are for example From and To, or Panel port, Switch, Switch port"
_HINT = f"save the sheet as CSV or XLSX; {_HEADINGS}"

Laid = tuple[Table, Layout | None]  # a table, and what its columns mean; None where no row has headings


def read_tables(path: Path, shown: str) -> list[Laid]:
    """Return the tables of the sheet at `path`, called `shown` in messages; at least one has headings.

    Raises SiteError, with file and line, for a file that cannot be read, is no sheet, or has no row of headings.
    """
    suffix = path.suffix.lower()
    if suffix in FOREIGN:
        raise SiteError(
            f"a patch sheet is not read from {suffix} files", file=shown, hint="save it as .xlsx, or as CSV"
        )
    if suffix not in BOOKS:
        return [_best(read_text(path, shown, _HINT), shown)]
    from vlancheck.site.workbook import read_tabs

    try:
        data = path.read_bytes()
    except OSError as error:
        why = (error.strerror or str(error)).lower()
        raise SiteError(f"cannot be read: {why}", file=shown, hint="check the path and who may read it") from error
    laid: list[Laid] = [(table, find_layout(table.rows)) for table in read_tabs(data, shown)]
    if all(layout is None for _, layout in laid):
        what = "no row of any tab of this workbook has headings for the two ends of a cord"
        raise SiteError(what, file=shown, hint=_HEADINGS)
    return laid


def passed_by(laid: Sequence[Laid]) -> tuple[str, ...]:
    """Return in words which tabs are not read, which are hidden, and which are taken for panels."""
    told = []
    for table, layout in laid:
        if layout is None and table.rows:
            told.append(f"the tab {table.tab!r} has no headings for the two ends of a cord; it is not read")
        elif layout is not None and table.hidden:
            told.append(f"the tab {table.tab!r} is hidden; it is read all the same")
        if layout is not None and (layout.one.by_tab(table.tab) or layout.other.by_tab(table.tab)):
            told.append(f"the tab {table.tab!r} is taken for the panel of its ports, which no column names")
    return tuple(told)


def _best(text: str, shown: str) -> Laid:
    """Return the rows, parted by the delimiter that gives the most headings, and what their columns mean."""
    declared = declared_delimiter(text)
    best: tuple[list[Row], Layout] | None = None
    failed: SiteError | None = None
    for delimiter in (declared,) if declared else DELIMITERS:
        if delimiter not in text:
            continue
        try:
            rows = csv_rows(text, delimiter, shown)[1 if declared else 0 :]
        except SiteError as error:
            head = "\n".join(csv_lines(text)[: max(error.line - 1, 0)])
            if failed is None and head.strip() and find_layout(csv_rows(head, delimiter, shown)) is not None:
                failed = error
            continue
        layout = find_layout(rows)
        if layout is not None and (best is None or layout.placed > best[1].placed):
            best = rows, layout
    if failed is not None and best is None:
        raise failed
    if best is None:
        raise SiteError("no row of this sheet has headings for the two ends of a cord", file=shown, hint=_HINT)
    return Table("", tuple(best[0])), best[1]
