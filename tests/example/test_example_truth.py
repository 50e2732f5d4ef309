"""The built-in example against its truth, which was written by hand from the captures, the sheets and site.yaml."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest

from example.reading import ending_name, port, several, truth
from vlancheck.changes.change import Kind
from vlancheck.example import write_site
from vlancheck.outcome import Report
from vlancheck.pipeline import Site, open_site
from vlancheck.verdicts.verdict import Verdict

SURVEYS = ("as-found", "as-planned", "as-left")
FRAMES = [(survey, row) for survey in SURVEYS for row in truth("frames")[survey]]


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Site:
    """Return the example, written and opened."""
    folder = tmp_path_factory.mktemp("example")
    write_site(folder)
    return open_site(folder)


@pytest.fixture(scope="module")
def reports(site: Site) -> dict[str, Report]:
    """Return the report on every survey, the rebuilt closet against the one that was found."""
    return {
        "as-found": site.audit("as-found"),
        "as-planned": site.audit("as-planned"),
        "as-left": site.verify("as-found", "as-left"),
    }


def orders(report: Report, told: dict[str, Any]) -> Iterator[tuple[Verdict, dict[str, Any]]]:
    """Yield every verdict with its truth; there is one of each for each."""
    for found, wanted in ((report.services, told["services"]), (report.vlans, told["vlans"])):
        assert [one.order.name for one in found] == list(wanted)
        yield from ((one, wanted[one.order.name]) for one in found)


@pytest.mark.parametrize("survey", SURVEYS)
def test_answer_in_one_word(reports: dict[str, Report], survey: str) -> None:
    told, report = truth(survey), reports[survey]
    assert (report.verdict, str(report.exit_code)) == (told["verdict"], told["exit"])


@pytest.mark.parametrize("survey", SURVEYS)
def test_states_of_services_and_vlans(reports: dict[str, Report], survey: str) -> None:
    for verdict, told in orders(reports[survey], truth(survey)):
        assert verdict.state.value == told["state"], verdict.order.name


@pytest.mark.parametrize("survey", SURVEYS)
def test_every_ending(reports: dict[str, Report], survey: str) -> None:
    for verdict, told in orders(reports[survey], truth(survey)):
        found = {one.stop.name: f"{one.at} {one.frame} {one.state}" for one in verdict.endings}
        assert found == {ending_name(name): port(words) for name, words in told["endings"].items()}


@pytest.mark.parametrize("survey", SURVEYS)
def test_both_directions_and_what_would_settle_a_doubt(reports: dict[str, Report], survey: str) -> None:
    for verdict, told in zip(reports[survey].to_dict()["services"], truth(survey)["services"].values(), strict=True):
        check_ways(verdict, told)
    for verdict, told in zip(reports[survey].to_dict()["vlans"], truth(survey)["vlans"].values(), strict=True):
        check_ways(verdict, told)


def check_ways(verdict: dict[str, Any], told: dict[str, Any]) -> None:
    """Hold the directions of every ending against the truth, where what is not said is carried both ways."""
    ways = {ending_name(name): words for name, words in told.get("ways", {}).items()}
    settled = {ending_name(name): words for name, words in told.get("settled_by", {}).items()}
    for ending in verdict["endings"]:
        assert f"{ending['in']} {ending['back']}" == ways.get(ending["at"], "proved proved"), ending
        assert ending["settled_by"].startswith(settled.get(ending["at"], "")), ending
        assert bool(ending["settled_by"]) == (ending["at"] in settled), ending


@pytest.mark.parametrize("survey", SURVEYS)
def test_leaks_and_questions(reports: dict[str, Report], survey: str) -> None:
    for verdict, told in orders(reports[survey], truth(survey)):
        found = {leak.at: f"{leak.frame} {leak.direction} {leak.certainty} {leak.what}" for leak in verdict.leaks}
        assert found == {port(place): words for place, words in told.get("leaks", {}).items()}
        assert not verdict.notes
        asked = [one.settled_by for one in verdict.questions]
        assert len(asked) == ("question" in told)
        assert all(f"ask the carrier which tag ONU-1 maps to {told['question']}" in words for words in asked)


@pytest.mark.parametrize("survey", SURVEYS)
def test_findings(reports: dict[str, Report], survey: str) -> None:
    found = reports[survey].findings
    told = [row.split() for row in truth(survey)["findings"]]
    assert sorted((one.code, one.severity.value) for one in found) == sorted((code, how) for code, how, *_ in told)
    for code, _, *places in told:
        named = [{where.place for where in one.where} | one.at for one in found if one.code == code]
        assert any(set(map(port, places)) <= one for one in named), (code, places)


def test_changes_since_as_found(reports: dict[str, Report]) -> None:
    rows = reports["as-left"].to_dict()["changes"]
    found = [
        f"{row['anchor']} {row['frame']} {row['kind']}" + (" expected" if row["expected"] else "")
        for row in rows
        if row["kind"] != Kind.MOVED and "." not in row["frame"]  # the truth is of frames of at most one tag
    ]
    assert sorted(found) == sorted(port(row) for row in truth("as-left")["changes"])


def test_moved_cords(reports: dict[str, Report]) -> None:
    rows = [row for row in reports["as-left"].to_dict()["changes"] if row["kind"] == Kind.MOVED]
    found = [
        " ".join((row["anchor"], row["before"], row["after"], *([] if row["expected"] else [row["cause"]])))
        for row in rows
    ]
    assert sorted(found) == sorted(port(row) for row in truth("as-left")["moves"])


def test_what_was_seen_against_the_sheet(reports: dict[str, Report]) -> None:
    """Every row is proved but those of the truth; the exchanged cords are seen where the later sheet has them."""
    told, report = truth("as-left")["seen"], reports["as-left"].to_dict()
    states = {row["at"]: row["state"] for row in report["jacks"]}
    assert len(states) == 41
    doubted = {port(place): state for place, state in told["jacks"].items()}
    assert {at: state for at, state in states.items() if state != "proved"} == doubted
    causes = {cause["kind"]: cause["at"] for cause in report["causes_of_moves"]}
    assert causes == {kind: [*map(port, places)] for kind, places in told["causes"].items()}
    lines = {row["at"]: [line["text"] for line in row["source"]] for row in report["jacks"]}
    for jack, address, now in (
        ("PANEL-A:02", "0200.5e00.1102", "Gi1/0/11"),
        ("PANEL-A:03", "0200.5e00.1103", "Gi1/0/10"),
        ("PANEL-B:08", "0200.5e00.2208", "Gi1/0/9"),
        ("PANEL-B:09", "0200.5e00.4209", "Gi1/0/8"),
    ):
        assert any(address in text and text.endswith(now) for text in lines[jack]), jack


def test_plan_moves_two_cords_and_brings_a_phone(site: Site) -> None:
    """The lines to be pasted give PANEL-A:08 the phones' VLAN, as ordered; two phones' cords change places."""
    report = site.verify("as-found", "as-planned")
    rows = report.to_dict()["changes"]
    told = {(row["anchor"], row["kind"], row["frame"], row["expected"]) for row in rows}
    moved = {("PANEL-A:02", "moved", "", False), ("PANEL-A:03", "moved", "", False)}
    assert told == {*moved, ("PANEL-A:08", "gained", "20", True)}
    assert sorted(finding.code for finding in report.findings) == ["C102", "C102"], "two phones to sign for"


def test_frames_are_many_and_spread_over_all_boxes() -> None:
    assert len(FRAMES) >= 60
    boxes = {row["from"].split(":")[0] for _, row in FRAMES}
    assert boxes == {"SORT-1", "CORE-1", "ACC-1", "ACC-2", "ACC-9", "AV-1", "HV-1", "RTR-1", "PBX-1"}
    assert sum(not row["to"] for _, row in FRAMES) >= 20


@pytest.mark.parametrize(
    ("survey", "row"), FRAMES, ids=[f"{survey} {row['from']} {row['frame']}" for survey, row in FRAMES]
)
def test_one_frame(site: Site, survey: str, row: dict[str, Any]) -> None:
    groups = truth("frames")["groups"][survey]
    sender = port(row["from"])
    wanted = {one for word in row["to"] for one in several(word, groups) if one[0] != sender}
    walked = site.survey(survey).walk(row["from"], row["frame"])
    assert walked.complete
    round_the_ring = any(word in groups for word in row["to"])
    assert bool(walked.loops) == round_the_ring
    heard = {(one.port, one.frame) for one in walked.deliveries}
    assert {one for one in heard if one[0] != sender or not round_the_ring} == wanted
    lost = {(one.port, one.rule.word) for one in walked.losses}
    due = {(port(place), rule) for place, rule in row.get("lost", {}).items()}
    assert (due <= lost) if wanted else (due == lost)


@pytest.mark.parametrize(("survey", "row"), FRAMES[::4])
def test_carriage_says_the_same_of_a_frame(site: Site, survey: str, row: dict[str, Any]) -> None:
    walked = site.survey(survey).walk(row["from"], row["frame"])
    found = site.survey(survey).carriage().deliveries(port(row["from"]), row["frame"])
    assert {(one.port, one.frame) for one in found} == {(one.port, one.frame) for one in walked.deliveries}


def test_captures_leave_no_line_unread(site: Site) -> None:
    for survey in ("as-found", "as-left"):
        unread = [one for device in site.survey(survey).reading.devices for one in device.unread]
        assert not unread, "the truth was read from every line"
