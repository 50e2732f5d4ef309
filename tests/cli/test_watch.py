"""`--watch` runs again when a file of the site changes, tells what is wrong with one, and ends when interrupted."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from vlancheck.example import write_site

from .running import run

PATIENCE = 120  # seconds that a run may take on a busy machine


@pytest.fixture
def watching(tmp_path: Path) -> Iterator[tuple[Path, subprocess.Popen[str]]]:
    """A site, and an audit that watches it in a process of its own."""
    site = tmp_path / "site"
    write_site(site)
    program = "import signal; signal.signal(signal.SIGINT, signal.default_int_handler)\n"
    program += "from vlancheck.cli import main; main()"
    line = [sys.executable, "-u", "-c", program, "audit", str(site), "--watch"]
    with (tmp_path / "told").open("w") as told:
        process = subprocess.Popen(line, stdout=told, stderr=subprocess.STDOUT, text=True)
        yield tmp_path / "told", process
        process.kill()
        process.wait()


def until(told: Path, words: str, times: int) -> str:
    """Return what was told once it holds some words so many times."""
    for _ in range(PATIENCE * 10):
        text = told.read_text(encoding="utf-8")
        if text.count(words) >= times:
            return text
        time.sleep(0.1)
    raise AssertionError(f"{words!r} was not told {times} times:\n{told.read_text(encoding='utf-8')}")


def test_a_change_runs_it_again(watching: tuple[Path, subprocess.Popen[str]], tmp_path: Path) -> None:
    told, process = watching
    until(told, "watching ", 1)
    declared = tmp_path / "site/site.yaml"
    good = declared.read_text(encoding="utf-8")
    (tmp_path / "site/.site.yaml.swp").write_text("what an editor leaves")
    declared.write_text(good.replace("services:", "servicess:"), encoding="utf-8")
    assert "changed: site.yaml" in until(told, "watching ", 2)
    assert "servicess" in told.read_text(encoding="utf-8")
    declared.write_text(good, encoding="utf-8")
    assert until(told, "watching ", 3).count("changed: ") == 2
    os.kill(process.pid, signal.SIGINT)
    assert process.wait(PATIENCE) == 130


@pytest.mark.parametrize("words", [("-o", "out.txt"), ("--without-each",)])
def test_what_does_not_go_with_it(words: tuple[str, ...], tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    write_site(tmp_path / "site")
    assert run("audit", tmp_path / "site", "--watch", *words) == 2
    assert "--watch" in capsys.readouterr().err
    assert run("audit", tmp_path / "site", tmp_path / "site", "--watch") == 2
    assert not Path("out.txt").exists()


def test_a_folder_that_is_none(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run("verify", tmp_path / "none", "--watch") == 2
    assert "none" in capsys.readouterr().err
