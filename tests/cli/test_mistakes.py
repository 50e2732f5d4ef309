"""`vlancheck mistakes` on the example, as text and as a document."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from moves.closets import long_cords

from cli.running import run
from vlancheck.example import write_site


def test_the_most_dangerous_cords_come_first(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The branch gateway stands beside a camera's panel port: exchanged, a camera reaches the carrier."""
    write_site(tmp_path)
    assert run("mistakes", tmp_path) == 0
    told = capsys.readouterr().out.splitlines()
    start = told.index("Test these first: one port off, at the switch or at the panel")
    assert told[start + 1] == "  PANEL-A:10 C-004 (branch gateway): leaks toward the carrier"
    assert all(len(line) <= 80 for line in told)


def test_the_document_counts_every_exchange(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    write_site(tmp_path)
    assert run("mistakes", tmp_path, "--survey", "as-found", "--json") == 0
    document = json.loads(capsys.readouterr().out)
    cords = len(document["cords"])
    between = sum(one["exchanges"] for one in document["between_boxes"])
    assert sum(one["count"] for one in document["exchanges"]) == cords * (cords - 1) // 2 + between


def test_without_a_plan_it_is_about_what_was_found(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run("mistakes", long_cords(tmp_path / "site")) == 0
    assert "as-found: " in capsys.readouterr().out


def test_a_survey_that_is_none_is_an_error(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    write_site(tmp_path)
    assert run("mistakes", tmp_path, "--survey", "as-dreamt") == 2
    assert "as-dreamt" in capsys.readouterr().err
