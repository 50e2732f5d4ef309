"""A night under way: what is not ticked is not yet, a hand test settles what is unproven, a failure is found."""

from __future__ import annotations

import json
import shutil
from collections.abc import Callable, Iterable
from importlib.resources import files as resources
from pathlib import Path
from typing import Any

import pytest
from cli.running import run as cli
from jsonschema import Draft202012Validator

from vlancheck.errors import SiteError, UsageError
from vlancheck.moves.worksheets.sheet import Row
from vlancheck.outcome import CLEAN, FAULTY, UNPROVEN, Report
from vlancheck.pipeline import Site, open_site
from vlancheck.report import auditing
from vlancheck.report.page import page
from vlancheck.verdicts.verdict import State

from .nights import sheet, write_rough

EXAMPLE = Path(__file__).parents[2] / "vlancheck/example/site"
Written = Callable[..., Path]


def schema(name: str) -> Draft202012Validator:
    return Draft202012Validator(json.loads((resources("vlancheck") / f"schemas/{name}.schema.json").read_text()))


def tick(row: Row | str, on: str = "re-patch", result: str = "pass", **more: str) -> dict[str, Any]:
    """Return an entry for a row, or for the row of that key."""
    key, cord = (row.key, row.cord) if isinstance(row, Row) else (row, "")
    made = {
        "sheet": on,
        "row": 1,
        "column": "result",
        "said": "",
        "key": key,
        "cord": cord,
        "who": "Lee",
        "when": "2026-03-14T02:10",
        "what": "tried",
    }
    return {**made, "result": result, **more}


@pytest.fixture
def written(tmp_path: Path) -> Written:
    """Write files of ticks of a site and return each."""

    def write(site: Site, rows: Iterable[dict[str, Any]], name: str = "ticks.json") -> Path:
        lines = ",\n".join(json.dumps(row) for row in rows)
        top = f'"schema": "vlancheck/ticks/1",\n"site": {json.dumps(site.name)},\n"survey": "as-planned"'
        text = f'{{\n{top},\n"ticks": [\n{lines}\n]\n}}\n'
        schema("ticks").validate(json.loads(text))
        path = tmp_path / name
        path.write_text(text, encoding="utf-8")
        return path

    return write


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> Site:
    """Return the built-in site with the one question to the carrier answered, so that its plan is clean."""
    folder = tmp_path_factory.mktemp("whole") / "site"
    shutil.copytree(EXAMPLE, folder)
    declared = (folder / "site.yaml").read_text(encoding="utf-8")
    assert "883: 330}" in declared
    (folder / "site.yaml").write_text(declared.replace("883: 330}", "883: 330, 884: 340}"), encoding="utf-8")
    return open_site(folder)


@pytest.fixture(scope="module")
def rows(whole: Site) -> tuple[Row, ...]:
    return sheet(whole.worksheets(), "re-patch").rows


def states(report: Report) -> dict[tuple[str, str], State]:
    """Return the state of every ending."""
    return {(one.order.name, ending.stop.name): ending.state for one in report.verdicts for ending in one.endings}


def test_with_every_row_ticked_the_answer_is_what_it_is_without(
    whole: Site, rows: tuple[Row, ...], written: Written
) -> None:
    path = written(whole, map(tick, rows))
    for after in ("as-planned", "as-left"):
        plain, ticked = whole.verify(after=after), whole.verify(after=after, ticks=[path])
        assert auditing.text(ticked) == auditing.text(plain), (
            "rows of the box that was replaced are known by their cords"
        )
        assert ticked.to_dict() == plain.to_dict()
    assert whole.verify(after="as-planned", ticks=[path]).verdict == CLEAN


def test_rows_without_a_tick_are_not_yet(whole: Site, rows: tuple[Row, ...], written: Written) -> None:
    done = [row for row in rows if row.key != "PANEL-B:05"]
    report = whole.verify(after="as-planned", ticks=[written(whole, map(tick, done))])
    assert report.exit_code == 3
    assert report.verdict == UNPROVEN
    assert [(one.name, one.place) for one in report.not_yet] == [("PANEL-B:05", "ACC-1:ether5")]
    assert [at for at, state in states(report).items() if state is State.NOT_YET] == [("data", "PANEL-B:05")]
    text = auditing.text(report)
    assert "data (VLAN 10): 1 not yet done, 22 carried" in text
    assert "Not yet done: 1" in text
    assert "and 1 row not yet done" in text
    assert "not ticked yet" in page(report)
    document = report.to_dict()
    schema("report").validate(document)
    assert document["not_yet"] == [{"name": "PANEL-B:05", "port": "ACC-1:ether5", "why": "its row is not ticked yet"}]


