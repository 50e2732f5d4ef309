"""`vlancheck alike`, its plan and its bad input."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from moves.closets import long_cords

from cli.running import run
from vlancheck.example import write_site


@pytest.fixture
def site(tmp_path: Path) -> Path:
    return long_cords(tmp_path / "site")


def test_the_example_is_told_on_one_page(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """With the rows to sign, what is not known, and the cautions that belong to them."""
    write_site(tmp_path)
    assert run("alike", tmp_path) == 3
    told = capsys.readouterr().out
    assert "to sign: ACC-1:ether1-4 (phone)" in told
    assert "hold: fire alarm dialler" in told
    assert "place it tells for emergency calls" in told
    assert "local codes and licensed people decide" in told
    assert all(len(line) <= 80 for line in told.splitlines())


def test_a_plan_is_told_proven_and_written(site: Path, capsys: pytest.CaptureFixture[str]) -> None:
    planned = site / "patching/as-planned.csv"
    assert run("alike", site, "--plan", "-o", planned) == 0
    told = capsys.readouterr().out
    assert "every frame is carried as before" in told
    assert run("verify", site, "--after", "as-planned", "--json") in (0, 3)
    report = json.loads(capsys.readouterr().out)
    assert {change["kind"] for change in report["changes"]} == {"moved"}
    assert all(change["expected"] for change in report["changes"])


def test_a_file_that_is_there_is_kept(site: Path, capsys: pytest.CaptureFixture[str]) -> None:
    sheet = site / "patching/as-found.csv"
    before = sheet.read_bytes()
    assert run("alike", site, "--plan", "-o", sheet) == 2
    assert "is there already" in capsys.readouterr().err
    assert sheet.read_bytes() == before


@pytest.mark.parametrize("name", ["planned.pdf", "planned"])
def test_another_kind_of_file_is_refused(site: Path, name: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert run("alike", site, "--plan", "-o", site / name) == 2
    assert ".csv" in capsys.readouterr().err
    assert not (site / name).exists()


def test_without_a_sheet_there_is_no_plan(site: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (site / "patching/as-found.csv").unlink()
    assert run("alike", site, "--plan") == 2
    assert "no patch sheet" in capsys.readouterr().err


def test_a_height_of_no_box_is_an_error(site: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """With the line and the nearest name."""
    declared = site / "site.yaml"
    declared.write_text(declared.read_text(encoding="utf-8").replace("ACC-1: 11", "ACC-11: 11"), encoding="utf-8")
    assert run("alike", site, "--plan") == 2
    told = capsys.readouterr().err
    assert "site.yaml:4" in told
    assert "ACC-1" in told
