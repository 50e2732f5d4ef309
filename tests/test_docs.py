"""What the documents say is so."""

from __future__ import annotations

import importlib.util
import os
import re
import subprocess
import sys
import tomllib
from enum import StrEnum
from pathlib import Path

import pytest
from shown import CUT, matches, on_a_terminal

from vlancheck import outcome
from vlancheck.changes.change import Kind
from vlancheck.cli import guard
from vlancheck.cli.app import app
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


def test_fault_matrix_is_as_written() -> None:
    """docs/fault-matrix.md is what docs/build.py writes from the faults that the tests plant."""
    assert page("docs/fault-matrix.md") == build.matrix_page()


def test_fault_classes_page_is_as_written() -> None:
    """docs/fault-classes.md is what docs/build.py writes; where this fails, run it."""
    assert page("docs/fault-classes.md") == build.classes_page()


def test_output_page_has_every_field_of_the_schemas() -> None:
    """The tables of docs/output.md are what docs/build.py writes; where this fails, run it."""
    text = page("docs/output.md")
    assert text == build.output_page(text)
    names = {path.name.removesuffix(".schema.json") for path in (ROOT / "vlancheck/schemas").glob("*.json")}
    assert set(re.findall(r"<!-- fields of (\w+) -->", text)) == names


def test_links_between_pages_lead_somewhere() -> None:
    """Every relative link of the documents is a file of the project."""
    for path in (ROOT / "README.md", ROOT / "DEVELOPERS.md", *(ROOT / "docs").rglob("*.md")):
        for target in re.findall(r"\]\(([^)#]+)[^)]*\)", path.read_text(encoding="utf-8")):
            if "://" not in target:
                assert (path.parent / target).exists(), f"{path.name}: {target}"


# ---- the tour of README.md ---------------------------------------------------------------------------------------

