"""A report in, the one thing to do next out: the rules of what comes first are here and nowhere else."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, replace
from enum import StrEnum

from vlancheck.checks import cord_to_sign
from vlancheck.evidence import Kind
from vlancheck.findings.finding import Finding, Severity
from vlancheck.mend.wants import wrong
from vlancheck.open_answers import Open, open_answers
from vlancheck.outcome import Report
from vlancheck.places import split_place
from vlancheck.reader import dialect_names, load_dialect

PLAN = "as-planned"  # the survey that worksheets are made from
_BOX = ("a capture of ", "a new capture of ")  # how an answer asks for all of a box
_LINE = "reading "  # how it asks for a line that nobody understood


class Act(StrEnum):
    """What is done next, the most urgent first."""

    SPARE = "spare"  # something is taken away for a question, and without it something declared fails
    TRY = "try"  # people tried something and it failed, and no line says why
    MEND = "mend"  # something is wrong that a line or a cord may mend
    DECLARE = "declare"  # nothing is declared, so that nothing can be proved
    DO = "do"  # rows of the night are not done yet
    CAPTURE = "capture"  # a capture settles what is open
    READ = "read"  # somebody reads a line that the program does not know
    SETTLE = "settle"  # a look, a test or a question settles what is open
    LOOK = "look"  # people wrote down what cannot be, or something is open and nothing says what would settle it
    SIGN = "sign"  # what moved is signed for
    EXPLAIN = "explain"  # what may break with the next event is understood
    SHEETS = "sheets"  # the plan is proven: print the worksheets
    REPORT = "report"  # all is proven: write it down


@dataclass(frozen=True, slots=True)
class NextStep:
    """One thing to do."""

    act: Act  # what sort of thing
    what: str = ""  # what it is about, in words
    place: str = ""  # DEVICE:PORT or DEVICE it is about; "" none in particular
    count: int = 0  # how many things it is about


def next_step(report: Report) -> NextStep:
    """Return what to do next: what is wrong, then what is not done, then what is open, then what is left to agree."""
    errors = [one for one in report.counted if one.severity is Severity.ERROR]
    warnings = [one for one in report.counted if one.severity is Severity.WARNING]
    if errors and report.without:
        return NextStep(Act.SPARE, ", ".join(report.without), count=len(errors))
    if errors and all(map(_by_hand, errors)):
        return NextStep(Act.TRY, errors[0].headline, min(errors[0].places, default=""), len(errors))
    if errors and all(map(_by_the_sheet, errors)):
        return NextStep(Act.LOOK, errors[0].headline, count=len(errors))
    if errors:
        return NextStep(Act.MEND, count=len(errors))
    if not report.verdicts:
        return NextStep(Act.DECLARE)
    if report.not_yet:
        return NextStep(Act.DO, report.not_yet[0].name, report.not_yet[0].place, len(report.not_yet))
    if (settling := _settling(report)) is not None:
        return settling
    if any(map(wrong, warnings)):
        return NextStep(Act.MEND, count=sum(map(wrong, warnings)))
    if signed := [one for one in warnings if one.code == cord_to_sign.CODE]:
        return NextStep(Act.SIGN, signed[0].headline, min(signed[0].places, default=""), len(signed))
    if warnings:
        return NextStep(Act.EXPLAIN, warnings[0].code, min(warnings[0].places, default=""), len(warnings))
    return NextStep(Act.SHEETS if report.before and report.survey == PLAN else Act.REPORT)


def _by_hand(finding: Finding) -> bool:
    """Tell whether people alone say so, and no line."""
    return bool(finding.where) and all(one.origin.kind is Kind.TICK for one in finding.where)


def _by_the_sheet(finding: Finding) -> bool:
    """Tell whether it rests on what people wrote down alone, so that no line of a box would mend it."""
    return bool(finding.where) and all(one.origin.kind in (Kind.SHEET, Kind.SITE, Kind.TICK) for one in finding.where)


def _settling(report: Report) -> NextStep | None:
    """Return what settles most of what is open, a capture before a question; None where nothing is open."""
    serious = tuple(one for one in report.counted if one.severity is not Severity.NOTE)
    answers = list(dict.fromkeys(open_answers(replace(report, findings=serious))))
    counted = Counter(_settles(report, one) for one in answers)
    if not counted:
        return None
    acts = list(Act)
    best, count = min(counted.items(), key=lambda item: (acts.index(item[0].act), -item[1]))
    what = answers[0].what if best.act is Act.LOOK else best.what
    return replace(best, what=what, count=count)


def _settles(report: Report, answer: Open) -> NextStep:
    """Return what would settle an open answer."""
    text = answer.settled_by
    if not text:
        return NextStep(Act.LOOK)
    if text.startswith(_BOX):
        return NextStep(Act.CAPTURE, text)
    if text.startswith(_LINE):
        return NextStep(Act.READ, text.removeprefix(_LINE))
    device = split_place(answer.place)[0]
    family = report.devices[device].dialect if device in report.devices else ""
    if family in dialect_names() and load_dialect(family).source_of(text) is not None:
        return NextStep(Act.CAPTURE, text, device)
    return NextStep(Act.SETTLE, text)
