"""Chapters of DEVELOPERS.md that add something to the program, followed to the letter in a copy of the checkout."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
from pathlib import Path
from textwrap import dedent

import pytest

ROOT = Path(__file__).parents[1]
PAGE = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
_PROGRAM = "-c 'from vlancheck.cli import main; main()'"


def steps(heading: str) -> list[tuple[str, str, str]]:
    """Return the fenced blocks of a chapter: language, the file that is named last before it, and text."""
    chapter = PAGE.split(f"## {heading}\n")[1].split("\n## ")[0]
    found = []
    named = ""
    for one in re.finditer(
        r"`((?:vlancheck/|tests/|docs/)[\w/-]+\.(?:py|yaml))`|^   ```(\w+)\n(.*?)^   ```$", chapter, re.M | re.S
    ):
        if one[1]:
            named = one[1]
        else:
            found.append((one[2], named, dedent(one[3].replace("\n\n", "\n   \n"))))
    return found


def follow(root: Path, heading: str) -> list[str]:
    """Write every file of a chapter and run every command, and return what the commands printed."""
    printed = []
    for kind, file, text in steps(heading):
        path = root / file
        if kind == "python" and path.exists():  # lines to add to a file that is there
            path.write_text(path.read_text(encoding="utf-8") + text, encoding="utf-8")
        elif kind == "python":
            path.write_text(text, encoding="utf-8")
        elif kind == "diff":
            path.write_text(changed(path.read_text(encoding="utf-8"), text), encoding="utf-8")
        else:
            printed.append(run(root, text))
    return printed


def changed(text: str, change: str) -> str:
    """Return a file with lines marked `+` put below the line before them, which must be there once."""
    before, *added = change.splitlines()
    assert all(line.startswith("+") for line in added)
    assert text.count(f"\n{before[1:]}\n") == 1, before
    return text.replace(f"\n{before[1:]}\n", "\n".join(("", before[1:], *(line[1:] for line in added), "")))


def run(root: Path, command: str) -> str:
    """Run commands of the page in a checkout, with the Python of these tests, and return what they print."""
    tools = {"pytest": "-m pytest", "python": "", "vlancheck": _PROGRAM}
    command = re.sub(
        r"\.venv/bin/(pytest|python|vlancheck)\b",
        lambda found: f"{sys.executable} {tools[found[1]]}".strip(),
        command,
    )
    environment = {**os.environ, "PYTHONPATH": str(root)}
    done = subprocess.run(
        ["sh", "-ec", command], cwd=root, env=environment, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout


@pytest.fixture
def checkout(tmp_path: Path) -> Path:
    """Return a copy of the checkout."""
    for name in ("vlancheck", "tests", "docs"):
        shutil.copytree(ROOT / name, tmp_path / name, ignore=shutil.ignore_patterns("__pycache__"))
    for name in ("pyproject.toml", "DEVELOPERS.md", "README.md"):
        shutil.copy(ROOT / name, tmp_path)
    return tmp_path


def test_add_a_check(checkout: Path) -> None:
    """The check of the chapter is found, its page and its test pass, and the page of checks has it."""
    manual, planted, faults, page = follow(checkout, "Add a check")
    assert re.search(r"^[1-9]\d* passed", manual, re.M), manual
    assert re.search(r"^1 passed", planted, re.M), planted
    assert re.search(r"^[1-9]\d* passed", faults, re.M), faults
    assert re.search(r"^[1-9]\d* passed", page, re.M), page
    assert "| The address of a box in VLAN 1 | [M901]" in (checkout / "docs/fault-classes.md").read_text(
        encoding="utf-8"
    )
    assert "## M901 A box's own address is in VLAN 1" in (checkout / "docs/checks.md").read_text(encoding="utf-8")
    lint(checkout, "vlancheck/checks/own_address_in_vlan_1.py", "tests/checks/test_own_address.py")


def test_add_an_output(checkout: Path) -> None:
    """The command of the chapter writes one row for each ending of the demo."""
    follow(checkout, "Add an output")
    rows = (checkout / "endings.csv").read_text(encoding="utf-8").splitlines()
    assert rows[0] == "name,tag,ending,port,state"
    assert "Branch tunnel,340,PANEL-A:10,SORT-1:GigabitEthernet0/4,carried" in rows
    assert len(rows) == 1 + 4 + 23 + 12 + 5 + 3
    lint(checkout, "vlancheck/report/endings.py", "vlancheck/cli/endings.py")


def test_add_a_worksheet(checkout: Path) -> None:
    """The sheet of the chapter is tested, and written with the others in every form."""
    tried, written = follow(checkout, "Add a worksheet")
    assert re.search(r"^[1-9]\d* passed", tried, re.M), tried
    assert "  bring          3 rows" in written
    assert "Cords to bring" in (checkout / "sheets/worksheets.html").read_text(encoding="utf-8")
    assert "cat6,2 m,37" in (checkout / "sheets/bring.csv").read_text(encoding="utf-8")
    lint(checkout, "vlancheck/moves/worksheets/bringing.py", "vlancheck/moves/worksheets/book.py")
    lint(checkout, "tests/worksheets/test_bringing.py")


def lint(root: Path, *files: str) -> None:
    """Hold the files of a chapter to the project's own rules."""
    run(root, f".venv/bin/python -m ruff check {' '.join(files)}")
    run(root, f".venv/bin/python -m ruff format --check {' '.join(files)}")
    run(root, ".venv/bin/pytest -q tests/test_layout.py")