def test_nothing_is_ticked_at_the_start_of_the_night(whole: Site, rows: tuple[Row, ...], written: Written) -> None:
    report = whole.verify(after="as-planned", ticks=[written(whole, [])])
    assert report.exit_code == 3
    assert len(report.not_yet) == len(rows)
    assert {*states(report).values()} == {State.NOT_YET}
    assert not report.findings


def test_what_is_dropped_is_not_yet_until_it_is_ticked(whole: Site, rows: tuple[Row, ...], written: Written) -> None:
    """In the survey as left the Internet is dropped at an uplink; before that uplink is in, nobody says so."""
    plain = states(whole.verify())
    assert plain["Internet", "RTR-1:GigabitEthernet0/0"] is State.DROPPED
    without = [row for row in rows if row.key != "CORE-1:GigabitEthernet1/0/4"]
    early = whole.verify(ticks=[written(whole, map(tick, without))])
    assert states(early)["Internet", "RTR-1:GigabitEthernet0/0"] is State.NOT_YET
    assert not [one for one in early.findings for effect in one.effects if "Internet" in effect]


def test_a_way_over_a_cord_that_is_not_in_is_not_yet(whole: Site, rows: tuple[Row, ...], written: Written) -> None:
    without = [row for row in rows if row.key != "SORT-1:GigabitEthernet0/3"]
    report = whole.verify(after="as-planned", ticks=[written(whole, map(tick, without))])
    found = states(report)
    assert found["Catalogue line", "HV-1:vnet1"] is State.NOT_YET, "no row is about vnet1, and its cord is not in"
    assert sum(state is State.NOT_YET for state in found.values()) == 1
    assert [one.name for one in report.not_yet] == ["SORT-1:GigabitEthernet0/3"]


def test_one_jack_that_waits_does_not_hold_up_its_vlan(whole: Site, rows: tuple[Row, ...], written: Written) -> None:
    for key in ("PANEL-A:11", "PANEL-B:19", "PANEL-B:11"):
        without = [row for row in rows if row.key != key]
        found = states(whole.verify(after="as-planned", ticks=[written(whole, map(tick, without))]))
        assert {at for (_, at), state in found.items() if state is State.NOT_YET} == {key}


def test_not_tested_is_not_done(whole: Site, rows: tuple[Row, ...], written: Written) -> None:
    made = [tick(row, result="not tested" if row.key == "PANEL-A:01" else "pass") for row in rows]
    report = whole.verify(after="as-planned", ticks=[written(whole, made)])
    assert [one.name for one in report.not_yet] == ["PANEL-A:01"]


def test_ticks_of_several_people_are_taken_together(whole: Site, rows: tuple[Row, ...], written: Written) -> None:
    one = written(whole, map(tick, rows[:20]), "one.json")
    other = written(whole, map(tick, rows[20:]), "other.json")
    assert whole.verify(after="as-planned", ticks=[one]).exit_code == 3
    assert whole.verify(after="as-planned", ticks=[one, other]).exit_code == 0


def test_only_some_places_are_looked_at(whole: Site) -> None:
    report = whole.verify(after="as-planned", only=["PANEL-A", "PANEL-B:05", "HV-1"])
    assert report.exit_code == 3
    judged = {at for (_, at), state in states(report).items() if state is not State.NOT_YET}
    assert judged == {*(f"PANEL-A:{n:02}" for n in (*range(1, 9), 10, 11, 12)), "PANEL-B:05", "HV-1:vnet1"}
    assert {one.why for one in report.not_yet} == {"it is not among the places that were asked for"}
    names = {one.name for one in report.not_yet}
    assert "PANEL-B:06" in names
    assert "PANEL-A:01" not in names
    with pytest.raises(UsageError, match="PANEL-Z"):
        whole.verify(after="as-planned", only=["PANEL-Z:1"])


