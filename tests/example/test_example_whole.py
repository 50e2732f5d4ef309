"""The built-in example has what is needed to see the program at work: read from its files, not from the program."""

from __future__ import annotations

import csv
import json
from importlib.resources import files
from pathlib import Path

import networkx as nx
import yaml
from jsonschema import Draft202012Validator

from vlancheck.moves.worksheets.sheet import Fill
from vlancheck.pipeline import open_site

SITE = Path(__file__).parents[2] / "vlancheck/example/site"
DECLARED = yaml.safe_load((SITE / "site.yaml").read_text(encoding="utf-8"))


def sheet(survey: str) -> list[dict[str, str]]:
    """Return the rows of a patch sheet."""
    with (SITE / f"patching/{survey}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def boxes(survey: str) -> set[str]:
    """Return the boxes of a sheet, panels apart."""
    ends = {row[end].split(":")[0] for row in sheet(survey) for end in ("From", "To")}
    return {name for name in ends if DECLARED["devices"].get(name, {}).get("kind") != "panel"}


def test_eight_boxes_or_more_of_four_dialects_or_more() -> None:
    read = open_site(SITE).survey("as-found").reading.devices
    assert len(boxes("as-found")) >= 8
    assert len({device.dialect for device in read}) >= 4, {device.dialect for device in read}


def test_two_panels_forty_cords_two_holds() -> None:
    panels = {name for name, box in DECLARED["devices"].items() if box["kind"] == "panel"}
    used = {row[end].split(":")[0] for row in sheet("as-found") for end in ("From", "To")}
    assert len(panels) == 2
    assert panels <= used
    for survey in ("as-found", "as-planned", "as-left"):
        assert 36 <= len(sheet(survey)) <= 44
        assert len([row for row in sheet(survey) if row["Hold"]]) == 2
    assert len(DECLARED["holds"]) == 2


def test_four_carrier_tags_end_differently() -> None:
    services = DECLARED["services"]
    assert [one["tag"] for one in services] == [310, 320, 330, 340]
    endings = {one["leaves"][0]["at"] if isinstance(one["leaves"][0], dict) else one["leaves"][0] for one in services}
    assert {end.split(":")[0] for end in endings} == {"HV-1", "RTR-1", "PBX-1", "PANEL-A"}
    sort = (SITE / "captures/as-found/sort-1.log").read_text(encoding="utf-8")
    assert "switchport vlan mapping 330 30" in sort, "one tag is another inside"
    assert "switchport mode dot1q-tunnel" in sort, "one is a tunnel"
    assert services[3]["inner"] == "all"


def test_a_ring_of_switches() -> None:
    graph = nx.Graph((row["From"].split(":")[0], row["To"].split(":")[0]) for row in sheet("as-found"))
    graph.remove_nodes_from([name for name in ("PANEL-A", "PANEL-B") if name in graph])
    assert [sorted(ring) for ring in nx.cycle_basis(graph)] == [["ACC-1", "ACC-2", "CORE-1"]]


def test_three_surveys_and_a_box_replaced() -> None:
    assert list(DECLARED["surveys"]) == ["as-found", "as-planned", "as-left"]
    assert boxes("as-left") - boxes("as-found") == {"ACC-9"}
    assert boxes("as-found") - boxes("as-left") == {"ACC-1"}
    assert DECLARED["renamed"] == {"as-left": {"ACC-1": "ACC-9"}}


def test_ticks_are_of_rows_of_the_worksheets() -> None:
    """The file of ticks is as a page saves it, and each tick is about a row, a cord and a test of the sheets."""
    schema = json.loads((files("vlancheck") / "schemas/ticks.schema.json").read_text(encoding="utf-8"))
    document = json.loads((SITE / "ticks-21-40.json").read_text(encoding="utf-8"))
    Draft202012Validator(schema).validate(document)
    book = open_site(SITE).worksheets(first=("PANEL-B:09", "PANEL-B:18"))
    assert (document["site"], document["before"], document["survey"]) == (book.site, book.before, book.after)
    sheets = {one.name: one for one in book.sheets}
    for tick in document["ticks"]:
        row = sheets[tick["sheet"]].rows[tick["row"] - 1]
        (blank,) = (one for one in sheets[tick["sheet"]].blanks if one.name == tick["column"])
        what = row.test if blank.fill is Fill.RESULT and row.test else blank.heading
        assert (tick["key"], tick["cord"], tick["what"]) == (row.key, row.cord, what), tick
    assert sum(tick["result"] == "fail" for tick in document["ticks"]) == 1
