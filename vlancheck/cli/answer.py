"""A report in, its text or document out and the exit code: the same for `audit` and `verify`."""

from __future__ import annotations

import json
import os
import shlex
import shutil
import sys
from collections.abc import Callable, Sequence
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, NamedTuple

import typer

from vlancheck.cli.guard import COULD_NOT_RUN
from vlancheck.cli.output import emit, emit_json, hint
from vlancheck.errors import VlancheckError

if TYPE_CHECKING:
    from vlancheck.outcome import Report

Full = Annotated[bool, typer.Option("--full", help="On a terminal, all of the report instead of one screen.")]
_ORDER = (4, 2, 1, 3, 0)  # of exit codes over several sites, the worst first


class FailOn(StrEnum):
    """The least severity that makes exit code 1."""

    error = "error"
    warning = "warning"
    note = "note"


class Shown(NamedTuple):
    """How a report is shown on a terminal."""

    again: str  # the command that was typed
    full: bool = False  # all of it, instead of one screen
    below: int = 0  # rows of the screen that are left free


def answer(report: Report, site: Path, fail_on: FailOn, as_json: bool, out: Path | None, shown: Shown) -> int:
    """Print or write the report on one site and return its exit code."""
    from vlancheck.findings.finding import Severity
    from vlancheck.report import auditing

    if as_json:
        emit_json(report.to_dict(), out)
    else:
        emit(_printed(report, site, shown) if out is None else auditing.text(report), out)
    return report.code(Severity(fail_on.value))


def _printed(report: Report, site: Path, shown: Shown) -> str:
    """Return a report as lines for a program that reads on, as one screen of a terminal, or all of it."""
    from vlancheck.report import auditing
    from vlancheck.report import screen as one_screen

    width, colour = screen()
    there = sys.stdout.isatty()
    if shown.full or (there and report.mends):  # what was asked for does not fit one screen
        return auditing.text(report, width, colour)
    if not there:
        return auditing.lines(report, site.as_posix())
    rows = max(shutil.get_terminal_size().lines, one_screen.ROWS) - shown.below
    return one_screen.text(report, site.as_posix(), shown.again, width, rows, colour)


def typed(command: str, *sites: Path, **options: str | Sequence[str | Path]) -> str:
    """Return a command as it was typed, with the options that have a value."""
    words = ["vlancheck", command, *(site.as_posix() for site in sites)]
    for name, given in options.items():
        for value in [given] if isinstance(given, str) else given:
            words += [f"--{name.replace('_', '-')}", str(value)] if value else []
    return shlex.join(words)


def many(
    sites: Sequence[Path],
    ask: Callable[[Path], Report],
    fail_on: FailOn,
    as_json: bool,
    out: Path | None,
    shown: Callable[[Path], Shown],
) -> int:
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
            how = shown(site)
            apart = "\n" if out is None and (how.full or sys.stdout.isatty()) else ""
            text = _printed(report, site, how) if out is None else auditing.lines(report, site.as_posix())
            parts.append(f"{text}{apart}")
    if parts or out is not None:
        emit("\n".join(parts), out)
    return next(code for code in _ORDER if code in codes)


def screen() -> tuple[int, bool]:
    """Return the width of the terminal and whether it shows colours (https://no-color.org is obeyed)."""
    colour = sys.stdout.isatty() and not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb"
    return shutil.get_terminal_size().columns, colour