def test_a_fault_inside_is_found_and_one_outside_is_not_yet(whole: Site) -> None:
    inside = whole.verify(only=["RTR-1"])
    assert states(inside)["Internet", "RTR-1:GigabitEthernet0/0"] is State.DROPPED
    assert inside.verdict == FAULTY
    outside = whole.verify(only=["PANEL-A:01"])
    assert states(outside)["Internet", "RTR-1:GigabitEthernet0/0"] is State.NOT_YET


def test_a_change_that_is_meant_is_not_missed_before_its_row(
    whole: Site, rows: tuple[Row, ...], written: Written
) -> None:
    """The phone at PANEL-A:08 is an expected change: it is missing nowhere while its row waits."""
    without = [row for row in rows if row.key != "PANEL-A:08"]
    report = whole.verify(after="as-planned", ticks=[written(whole, map(tick, without))])
    assert report.comparison is not None
    assert not report.comparison.missing
    assert not report.comparison.open
    assert not [one for cause in report.comparison.causes for one in cause.changes if one.anchor.name == "PANEL-A:08"]


@pytest.fixture
def rough(tmp_path: Path) -> Site:
    return open_site(write_rough(tmp_path / "rough"))


def test_a_hand_test_settles_what_no_capture_proves(rough: Site, written: Written) -> None:
    rows = sheet(rough.worksheets(), "re-patch").rows
    plain = rough.verify(after="as-planned")
    assert states(plain)["office", "PANEL-A:1"] is State.UNPROVEN
    tried = [*map(tick, rows), tick("PANEL-A:1", "acceptance", what="sent and received a page")]
    report = rough.verify(after="as-planned", ticks=[written(rough, tried)])
    found = states(report)
    assert found["office", "PANEL-A:1"] is State.CARRIED
    assert found["office", "PANEL-A:10"] is State.UNPROVEN, "nobody tried that one"
    (ending,) = (one for v in report.verdicts for one in v.endings if one.stop.name == "PANEL-A:1")
    assert [(one.line > 0, one.file.endswith("ticks.json")) for one in ending.tested] == [(True, True)]
    text = auditing.text(report)
    assert "it passed by hand: PANEL-A:1: pass, sent and received a page; Lee, 2026-03-14T02:10" in " ".join(
        text.split()
    )
    assert report.to_dict()["vlans"][0]["endings"][0]["tested"]
    schema("report").validate(report.to_dict())


@pytest.mark.parametrize("missing", ["who", "when", "what"])
def test_a_pass_without_who_when_or_what_proves_nothing(rough: Site, written: Written, missing: str) -> None:
    tried = [*map(tick, sheet(rough.worksheets(), "re-patch").rows), tick("PANEL-A:1", "acceptance", **{missing: " "})]
    report = rough.verify(after="as-planned", ticks=[written(rough, tried)])
    assert states(report)["office", "PANEL-A:1"] is State.UNPROVEN
    assert [note for note in report.notes if "who, when or what is not said" in note]


def test_a_fail_is_a_finding_with_the_tick_as_its_evidence(
    whole: Site, rows: tuple[Row, ...], written: Written
) -> None:
    made = [*map(tick, rows), tick("PANEL-B:07", "acceptance", "fail", what="payment", said="no answer")]
    report = whole.verify(after="as-planned", ticks=[written(whole, made)])
    (found,) = (one for one in report.findings if one.code == "A101")
    assert found.headline == "PANEL-B:07: fail, payment (no answer); Lee, 2026-03-14T02:10"
    assert found.at == {"PANEL-B:07"}
    origin = found.where[0].origin
    assert (origin.kind, origin.line) == ("tick", 6 + len(rows))
    assert report.verdict == FAULTY
    assert report.exit_code == 1
    schema("report").validate(report.to_dict())
    mended = [*made, tick("PANEL-B:07", "acceptance")]
    assert whole.verify(after="as-planned", ticks=[written(whole, mended)]).exit_code == 1, (
        "what still says fail counts"
    )


