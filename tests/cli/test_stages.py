"""What takes long is told on a terminal alone, and wiped before anything else is printed."""

from __future__ import annotations

import io
import re
import sys
import time
from contextlib import nullcontext
from pathlib import Path

import pytest

from cli.running import run
from vlancheck.cli import stages
from vlancheck.cli.stages import stage
from vlancheck.example import write_site
from vlancheck.pipeline import open_site

LINE = "reading as-found ..."


class Terminal(io.StringIO):
    """A stderr that says it is a terminal, and keeps which stages were told."""

    def isatty(self) -> bool:
        """Say so."""
        return True


def terminal(monkeypatch: pytest.MonkeyPatch, after: float = 0.0) -> Terminal:
    """Return what is told from now on, every stage after so many seconds; within the test, or its capture wins."""
    made = Terminal()
    monkeypatch.setattr(sys, "stderr", made)
    monkeypatch.setattr(stages, "AFTER", after)
    return made


def failing(told: Terminal) -> None:
    """Fail in a stage that is told."""
    with stage("reading as-found"):
        waited(told)
        raise ValueError("no")


def waited(told: Terminal) -> None:
    """Wait until something is told."""
    for _ in range(200):
        if told.getvalue():
            return
        time.sleep(0.01)


def test_a_stage_is_wiped_also_when_it_fails(monkeypatch: pytest.MonkeyPatch) -> None:
    told = terminal(monkeypatch)
    with pytest.raises(ValueError, match="no"):
        failing(told)
    assert told.getvalue() == f"{LINE}\r{' ' * len(LINE)}\r"


def test_what_takes_a_moment_is_not_told(monkeypatch: pytest.MonkeyPatch) -> None:
    told = terminal(monkeypatch, after=60.0)
    with stage("reading as-found"):
        pass
    assert told.getvalue() == ""


@pytest.mark.parametrize(
    "words",
    [
        ("audit",),
        ("verify",),
        ("alike",),
        ("alike", "--plan"),
        ("mistakes",),
        ("audit", "--without-each"),
        ("collect",),
        ("carriage",),
        ("walk", "SORT-1:Gi0/1", "310"),
        ("demo",),
    ],
    ids=" ".join,
)
def test_the_commands_that_may_take_long_have_stages(
    tmp_path: Path, words: tuple[str, ...], monkeypatch: pytest.MonkeyPatch
) -> None:
    write_site(tmp_path)
    told = terminal(monkeypatch)
    command, *options = words
    run(command, tmp_path, *options)
    assert re.search(r"(?:reading \d+ captures of as-\w+|looking for shorter cords) \.\.\.\r *\r", told.getvalue())
    assert told.getvalue().endswith("\r")
    assert "\x1b" not in told.getvalue()


def test_how_many_captures_are_read_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Files are counted as they are read: in folders and in theirs, hidden ones and the patch sheet not."""
    (tmp_path / "captures/as-found/more").mkdir(parents=True)
    (tmp_path / "site.yaml").write_text("site: a closet\n", encoding="utf-8")
    for name in ("A-1.txt", "more/B-1.txt", ".hidden"):
        text = f"{Path(name).stem}#show running-config\nhostname {Path(name).stem}\n!\nend\n"
        (tmp_path / "captures/as-found" / name).write_text(text, encoding="utf-8")
    told: list[str] = []
    monkeypatch.setattr(stages, "stage", lambda words: told.append(words) or nullcontext())
    stages.read_first(open_site(tmp_path), "as-found", "as-found")
    (tmp_path / "captures/as-found/A-1.txt").unlink()
    stages.read_first(open_site(tmp_path), "as-found")
    assert told == ["reading 2 captures of as-found", "reading 1 capture of as-found"]


def test_nothing_is_told_to_a_file(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    write_site(tmp_path)
    run("mistakes", tmp_path)
    assert capsys.readouterr().err == ""
