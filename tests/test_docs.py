"""What the documents say is so."""

from __future__ import annotations

import importlib.util
import re
from enum import StrEnum
from pathlib import Path

import pytest

from vlancheck import outcome
from vlancheck.changes.change import Kind
from vlancheck.cli import guard
from vlancheck.dot1q.rules import Rule
from vlancheck.findings.finding import Severity
from vlancheck.verdicts.verdict import Certainty, State

ROOT = Path(__file__).parents[1]
_SPEC = importlib.util.spec_from_file_location("build", ROOT / "docs/build.py")
assert _SPEC is not None
assert _SPEC.loader is not None
build = importlib.util.module_from_spec(_SPEC)
_SPEC.loader.exec_module(build)


def page(name: str) -> str:
    """Return one file of the project."""
    return (ROOT / name).read_text(encoding="utf-8")


def table(text: str, heading: str) -> list[str]:
    """Return the first cells of the table whose first heading is `heading`, without marks."""
    found = re.search(rf"^\| {heading} \|.*\n\|[-|]+\|\n((?:\|.*\n)+)", text, re.M)
    assert found is not None, heading
    return [row.split("|")[1].strip().strip("`") for row in found[1].splitlines()]


def test_the_rules_are_documented_as_they_are() -> None:
    """docs/model.md lists every rule with its clause and sentence, and no other."""
    text = (ROOT / "docs/model.md").read_text(encoding="utf-8")
    listed = [line for line in text.splitlines() if line.startswith("| `")]

    assert listed == [f"| `{rule.word}` | {rule.clause} | {rule.sentence} |" for rule in Rule]


def test_readme_states_the_commands_as_agreed() -> None:
    """The run and the test command stand in README.md to the letter."""
    text = (ROOT / "README.md").read_text(encoding="utf-8")

    assert "python3 -m venv .venv && .venv/bin/pip install -q . && .venv/bin/vlancheck demo" in text
    assert "python3 -m venv .venv && .venv/bin/pip install -q '.[test]' && .venv/bin/pytest" in text


@pytest.mark.parametrize(
    ("heading", "words"), [("certainty", Certainty), ("severity", Severity), ("kind", Kind)], ids=lambda one: str(one)
)
def test_verdicts_page_knows_every_word(heading: str, words: type[StrEnum]) -> None:
    """The tables of docs/verdicts.md have the words of the program, and no others."""
    assert table(page("docs/verdicts.md"), heading) == [one.value for one in words]


def test_verdicts_page_has_states_answers_and_exit_codes() -> None:
    """States stand in the order in which the first applies; so do the answers in one word."""
    text = page("docs/verdicts.md")
    order = ", ".join(f"`{state.value}`" for state in State)
    assert f"the first of these that applies: {order}." in text
    assert set(table(text, "ending")) == {state.value for state in State} - {"leaked"}
    assert table(text, "verdict") == [outcome.FAULTY, outcome.UNPROVEN, outcome.CLEAN]
    codes = (guard.OK, guard.FINDINGS, guard.COULD_NOT_RUN, guard.UNPROVEN, guard.INTERNAL, guard.INTERRUPTED)
    for name in ("docs/verdicts.md", "README.md"):
        assert table(page(name), "code") == [str(code) for code in codes], name


def test_verdicts_page_has_every_situation_that_is_tried() -> None:
    """Each part of the tests of situations is a row of the page."""
    tried = re.findall(r"^# ---- (.+?) -+$", page("tests/verdicts/test_situations.py"), re.M)
    told = " ".join(table(page("docs/verdicts.md"), "situation"))
    words = {
        "a phone with a PC behind it": "phone with a PC",
        "a router on a stick": "router on a stick",
        "a tunnel that keeps inner tags": "tunnel",
        "many access ports in one service": "access ports",
        "a switch's own VLAN interface": "own VLAN interface",
        "an unmanaged switch in the path": "unmanaged switch",
        "a spare trunk that allows all": "spare trunk",
        "a ring of which one uplink lacks a VLAN": "ring",
        "native VLANs that differ on a link": "untagged VLANs differ",
    }
    assert set(tried) - {"what is found of them"} == set(words)
    assert all(word in told for word in words.values())


def test_checks_page_is_as_written_from_the_checks() -> None:
    """docs/checks.md is what docs/build.py writes; where this fails, run it."""
    assert page("docs/checks.md") == build.checks_page()


def test_output_page_has_every_field_of_the_schemas() -> None:
    """The tables of docs/output.md are what docs/build.py writes; where this fails, run it."""
    text = page("docs/output.md")
    assert text == build.output_page(text)
    names = {path.name.removesuffix(".schema.json") for path in (ROOT / "vlancheck/schemas").glob("*.json")}
    assert set(re.findall(r"<!-- fields of (\w+) -->", text)) == names


def test_links_between_pages_lead_somewhere() -> None:
    """Every relative link of the documents is a file of the project."""
    for path in (ROOT / "README.md", ROOT / "DEVELOPERS.md", *(ROOT / "docs").glob("*.md")):
        for target in re.findall(r"\]\(([^)#]+)[^)]*\)", path.read_text(encoding="utf-8")):
            if "://" not in target:
                assert (path.parent / target).exists(), f"{path.name}: {target}"
