"""What to do next in, one line for people out: a command to type, or an act of somebody."""

from __future__ import annotations

import shlex
from typing import assert_never

from vlancheck.next_step import PLAN, Act, next_step
from vlancheck.outcome import Report
from vlancheck.report.wording import several

_BEFORE, _AFTER = "as-found", "as-left"  # what commands look at when nobody says


def advice(report: Report, folder: str) -> str:
    """Return what to do next at the site in `folder`, named as its user named it."""
    step = next_step(report)
    match step.act:
        case Act.SPARE:
            return f"vlancheck audit {_site(folder)} --survey {shlex.quote(report.survey)} --without-each"
        case Act.TRY:
            return f"go to {step.place}, and find out by hand why it failed"
        case Act.MEND:
            return f"vlancheck mend {_site(folder)}{_surveys(report)}"
        case Act.DECLARE:
            return f"write what was ordered into {folder}/site.yaml, under services: and vlans:"
        case Act.DO:
            rows = several(step.count, "row")
            return f"do the {rows} that {_is(step.count)} left, {step.what} first, and run this again"
        case Act.CAPTURE if step.place:
            return f"type `{step.what}` at {step.place}, add what it prints to its capture, and run this again"
        case Act.CAPTURE:
            return f"take {step.what}, and run this again"
        case Act.READ:
            return f"read {step.what} yourself: nothing here knows that line"
        case Act.SETTLE:
            return f"settle {several(step.count, 'open answer')}: {step.what}"
        case Act.LOOK:
            more = f"; {step.count - 1} more" if step.count > 1 else ""
            return f"look into it: {step.what}{more}"
        case Act.SIGN:
            more = f"; {step.count - 1} more to sign" if step.count > 1 else ""
            return f"have it signed: {step.what}{more}"
        case Act.EXPLAIN:
            return f"vlancheck explain {step.what}, then look at {step.place}"
        case Act.SHEETS:
            before = "" if report.before == _BEFORE else f" --before {shlex.quote(report.before)}"
            after = "" if report.survey == PLAN else f" --after {shlex.quote(report.survey)}"
            return f"vlancheck sheets {_site(folder)} -o sheets{before}{after}"
        case Act.REPORT:
            return f"vlancheck report {_site(folder)}{_surveys(report, both=True)} -o report.html"
        case _ as never:
            assert_never(never)


def _site(folder: str) -> str:
    return shlex.quote(folder)


def _surveys(report: Report, *, both: bool = False) -> str:
    """Return the options that name the surveys of a report, where a command would take others."""
    if (report.before, report.survey) == (_BEFORE, _AFTER):
        return ""
    if not report.before:
        return f" --survey {shlex.quote(report.survey)}"
    after = "--after" if both else "--survey"
    return f" --before {shlex.quote(report.before)} {after} {shlex.quote(report.survey)}"


def _is(count: int) -> str:
    return "is" if count == 1 else "are"
