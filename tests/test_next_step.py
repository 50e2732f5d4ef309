"""What to do next: one row for each rule, and which rule comes before which."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from report.sites import open_closet, report, reports, write_closet

from vlancheck.changes.change import Comparison
from vlancheck.dot1q.model import Device, DeviceKind
from vlancheck.evidence import Kind, Origin
from vlancheck.findings.finding import Acceptance, Finding, Severity, Where
from vlancheck.moves.progress import NotYet
from vlancheck.next_step import Act, NextStep, next_step
from vlancheck.outcome import CLEAN, FAULTY, UNPROVEN, Report
from vlancheck.pipeline import open_site
from vlancheck.report.advice import advice
from vlancheck.site.anchors import Anchor, AnchorKind
from vlancheck.verdicts.reasons import Reason

ONE_DESK = """
port A:1 pvid=10 member=10 untagged=10
port A:2 pvid=10 member=10 untagged=10
vlan 10 -> A:1 untagged, A:2 untagged
"""
CLEAN_ONE = report(ONE_DESK)
LINE = Origin(Kind.LINE, "interface 1", "captures/as-found/a.txt", 7)
TICK = Origin(Kind.TICK, "fail, print a page", "ticks.json", 3)
ASK = "ask the carrier which tag it is"


def found(severity: Severity, code: str = "X101", origin: Origin = LINE, **more: object) -> Finding:
    """Return a finding at A:1."""
    one = Finding(
        code=code, name="a check", severity=severity, headline="A:1 is odd", where=(Where("A:1", origin, "", True),)
    )
    return replace(one, at=frozenset({"A:1"}), **more)  # type: ignore[arg-type]


def asked(*settled: str, place: str = "A:1") -> Report:
    """Return a report on one desk of which so many things are open."""
    verdict = replace(
        CLEAN_ONE.verdicts[0],
        questions=tuple(Reason(f"question {n}", place, settled_by=one) for n, one in enumerate(settled)),
    )
    return replace(CLEAN_ONE, verdicts=(verdict,))


def made(base: Report = CLEAN_ONE, *findings: Finding, **more: object) -> Report:
    """Return a report with findings."""
    return replace(base, findings=findings, **more)  # type: ignore[arg-type]


ERROR, WARNING, NOTE = Severity.ERROR, Severity.WARNING, Severity.NOTE
FAILED = found(ERROR, "A101", TICK, headline="A:1: fail, print a page", cause=False)
UNCORDED = found(ERROR, "S101", Origin(Kind.SITE, "- {name: desk}", "site.yaml", 4))
UNCORDED = replace(UNCORDED, headline="no cord leads from A:1 to B:1")
SIGN = found(WARNING, "C102", headline="A:1 moved from A:2 (phone)", cause=False)
TOLD = found(WARNING, "U103", cause=False)
STALE = found(WARNING, "C104", settled_by="a new capture of A, taken after the move", cause=False)
SMALL = found(NOTE)
ACCEPTED = found(ERROR, accepted=Acceptance("A. Example", "until Monday", LINE))
ENDED = found(ERROR, accepted=Acceptance("A. Example", "until Monday", LINE, ended="the date is over"))
WAITING = (NotYet("PANEL-A:01", "A:1", "its row is not ticked yet"), NotYet("PANEL-A:02", "A:2", "the same"))
FAMILY = {"A": Device(name="A", kind=DeviceKind.BRIDGE, dialect="cisco_ios")}
NOWHERE = Comparison(open=((Anchor(AnchorKind.JACK, "panel-a:1", "PANEL-A:01"), "it is not in this survey"),))

# What is said, to its end, or with `...` its beginning.
TABLE: dict[str, tuple[Report, Act, str]] = {
    # ---- what is wrong
    "an error": (made(CLEAN_ONE, found(ERROR)), Act.MEND, "vlancheck mend site --survey as-found"),
    "an error of the rebuilt site": (
        made(CLEAN_ONE, found(ERROR), survey="as-left", before="as-found"),
        Act.MEND,
        "vlancheck mend site",
    ),
    "an error of a plan": (
        made(CLEAN_ONE, found(ERROR), survey="as-planned", before="as-found"),
        Act.MEND,
        "vlancheck mend site --before as-found --survey as-planned",
    ),
    "an error that is accepted no longer": (made(CLEAN_ONE, ENDED), Act.MEND, "vlancheck mend ..."),
    "what failed by hand": (made(CLEAN_ONE, FAILED), Act.TRY, "go to A:1, and find out by hand why it failed"),
    "a line is wrong beside it": (made(CLEAN_ONE, FAILED, found(ERROR)), Act.MEND, "vlancheck mend ..."),
    "what is written down cannot be": (
        made(CLEAN_ONE, UNCORDED),
        Act.LOOK,
        "look into it: no cord leads from A:1 to B:1",
    ),
    "a row of the sheet and a line of a box": (
        made(CLEAN_ONE, replace(UNCORDED, where=(*UNCORDED.where, Where("B:1", LINE)))),
        Act.MEND,
        "vlancheck mend ...",
    ),
    "a tick and a row are wrong": (
        made(CLEAN_ONE, UNCORDED, FAILED),
        Act.LOOK,
        "look into it: no cord leads from A:1 to B:1; 1 more",
    ),
    "wrong without a link": (
        made(CLEAN_ONE, found(ERROR), without=("A:2 - B:1",)),
        Act.SPARE,
        "vlancheck audit site --survey as-found --without-each",
    ),
    "an error comes before rows that are not done": (
        made(CLEAN_ONE, found(ERROR), not_yet=WAITING),
        Act.MEND,
        "vlancheck mend ...",
    ),
    "an error comes before what is open": (made(asked(ASK), found(ERROR)), Act.MEND, "vlancheck mend ..."),
    # ---- what is not done or not declared
    "nothing is declared": (
        made(replace(CLEAN_ONE, verdicts=()), SMALL),
        Act.DECLARE,
        "write what was ordered into site/site.yaml, under services: and vlans:",
    ),
    "rows are not done": (
        made(CLEAN_ONE, not_yet=WAITING),
        Act.DO,
        "do the 2 rows that are left, PANEL-A:01 first, and run this again",
    ),
    "one row is not done": (
        made(CLEAN_ONE, not_yet=WAITING[:1]),
        Act.DO,
        "do the 1 row that is left, PANEL-A:01 first, and run this again",
    ),
    "rows come before what is open": (made(asked(ASK), not_yet=WAITING), Act.DO, "do the 2 rows ..."),
    # ---- what is open
    "a question": (asked(ASK), Act.SETTLE, f"settle 1 open answer: {ASK}"),
    "the question that settles most": (
        asked("trace the cord", ASK, ASK),
        Act.SETTLE,
        f"settle 2 open answers: {ASK}",
    ),
    "a capture comes before questions": (
        asked(ASK, ASK, "a capture of B-9"),
        Act.CAPTURE,
        "take a capture of B-9, and run this again",
    ),
    "a command that the box's family knows": (
        replace(asked("show vlan brief"), devices=FAMILY),
        Act.CAPTURE,
        "type `show vlan brief` at A, add what it prints to its capture, and run this again",
    ),
    "the same words at a box of no family": (
        asked("show vlan brief"),
        Act.SETTLE,
        "settle 1 open answer: show vlan ...",
    ),
    "a line that nobody knows": (
        asked(ASK, "reading captures/as-found/a.txt:9"),
        Act.READ,
        "read captures/as-found/a.txt:9 yourself: nothing here knows that line",
    ),
    "nothing says what settles it": (
        replace(CLEAN_ONE, before="as-found", survey="as-left", comparison=NOWHERE),
        Act.LOOK,
        "look into it: PANEL-A:01 cannot be compared: it is not in this survey",
    ),
    "a warning that a capture settles": (
        made(CLEAN_ONE, STALE),
        Act.CAPTURE,
        "take a new capture of A, taken after the move, and run this again",
    ),
    "a note's question waits": (
        made(CLEAN_ONE, found(NOTE, settled_by=ASK)),
        Act.REPORT,
        "vlancheck report site --survey as-found -o report.html",
    ),
    "what is open comes before what may break": (made(asked(ASK), found(WARNING)), Act.SETTLE, "settle 1 ..."),
    "what is open comes before signatures": (made(asked(ASK), SIGN), Act.SETTLE, "settle 1 ..."),
    # ---- what is left
    "what may break and a line mends": (made(CLEAN_ONE, found(WARNING), SIGN), Act.MEND, "vlancheck mend ..."),
    "only signs are left": (made(CLEAN_ONE, SIGN), Act.SIGN, "have it signed: A:1 moved from A:2 (phone)"),
    "two signs are left": (
        made(CLEAN_ONE, SIGN, SIGN),
        Act.SIGN,
        "have it signed: A:1 moved from A:2 (phone); 1 more to sign",
    ),
    "signs come before what no line mends": (made(CLEAN_ONE, TOLD, SIGN), Act.SIGN, "have it signed: ..."),
    "what no line mends": (made(CLEAN_ONE, TOLD), Act.EXPLAIN, "vlancheck explain U103, then look at A:1"),
    "clean": (CLEAN_ONE, Act.REPORT, "vlancheck report site --survey as-found -o report.html"),
    "clean with a note": (made(CLEAN_ONE, SMALL), Act.REPORT, "vlancheck report ..."),
    "clean after a move": (
        replace(CLEAN_ONE, survey="as-left", before="as-found"),
        Act.REPORT,
        "vlancheck report site -o report.html",
    ),
    "clean between other surveys": (
        replace(CLEAN_ONE, survey="day two", before="as-left"),
        Act.REPORT,
        "vlancheck report site --before as-left --after 'day two' -o report.html",
    ),
    "a plan that is proven": (
        replace(CLEAN_ONE, survey="as-planned", before="as-found"),
        Act.SHEETS,
        "vlancheck sheets site -o sheets",
    ),
    "a plan held against another survey": (
        replace(CLEAN_ONE, survey="as-planned", before="day two"),
        Act.SHEETS,
        "vlancheck sheets site -o sheets --before 'day two'",
    ),
    "accepted errors are nobody's next step": (made(CLEAN_ONE, ACCEPTED), Act.REPORT, "vlancheck report ..."),
}


@pytest.mark.parametrize("name", TABLE)
def test_what_to_do_next(name: str) -> None:
    """The act and its words, as the table has them."""
    given, act, words = TABLE[name]

    assert next_step(given).act is act
    said = advice(given, "site")
    assert said.startswith(words[:-3]) if words.endswith("...") else said == words


def test_every_act_has_a_row() -> None:
    """No act is left out of the table."""
    assert {act for _, act, _ in TABLE.values()} == {*Act}


def test_what_is_counted_is_what_the_step_settles() -> None:
    """The count is of answers, each once."""
    assert next_step(asked(ASK, ASK, "trace the cord")) == NextStep(Act.SETTLE, ASK, count=2)
    assert next_step(made(CLEAN_ONE, FAILED)).count == 1


def test_no_report_that_is_not_clean_is_told_to_write_it_down(tmp_path: Path) -> None:
    """Of every check's examples and of whole folders: what is wrong or open has another next step."""
    some = [one for _, one in reports()]
    some += [open_site(write_closet(tmp_path / "closet")).verify(), open_site(open_closet(tmp_path / "open")).audit()]
    for one in some:
        step = next_step(one)
        if any(finding.severity is ERROR for finding in one.counted):
            assert step.act in (Act.MEND, Act.TRY, Act.LOOK)
        elif one.verdict == UNPROVEN:
            assert step.act in (Act.DECLARE, Act.CAPTURE, Act.READ, Act.SETTLE, Act.LOOK), one.site
        elif one.verdict == CLEAN:
            assert step.act not in (Act.DECLARE, Act.DO)
        else:
            assert one.verdict == FAULTY
            assert one.accepted


def test_a_folder_with_a_blank_is_quoted() -> None:
    """What is shown can be typed."""
    assert advice(made(CLEAN_ONE, found(ERROR)), "my closet").startswith("vlancheck mend 'my closet' ")
