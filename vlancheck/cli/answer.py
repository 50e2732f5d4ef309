"""A report in, its text or document out and the exit code: the same for `audit` and `verify`."""

from __future__ import annotations

import json
import os
import shutil
import sys
from collections.abc import Callable, Sequence
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING

from vlancheck.cli.guard import COULD_NOT_RUN
from vlancheck.cli.output import emit, emit_json, hint
from vlancheck.errors import VlancheckError

if TYPE_CHECKING:
    from vlancheck.outcome import Report

_ORDER = (4, 2, 1, 3, 0)  # of exit codes over several sites, the worst first


class FailOn(StrEnum):
    """The least severity that makes exit code 1."""

    error = "error"
    warning = "warning"
    note = "note"


def answer(report: Report, site: Path, fail_on: FailOn, as_json: bool, out: Path | None) -> int:
    """Print or write the report on one site and return its exit code."""
    from vlancheck.findings.finding import Severity
    from vlancheck.report import auditing

    if as_json:
        emit_json(report.to_dict(), out)
    elif out is not None or not sys.stdout.isatty():
        emit(auditing.lines(report, site.as_posix()) if out is None else auditing.text(report), out)
    else:
        emit(auditing.text(report, *screen()), out)
    return report.code(Severity(fail_on.value))


def many(sites: Sequence[Path], ask: Callable[[Path], Report], fail_on: FailOn, as_json: bool, out: Path | None) -> int:
    """Print or write the reports of several sites, one after the other, and return the worst exit code."""
    from vlancheck.findings.finding import Severity
    from vlancheck.report import auditing

    parts, codes = [], []
    for site in sites:
        try:
            report = ask(site)
        except VlancheckError as error:
            hint(f"vlancheck: {error}")
            codes.append(COULD_NOT_RUN)
            continue
        codes.append(report.code(Severity(fail_on.value)))
        if as_json:
            parts.append(json.dumps(report.to_dict(), ensure_ascii=False))
        else:
            shown = sys.stdout.isatty() and out is None
            parts.append(f"{auditing.text(report, *screen())}\n" if shown else auditing.lines(report, site.as_posix()))
    if parts or out is not None:
        emit("\n".join(parts), out)
    return next(code for code in _ORDER if code in codes)


def screen() -> tuple[int, bool]:
    """Return the width of the terminal and whether it shows colours (https://no-color.org is obeyed)."""
    colour = sys.stdout.isatty() and not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb"
    return shutil.get_terminal_size().columns, colour