def test_a_test_by_hand_stands_behind_its_row(whole: Site, rows: tuple[Row, ...], written: Written) -> None:
    """A pass proves the row of a jack that nothing else shows; a fail takes its proof."""
    tried = [tick("PANEL-B:07", "acceptance", what="payment"), tick("PANEL-B:08", "acceptance", "fail", what="a page")]
    report = whole.verify(after="as-planned", ticks=[written(whole, [*map(tick, rows), *tried])])
    found = {one["at"]: one for one in report.to_dict()["jacks"]}
    assert (found["PANEL-B:07"]["state"], found["PANEL-B:08"]["state"]) == ("proved", "unproven")
    assert found["PANEL-B:07"]["source"][0]["origin"] == "tick"


def test_a_pass_overrules_no_proof(whole: Site, rows: tuple[Row, ...], written: Written) -> None:
    made = [*map(tick, rows), tick("RTR-1:GigabitEthernet0/0", "acceptance", what="a page of the Internet")]
    report = whole.verify(ticks=[written(whole, made)])
    assert states(report)["Internet", "RTR-1:GigabitEthernet0/0"] is State.DROPPED
    assert [note for note in report.notes if "a proof is not overruled" in note]


def test_a_tick_of_no_row_is_told(whole: Site, rows: tuple[Row, ...], written: Written) -> None:
    report = whole.verify(after="as-planned", ticks=[written(whole, [*map(tick, rows), tick("PANEL-Q:1")])])
    assert [note for note in report.notes if "no row of as-planned is called PANEL-Q:1" in note]
    assert report.exit_code == 0


def document(**changed: Any) -> str:
    entry = {"sheet": "re-patch", "key": "PANEL-A:01", "who": "", "when": "", "what": "", "result": "pass"}
    made = {"schema": "vlancheck/ticks/1", "site": "Harrow Lane Library, basement closet", "ticks": [entry], **changed}
    return json.dumps(made)


ENTRY = {"sheet": "a", "key": "b", "who": "", "when": "", "what": "", "result": "pass"}


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("", "the file is empty"),
        ("{\n{", "ticks.json:2: this is not JSON"),
        ("[]", "this is no file of ticks"),
        ("[" * 100000, "ticks.json"),
        (document(schema="vlancheck/ticks/2"), "its schema is not vlancheck/ticks/1"),
        (document(site="Mill Street"), "these are ticks of the site 'Mill Street'"),
        (document(ticks={}), "`ticks` is no list"),
        (document(ticks=[7]), "tick 1 is no map"),
        (document(ticks=[{**ENTRY, "who": 7}]), "tick 1 has no text `who`"),
        (document(ticks=[{**ENTRY, "result": "ok"}]), "the result of tick 1 is 'ok'"),
        (document(ticks=[{**ENTRY, "key": " "}]), "tick 1 names no row"),
        (document(ticks=[{"sheet": "a"}]), "tick 1 has no text `key`"),
        ("\x00\x01", "ticks.json"),
    ],
)
def test_a_file_that_is_none_is_one_clear_error(
    text: str, told: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "ticks.json"
    path.write_text(text, encoding="utf-8")
    assert cli("verify", EXAMPLE, "--ticks", path) == 2
    error = capsys.readouterr().err
    assert told in error
    assert "Traceback" not in error


def test_a_file_that_is_not_there_is_one_clear_error(whole: Site, tmp_path: Path) -> None:
    with pytest.raises(SiteError, match="cannot be read"):
        whole.verify(ticks=[tmp_path / "none.json"])


def test_the_command_takes_ticks_and_places(
    whole: Site, rows: tuple[Row, ...], written: Written, capsys: pytest.CaptureFixture[str]
) -> None:
    path = written(whole, map(tick, rows))
    assert cli("verify", whole.declaration.folder, "--after", "as-planned", "--ticks", path) == 0
    assert cli("verify", whole.declaration.folder, "--after", "as-planned", "--ticks", path, "--only", "PANEL-A") == 3
    told = capsys.readouterr().out
    assert "not yet: data (VLAN 10): 15 not yet done, 8 carried" in told
    assert "\nnot yet: PANEL-B:06: it is not among the places that were asked for\n" in told