TOUR = page("README.md").split("## A tour")[1].split("\n## ")[0]
STEPS = re.findall(r"^```sh\n(.+)\n```\n\n```text\n((?:.*\n)+?)```$", TOUR, re.M)


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a folder in which the demo was run."""
    folder = tmp_path_factory.mktemp("tour")
    on_a_terminal("vlancheck demo", folder)
    return folder


def test_the_tour_shows_every_command_but_the_demo() -> None:
    """Each command of the tour has output, and no command of the program is left out."""
    assert len(STEPS) == TOUR.count("```sh")
    shown = {command.split()[1] for command, _ in STEPS}
    assert shown | {"demo"} == {one.callback.__name__ for one in app.registered_commands if one.callback}


@pytest.mark.parametrize(("command", "shown"), STEPS, ids=[command for command, _ in STEPS])
def test_the_tour_shows_what_is_printed(demo: Path, command: str, shown: str) -> None:
    """A command of the tour, run on the demo, prints the lines that README.md shows."""
    printed = on_a_terminal(command, demo)
    assert matches(printed, shown.splitlines()), "\n".join(printed)


# ---- docs/tutorial.md -------------------------------------------------------------------------------------------

BLOCKS = re.findall(
    r"(?:`([^`\n]+)`(?:, under `([^`\n]+)`)?:\n\n)?^```(\w+)\n((?:.*\n)+?)```$", page("docs/tutorial.md"), re.M
)
MOVE = [
    (block.strip(), BLOCKS[number + 1][3] if BLOCKS[number + 1][2] == "text" else "")
    for number, (_, _, kind, block) in enumerate(BLOCKS[:-1])
    if kind == "sh"
] + [(block.strip(), "") for _, _, kind, block in BLOCKS[-1:] if kind == "sh"]


@pytest.fixture(scope="module")
def moved(tmp_path_factory: pytest.TempPathFactory) -> list[list[str]]:
    """Go through the tutorial in a folder of its own, and return what each command printed."""
    folder = tmp_path_factory.mktemp("move")
    printed = []
    for name, under, kind, block in BLOCKS:
        if kind == "sh":
            printed.append(on_a_terminal(block.strip(), folder))
        elif name:
            type_in(folder / name, under, block)
    assert {"handover.txt", "as-left.xlsx"} <= {path.name for path in folder.iterdir()}
    return printed


def type_in(file: Path, under: str, block: str) -> None:
    """Write a block of the tutorial where it says: below a line, at the end of a file, or into a new one."""
    if not file.exists():
        file.parent.mkdir(exist_ok=True)
        file.write_text(block, encoding="utf-8")
        return
    text = file.read_text(encoding="utf-8")
    assert not under or f"\n{under}\n" in text, under
    file.write_text(text.replace(f"\n{under}\n", f"\n{under}\n{block}") if under else text + block, encoding="utf-8")


def test_every_block_of_the_tutorial_is_a_command_an_output_or_a_file() -> None:
    """No block is there that nobody runs, and every command has a line of its own."""
    before = [("", "", "", ""), *BLOCKS]
    assert len(BLOCKS) == page("docs/tutorial.md").count("\n```") // 2
    for (_, _, last, _), (name, _, kind, block) in zip(before, BLOCKS, strict=False):
        assert kind == "sh" or name or (kind, last) == ("text", "sh"), block
        assert kind != "sh" or (block.startswith("vlancheck ") and block.count("\n") == 1), block
    used = {command.split()[1] for command, _ in MOVE}
    assert used >= {"start", "collect", "read", "patching", "audit", "alike", "mistakes", "verify", "sheets"}


@pytest.mark.parametrize("number", range(len(MOVE)), ids=[f"{n} {command}" for n, (command, _) in enumerate(MOVE)])
def test_the_tutorial_shows_what_is_printed(moved: list[list[str]], number: int) -> None:
    """A command of the tutorial, run after all before it, prints what the page shows, or nothing."""
    assert matches(moved[number], MOVE[number][1].splitlines()), "\n".join(moved[number])


def test_pictures_of_the_tutorial_are_there_and_are_those_that_are_taken() -> None:
    """Every picture that the page links is one that docs/build.py takes; each is a PNG, and no more are there."""
    linked = re.findall(r"!\[[^\]]+\]\(pictures/(.+)\.png\)", page("docs/tutorial.md"))
    assert sorted(linked) == sorted(build.PICTURES) == sorted(path.stem for path in (ROOT / "docs/pictures").iterdir())
    for name in linked:
        assert (ROOT / f"docs/pictures/{name}.png").read_bytes().startswith(b"\x89PNG\r\n")


def test_a_wrong_line_of_the_tour_is_noticed() -> None:
    """The comparison of the tour can fail."""
    assert matches(["a", "b", "c"], ["a", CUT])
    assert matches(["a", "b", "c d"], [CUT, "b", "c…"])
    assert not matches(["a", "b", "c"], ["a", "c"])
    assert not matches(["a", "b", "c"], ["a", "b"])
    assert not matches(["a", "b", "c"], [CUT, "x", CUT])


def test_python_of_the_readme_runs(demo: Path) -> None:
    """What README.md shows of the Python interface runs on the demo."""
    (code,) = re.findall(r"^```python\n((?:.*\n)+?)```$", page("README.md"), re.M)
    done = subprocess.run(
        [sys.executable, "-c", code],
        cwd=demo,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    assert done.stdout.splitlines()[0] == "faulty 1"


def test_dependencies_page_names_what_is_installed() -> None:
    """docs/dependencies.md has every library of pyproject.toml, and no other."""
    project = tomllib.loads(page("pyproject.toml"))["project"]
    wanted = [*project["dependencies"], *project["optional-dependencies"]["test"]]
    told = [name for cell in table(page("docs/dependencies.md"), "library") for name in cell.split(", ")]
    assert sorted(told) == sorted(re.split(r"[<>=]", one)[0] for one in wanted)
