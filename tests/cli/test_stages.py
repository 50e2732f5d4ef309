"""What takes long is told on a terminal alone, and wiped before anything else is printed."""

from __future__ import annotations

import io
import re
import sys
import time
from pathlib import Path

import pytest

from cli.running import run
from vlancheck.cli import stages
from vlancheck.cli.stages import stage
from vlancheck.example import write_site

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
    [("audit",), ("verify",), ("alike",), ("alike", "--plan"), ("mistakes",), ("audit", "--without-each")],
    ids=" ".join,
)
def test_the_commands_that_may_take_long_have_stages(
    tmp_path: Path, words: tuple[str, ...], monkeypatch: pytest.MonkeyPatch
) -> None:
    write_site(tmp_path)
    told = terminal(monkeypatch)
    command, *options = words
    run(command, tmp_path, *options)
    assert re.search(r"(?:reading as-\w+|looking for shorter cords) \.\.\.\r *\r", told.getvalue())
    assert told.getvalue().endswith("\r")
    assert "\x1b" not in told.getvalue()


def test_nothing_is_told_to_a_file(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    write_site(tmp_path)
    run("mistakes", tmp_path)
    assert capsys.readouterr().err == ""
