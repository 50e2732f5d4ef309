"""docs/fault-classes.yaml against the program: every fault is found, asked or tried, in the words that it prints."""

from __future__ import annotations

import ast
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import pytest
import yaml
from worksheets.nights import example_book, write_rough
from worksheets.test_site_questions import LOGIN, OTHER, night

from checks.closet_texts import DECLARED, SHEET, SW_1, SW_2, changed, written
from vlancheck.checks import checks
from vlancheck.moves.worksheets.sheet import Book
from vlancheck.open_answers import open_answers
from vlancheck.pipeline import Site, open_site

ROOT = Path(__file__).parents[2]
GROUPS: list[dict[str, Any]] = yaml.safe_load((ROOT / "docs/fault-classes.yaml").read_text(encoding="utf-8"))
ROWS = [row for group in GROUPS for row in group["classes"]]
KEYS = {"fault", "found", "why", "ask", "test", "quiet"}
VTP = changed(
    SW_2,
    ("vtp mode transparent", "vtp mode server"),
    ("vlan 10\n name DESKS\n!\n", ""),
    ("vlan 20\n name PHONES\n!\n", ""),
)


@cache
def said() -> dict[str, str]:
    """Return what the program prints about a few nights: the text of each worksheet, and what settles open answers."""
    with TemporaryDirectory() as name:
        root = Path(name)
        ended = DECLARED.replace(
            "circuit: HC-1,", "circuit: HC-1, evc: EVC-1, ce-vlans: 0310, ends: [{name: Mill, ce-vlans: 0311}],"
        )
        two = written(root / "two", ended, SHEET, as_found=(SW_1, VTP), as_planned=(SW_1, VTP))
        (two / "site.yaml").write_text(ended.replace("as-left", "as-planned"), encoding="utf-8")
        sites = [
            open_site(write_rough(root / "rough")),
            open_site(night(root / "login", login=LOGIN, more=OTHER)),
            open_site(two),
        ]
        books = [example_book(), *(site.worksheets() for site in sites)]
        told = {sheet.name: "\n".join(_words(book, sheet.name) for book in books) for sheet in books[0].sheets}
        return {**told, "verdict": "\n".join(map(_open, sites))}


def _words(book: Book, name: str) -> str:
    (one,) = (sheet for sheet in book.sheets if sheet.name == name)
    return "\n".join((one.use, *one.cautions, *(cell for row in one.rows for cell in row.cells)))


def _open(site: Site) -> str:
    return "\n".join(f"{one.what}\n{one.settled_by}" for one in open_answers(site.audit()))


@pytest.mark.parametrize("row", ROWS, ids=[row["fault"] for row in ROWS])
def test_every_fault_is_found_asked_or_tried(row: dict[str, Any]) -> None:
    """A row has a check, a question, a test step, or the test that it is no fault; what is asked says why."""
    assert row.keys() <= KEYS
    assert {"found", "ask", "test", "quiet"} & row.keys()
    assert {"found", "why", "quiet"} & row.keys(), "what no check finds says why text cannot decide it"
    assert set(row.get("found", ())) <= {check.code for check in checks()}
    for key in {"ask", "test"} & row.keys():
        assert row[key].keys() == {"where", "words"}
        assert row[key]["words"] in said()[row[key]["where"]]


def test_every_check_has_a_row() -> None:
    """A check that finds no fault of the table is not for anything."""
    assert {check.code for check in checks()} - {code for row in ROWS for code in row.get("found", ())} == set()


def test_what_is_no_fault_has_its_test() -> None:
    source = (Path(__file__).parent / "test_false_alarms.py").read_text(encoding="utf-8")
    tests = {node.name for node in ast.walk(ast.parse(source)) if isinstance(node, ast.FunctionDef)}
    assert {row["quiet"] for row in ROWS if "quiet" in row} <= tests


def test_faults_are_named_once() -> None:
    names = [row["fault"] for row in ROWS]
    assert len(names) == len(set(names))


def test_words_that_nothing_prints_are_noticed() -> None:
    """The comparison can fail."""
    assert set(said()) > {"carrier", "site", "acceptance", "uplinks", "power-up", "run", "verdict"}
    assert all(said().values())
    assert "ask the carrier's uncle" not in said()["verdict"]
