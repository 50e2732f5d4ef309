"""The dialect to copy is not tried itself, and a copy made step by step as DEVELOPERS.md says is read and tested."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
from pathlib import Path
from textwrap import dedent

import pytest
import yaml

from vlancheck.reader import dialect_names, load_dialect
from vlancheck.reader.loading import FOLDER, load_folder

ROOT = Path(__file__).parents[2]
CHAPTER = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8").split("## Add a dialect")[1].split("\n## ")[0]
FENCED = [(one[1], dedent(one[2])) for one in re.finditer(r"^   ```(\w+)\n(.*?)^   ```$", CHAPTER, re.M | re.S)]


def test_the_template_is_whole_and_never_tried() -> None:
    """It loads like any dialect, but no capture is held against it."""
    assert load_folder(FOLDER / "_template").name == "_template"
    assert "_template" not in dialect_names()


def test_what_dialects_share_is_extended_and_never_tried() -> None:
    """It loads, both dialects read by its template and their own, and no capture is held against it."""
    shared = load_folder(FOLDER / "_general_ports")
    assert "_general_ports" not in dialect_names()
    assert not shared.patterns
    assert not shared.commands
    for name in ("cisco_s300", "dell_os6"):
        source = next(one for one in load_dialect(name).sources if one.name == "running-config")
        assert [Path(one.file).parent.name for one in source.templates] == ["_general_ports", name]


@pytest.fixture(scope="module")
def followed(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, list[str]]:
    """Return a checkout in which every step was followed to the letter, and what each command printed."""
    root = tmp_path_factory.mktemp("checkout")
    for name in ("vlancheck", "tests", "fixtures"):
        shutil.copytree(ROOT / name, root / name, ignore=shutil.ignore_patterns("__pycache__"))
    for name in ("pyproject.toml", "DEVELOPERS.md"):
        shutil.copy(ROOT / name, root)
    (capture,) = re.findall(r"invented capture, `([^`]+)`", CHAPTER)
    printed = []
    for kind, text in FENCED:
        if kind == "text":
            (root / capture).write_text(text, encoding="utf-8")
            continue
        python = sys.executable
        tools = {"pytest": f"{python} -m pytest", "vlancheck": f"{python} -c 'from vlancheck.cli import main; main()'"}
        command = re.sub(r"\.venv/bin/(pytest|vlancheck)\b", lambda found, tools=tools: tools[found[1]], text)
        done = subprocess.run(
            ["sh", "-ec", command],
            cwd=root,
            env={**os.environ, "PYTHONPATH": str(root)},
            capture_output=True,
            text=True,
        )
        assert done.returncode == 0, done.stdout + done.stderr
        printed.append(done.stdout)
    return root, printed


def test_the_steps_lead_to_a_dialect_that_passes(followed: tuple[Path, list[str]]) -> None:
    """Its tests are found, run and pass: fixture, accounting, schema and sensitive words."""
    _, printed = followed

    assert re.search(r"^\d+ passed", printed[-1], re.M), printed[-1]


def test_the_capture_of_the_page_becomes_what_it_says(followed: tuple[Path, list[str]]) -> None:
    """The model is that of the text, held against it by hand here."""
    root, _ = followed
    text = (root / "fixtures/dialects/exampleware/first.yaml").read_text(encoding="utf-8")
    device = yaml.safe_load(text)["devices"]["closet-7"]

    assert device["dialect"] == "exampleware"
    assert device["bridge-ports"]["1"] == {
        "pvid": "10 [8]",
        "admit": "none",
        "member": "10 [8]",
        "untagged": "10 [8 default]",
    }
    assert device["bridge-ports"]["2"]["admit"] == "20 [11]"
    assert device["ports"]["3"]["up"] == "no [15]"
    assert device["bridge-ports"]["4"]["doubt"] == "[17]"
    assert device["unread"] == ["line 17 at 4 matters"]
