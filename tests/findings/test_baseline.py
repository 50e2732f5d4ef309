"""Accepting findings takes exactly these out of what counts, and leaves everything else as it is."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
from checks.closet_texts import SW_1, SW_2, audited, changed
from checks.planting import planted
from hypothesis import given
from hypothesis import strategies as st

from vlancheck.checks import run
from vlancheck.errors import SiteError
from vlancheck.findings.case import Case
from vlancheck.findings.finding import Finding, Severity
from vlancheck.mend.wants import wants
from vlancheck.notation import parse
from vlancheck.notation.judged import case
from vlancheck.outcome import Report
from vlancheck.site.accepted import Accepted
from vlancheck.site.yamltext import Value

# A link whose lists differ, an untagged VLAN that differs, an address nobody reaches, two doubtful rows.
FAULTY = """\
bridge sw1 exists=1,10,310,320,330
port sw1:1 member=310,320,330
port sw1:2 member=1,10,310,320,330 pvid=1 untagged=1
bridge sw2 exists=1,10,310,320,330
port sw2:1 member=10,310 pvid=10 untagged=10
port sw2:2 member=310 pvid=310 untagged=310
port sw2:3 member=320 pvid=320 untagged=320
port sw2:4 member=330 pvid=330 untagged=330
setting sw2 unsaved:2=yes
link sw1:2 sw2:1
handoff sw1:1
service records 310 at sw1:1 -> sw2:2 untagged
service voice 320 at sw1:1 -> sw2:3 untagged
service branch 330 at sw1:1 -> sw2:4 untagged
doubtful "row 7 names sw1 and no port"
doubtful "row 9 names sw1 and no port"
"""
LISTED, FIXED = " switchport trunk allowed vlan 10\n", " switchport nonegotiate\n"
HERE = Value("site.yaml", 12, "- finding: ...")


@cache
def faulty() -> Case:
    return case(parse(FAULTY))


@cache
def all_of_them() -> tuple[Finding, ...]:
    return run(faulty())


def entry(finding: Finding, **said: str | int | tuple[str, ...]) -> Accepted:
    """Return the entry that accepts a finding as it is."""
    alike = [one for one in all_of_them() if one.fingerprint == finding.fingerprint]
    made = Accepted(finding.fingerprint, finding.code, "known", "A. Example", HERE, finding.places)
    return replace(made, **{"severity": finding.severity.value, "times": len(alike) or 1, **said})  # type: ignore[arg-type]


def reported(case: Case) -> Report:
    return Report("a site", "as-found", case.verdicts, run(case))


def test_the_site_has_faults_of_every_severity_and_two_of_one_fingerprint() -> None:
    marks = [one.fingerprint for one in all_of_them()]
    assert {one.severity for one in all_of_them()} == set(Severity)
    assert len(all_of_them()) >= 5
    assert len(set(marks)) == len(marks) - 1


@given(st.sets(st.sampled_from(sorted({one.fingerprint for one in all_of_them()}))))
def test_accepting_any_of_them_takes_exactly_these_out_of_the_count(chosen: set[str]) -> None:
    accepted = tuple(entry(one) for one in {one.fingerprint: one for one in all_of_them()}.values())
    report = reported(replace(faulty(), accepted=tuple(one for one in accepted if one.finding in chosen)))

    assert {one.fingerprint for one in report.accepted} == chosen
    assert list(report.counted) == [one for one in all_of_them() if one.fingerprint not in chosen]
    assert tuple(replace(one, accepted=None) for one in report.findings) == all_of_them()
    assert report.verdicts == faulty().verdicts
    assert report.verdict == "faulty", "services are dropped, whoever accepts it"
    for level in Severity:
        worse = [one for one in report.counted if list(Severity).index(one.severity) <= list(Severity).index(level)]
        assert report.code(level) == (1 if worse else 0)


def test_a_fingerprint_outlives_lines_that_move_and_with_other_vids() -> None:
    """Lines above, lines in another order, and other VIDs leave every fingerprint as it is."""
    lines = FAULTY.splitlines()
    moved = "\n".join(["# a remark", "", *reversed(lines[:10]), *lines[10:]])
    other = planted(
        FAULTY, ("port sw2:1 member=10,310 pvid=10 untagged=10", "port sw2:1 member=10,310,330 pvid=10 untagged=10")
    )

    marks = [one.fingerprint for one in all_of_them()]
    assert sorted(one.fingerprint for one in run(case(parse(moved)))) == sorted(marks)
    less = {one.code: one for one in run(case(parse(other)))}["L101"]
    assert less.fingerprint in marks
    assert less.vids != {one.code: one for one in all_of_them()}["L101"].vids


def accepting(text: str, line: str) -> tuple[Finding, ...]:
    return run(case(parse(f"{text}{line}\n")))


def one_of(found: tuple[Finding, ...], code: str) -> Finding:
    (one,) = (one for one in found if one.code == code)
    return one


def test_an_error_is_accepted_only_as_an_error() -> None:
    """What was accepted as a warning counts again when something declared hangs on it."""
    link = one_of(all_of_them(), "L101")
    assert link.severity is Severity.ERROR
    line = f"accepted L101 {','.join(link.places)} by=A why=known"

    assert not one_of(accepting(FAULTY, f"{line} severity=error"), "L101").counts
    again = one_of(accepting(FAULTY, line), "L101")
    assert again.counts
    assert again.accepted is not None
    assert again.accepted.ended == "it was accepted as a warning, and is an error now"


def test_more_findings_of_one_fingerprint_than_accepted_count_all() -> None:
    """Two rows cannot be told apart by their places: one entry stands for one, unless it says `times: 2`."""
    rows = [one for one in all_of_them() if one.code == "W102"]
    line = f"accepted W102 {rows[0].places[0]} by=A why=known"

    two = [one for one in accepting(FAULTY, line) if one.code == "W102"]
    assert [one.counts for one in two] == [True, True]
    assert {one.accepted.ended for one in two if one.accepted} == {"1 of its fingerprint is accepted, and there are 2"}
    assert not any(one.counts for one in accepting(FAULTY, f"{line} times=2") if one.code == "W102")


@pytest.mark.parametrize(
    ("taken", "counts"), [("", False), ("2026-03-31 23:59:00", False), ("2026-04-01 00:00:00 CET", True)]
)
def test_the_last_day_is_held_against_the_time_of_the_survey(taken: str, counts: bool) -> None:
    """Nobody looks at a clock; where nothing says when the survey was taken, the day is only shown."""
    rows = one_of(all_of_them(), "U103")
    found = run(replace(faulty(), accepted=(entry(rows, until="2026-03-31"),), taken=taken))

    one = one_of(found, "U103")
    assert one.counts is counts
    assert one.accepted is not None
    assert one.accepted.dated is bool(taken)
    assert ("2026-04-01" in one.accepted.ended) is counts


def test_an_entry_whose_finding_is_gone_is_told() -> None:
    saved = "\n".join(line for line in FAULTY.splitlines() if not line.startswith("setting"))
    gone = one_of(accepting(f"{saved}\n", 'accepted U103 sw2:2 by="A. Example" why=known'), "G101")

    assert gone.severity is Severity.NOTE
    assert gone.headline == "accepted by A. Example, and no longer found: U103 at sw2:2"
    assert (gone.where[0].primary, gone.where[0].origin.line) == (True, 16)
    assert [
        one for one in accepting(FAULTY, 'accepted U103 sw2:2 by="A. Example" why=known') if one.code == "G101"
    ] == []


def test_a_box_that_is_not_in_the_survey_is_named() -> None:
    gone = one_of(accepting(FAULTY, "accepted U103 sw9:2 by=A why=known"), "G101")
    assert gone.headline.endswith("U103 at sw9:2; sw9 is not in this survey")


def test_nothing_is_gone_that_the_survey_cannot_tell() -> None:
    """What only a comparison finds, what is out of service, and what a stale capture hides."""
    other = replace(entry(one_of(all_of_them(), "U103")), finding="0" * 16)
    compared = replace(other, code="C105")

    def codes(case: Case) -> set[str]:
        return {one.code for one in run(case)}

    assert "G101" in codes(replace(faulty(), accepted=(other,)))
    assert "G101" not in codes(replace(faulty(), accepted=(compared,)))
    assert "G101" not in codes(replace(faulty(), accepted=(other,), whole=False))
    assert "G101" not in codes(replace(faulty(), accepted=(other,), stale={"sw2": HERE.origins}))


def test_a_renamed_box_is_the_same_box() -> None:
    """The entry of a box holds under the name it had before."""
    unsaved = one_of(all_of_them(), "U103")
    old = case(parse("bridge old exists=10\nport old:2 pvid=10 member=10\nsetting old unsaved:2=yes\n"))
    (was,) = run(old)
    found = run(
        replace(faulty(), accepted=(entry(was, severity="warning"),), was=lambda place: place.replace("sw2", "old"))
    )

    assert was.fingerprint != unsaved.fingerprint
    assert not one_of(found, "U103").counts
    assert "G101" not in {one.code for one in found}


def test_an_entry_with_another_code_is_refused() -> None:
    unsaved = one_of(all_of_them(), "U103")
    with pytest.raises(SiteError) as caught:
        run(replace(faulty(), accepted=(entry(unsaved, code="L101"),)))
    assert str(caught.value) == f"site.yaml:12: the finding {unsaved.fingerprint} is U103, not L101"


def test_what_is_accepted_is_not_to_be_mended_and_what_is_declared_is() -> None:
    """An accepted finding asks for no line; the endings that are dropped ask for theirs all the same."""
    link = one_of(all_of_them(), "L101")
    found = run(replace(faulty(), accepted=(entry(link),)))

    before, after = wants(faulty(), all_of_them()), wants(faulty(), found)
    assert {one.key for one in before} - {one.key for one in after} == {("finding", "L101", " ".join(link.places))}
    assert any(one.ending for one in after)


@pytest.mark.parametrize(
    "swap",
    [
        ("hostname SW-2\n", "hostname SW-2\n!\nbanner motd ^C\nask first\n^C\n!\n"),
        (f"{LISTED}{FIXED}", f"{FIXED}{LISTED}"),
        (LISTED, LISTED.replace("10", "20")),
    ],
    ids=["lines above", "lines in another order", "another VLAN"],
)
def test_a_fingerprint_outlives_what_is_done_to_the_text(tmp_path: Path, swap: tuple[str, str]) -> None:
    """The same link disagrees: the finding is the same one, at another line or about another VID."""
    short = changed(SW_2, (LISTED.replace("10", "10,20"), LISTED))
    (was,), (now,) = audited(tmp_path / "a", SW_1, short), audited(tmp_path / "b", SW_1, changed(short, swap))

    assert (was.code, now.fingerprint) == ("L101", was.fingerprint)
    assert (now.where, now.vids) != (was.where, was.vids)
