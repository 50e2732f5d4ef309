"""Every command of the lessons in docs/learn is run, on the lesson's own site, and prints what the lesson shows."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path
from typing import NamedTuple

import pytest
from shown import CUT, ROOT, matches, on_a_terminal

LESSONS = sorted(path for path in (ROOT / "docs/learn").glob("*.md") if path.name != "README.md")
INDEX = (ROOT / "docs/learn/README.md").read_text(encoding="utf-8")
PARTS = ["See it", "Exercise", "A common belief", "Sources"]


class Shown(NamedTuple):
    """A command, or lines of Python, and what a lesson shows that it prints."""

    lesson: str  # name of the page without `.md`
    kind: str  # `sh` or `python`
    typed: str  # what is run
    lines: list[str]  # what is shown


def shown(path: Path) -> list[Shown]:
    """Return what a lesson runs, in order."""
    text = path.read_text(encoding="utf-8")
    found = re.findall(r"^```(sh|python)\n((?:.*\n)+?)```\n\n```text\n((?:.*\n)+?)```$", text, re.MULTILINE)
    assert 4 * len(found) == text.count("\n```"), f"{path.name}: a block that nobody runs"
    return [Shown(path.stem, kind, typed.strip(), lines.splitlines()) for kind, typed, lines in found]


def part(text: str, heading: str) -> str:
    """Return what stands under a heading of a lesson."""
    return text.split(f"\n## {heading}\n")[1].split("\n## ")[0]


ALL = [one for path in LESSONS for one in shown(path)]


@pytest.mark.parametrize("one", ALL, ids=[f"{one.lesson} {one.typed.splitlines()[-1][-50:]}" for one in ALL])
def test_a_lesson_shows_what_is_printed(one: Shown) -> None:
    """A command is run on a terminal of 80 columns in the project's folder, Python in its own process."""
    if one.kind == "sh":
        printed = on_a_terminal(one.typed, ROOT)
    else:
        done = subprocess.run([sys.executable, "-c", one.typed], cwd=ROOT, capture_output=True, text=True, check=True)
        printed = [line.rstrip() for line in done.stdout.splitlines()]

    assert [line for line in one.lines if line != CUT] != []
    assert matches(printed, one.lines), "\n".join(printed)


@pytest.mark.parametrize("path", LESSONS, ids=lambda path: path.stem)
def test_a_lesson_is_whole(path: Path) -> None:
    """It has all parts, and an output under its words, its exercise's answer and its belief; it walks its own site."""
    text = path.read_text(encoding="utf-8")

    assert re.findall(r"^## (.+)$", text, re.MULTILINE) == PARTS
    assert "\n### Answer\n" in part(text, "Exercise")
    question, answer = part(text, "Exercise").split("\n### Answer\n")
    assert "?" in question
    assert "```" not in question
    for under in (part(text, "See it"), answer, part(text, "A common belief")):
        assert "\n```text\n" in under
    assert part(text, "A common belief").strip().startswith('"')
    assert "IEEE Std 802.1" in part(text, "Sources")
    sites = {site for one in shown(path) if one.kind == "sh" for site in re.findall(r"fixtures/sites/(\S+)", one.typed)}
    assert sites == {path.stem}


def test_the_index_has_exactly_the_lessons_that_are_there() -> None:
    """Titles, order and sites are those of the pages, and no site lies about without a lesson."""
    rows = re.findall(r"^\| \[(.+)\]\((.+)\.md\) \| `fixtures/sites/(.+)` \|$", INDEX, re.MULTILINE)

    assert [name for _, name, _ in rows] == [path.stem for path in LESSONS]
    assert [site for _, _, site in rows] == [path.stem for path in LESSONS]
    assert [site.name for site in sorted((ROOT / "fixtures/sites").iterdir())] == [path.stem for path in LESSONS]
    for (title, _, _), path in zip(rows, LESSONS, strict=True):
        assert path.read_text(encoding="utf-8").startswith(f"# {title}\n")


def test_the_step_that_the_index_shows_asks_and_tells() -> None:
    """Its answers, typed one a line, are right at every hop."""
    (command,) = re.findall(r"^vlancheck (walk .+)$", INDEX, re.MULTILINE)
    done = subprocess.run(
        [sys.executable, "-c", "from vlancheck.cli import main; main()", *command.split()],
        cwd=ROOT, input="10\n10\n10\nuntagged\n", capture_output=True, text=True, check=True,
    )  # fmt: skip
    assert done.stdout.endswith("4 of 4 as predicted.\n")
    assert done.stderr == ""
