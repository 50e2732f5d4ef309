"""What `read` tells of spanning trees: the numbers that decide them, with their lines."""

from __future__ import annotations

import json
from pathlib import Path

from jsonschema import Draft202012Validator

import vlancheck
from vlancheck.capture import load
from vlancheck.reader import Reading, read
from vlancheck.report import reading as report

FIXTURES = Path(__file__).parents[2] / "fixtures" / "dialects" / "cisco_ios"


def captured() -> Reading:
    return read(load([FIXTURES / "tree.txt"], root=FIXTURES))


def test_numbers_of_trees_are_told_with_their_lines() -> None:
    told = report.text(captured())
    for line in (
        "tree      per-vlan",
        "    address   02:00:5e:00:53:10  <- line 51",
        "    priority  4096 in 20  <- line 12",
        "    region    west weir/3",
        "    instance  1 in 10,20",
        "tree      cost 30 in 20  <- line 21",
        "tree      number 3  <- line 58",
    ):
        assert line in told


def test_the_document_holds_them_by_its_schema() -> None:
    made = report.document(captured())
    schema = Path(vlancheck.__file__).parent / "schemas" / "read.schema.json"
    Draft202012Validator(json.loads(schema.read_text(encoding="utf-8"))).validate(made)
    one, other = made["devices"]
    said = [(fact["name"], fact["value"]) for fact in one["bridges"][0]["spanning_tree"]]
    assert said[:2] == [("mode", "per-vlan"), ("address", "02:00:5e:00:53:10")]
    assert ("costs", "long") in said
    (port,) = other["ports"]
    assert [(fact["name"], fact["value"]) for fact in port["spanning_tree"]] == [
        ("cost", "500 in 1"),
        ("priority", "16 in 0"),
    ]
