"""A report in, the bytes of one document out, in the form that the name of its file asks for."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import PurePath

from vlancheck.errors import UsageError
from vlancheck.following import Followed
from vlancheck.outcome import Report
from vlancheck.picturing import Drawing
from vlancheck.report import auditing, page
from vlancheck.report.report_csv import csv_report
from vlancheck.report.report_jsonl import jsonl_report
from vlancheck.report.report_junit import junit_report
from vlancheck.report.report_markdown import markdown_report
from vlancheck.report.report_sarif import sarif_report
from vlancheck.report.report_xlsx import xlsx_report

_Make = Callable[[Report, str, str], str | bytes]  # of a report, the folder of its site and the paper
PAGE = ".html"  # the form that has a drawing in it
# The longer endings first: `checks.junit.xml` ends with both of two.
_FORMS: dict[str, _Make] = {
    ".junit.xml": lambda report, folder, _: junit_report(report, folder),
    ".sarif.json": lambda report, folder, _: sarif_report(report, folder),
    PAGE: lambda report, *_: page.page(report),
    ".md": lambda report, *_: markdown_report(report),
    ".sarif": lambda report, folder, _: sarif_report(report, folder),
    ".xml": lambda report, folder, _: junit_report(report, folder),
    ".csv": lambda report, *_: csv_report(report),
    ".xlsx": lambda report, _, paper: xlsx_report(report, paper),
    ".json": lambda report, *_: json.dumps(report.to_dict(), indent=2, ensure_ascii=False) + "\n",
    ".jsonl": lambda report, *_: jsonl_report(report),
    ".txt": lambda report, folder, _: auditing.lines(report, folder) + "\n",
}
ENDINGS = tuple(_FORMS)


def ending_of(path: PurePath) -> str:
    """Return how the name of a file for a report ends; UsageError for an ending that no report is written to."""
    name = path.name.lower()
    found = next((ending for ending in ENDINGS if name.endswith(ending)), "")
    if not found:
        what = (
            f"a report is not written to {path.suffix} files" if path.suffix else "the name does not say what to write"
        )
        raise UsageError(what, file=str(path), hint=f"let it end with {', '.join(ENDINGS)}")
    return found


def document(
    report: Report,
    ending: str,
    folder: str = "",
    paper: str = "a4",
    drawing: Drawing | None = None,
    followed: Followed | None = None,
) -> bytes:
    """Return the document for an ending.

    `folder` is the site as it was named, `paper` is for a workbook, the `drawing` and the walks `followed` for a page.
    """
    made = page.page(report, drawing, followed) if ending == PAGE else _FORMS[ending](report, folder, paper)
    return made if isinstance(made, bytes) else made.encode(errors="replace")
