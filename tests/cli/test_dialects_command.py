"""`vlancheck dialects`: the families, and a contributor's fixtures."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from cli.running import run as command_line

FIXTURES = Path(__file__).parents[2] / "fixtures" / "dialects"


def run(*words: str) -> int:
    """Return the exit code of `vlancheck dialects`."""
    return command_line("dialects", *words)


def test_the_families_are_listed_with_the_fixtures_at_hand(capsys: pytest.CaptureFixture[str]) -> None:
    assert run("--fixtures", str(FIXTURES)) == 0
    count = len(list((FIXTURES / "hp_procurve").glob("*.txt")))
    assert f"ProCurve and AOS-S switches  ({count} fixtures)" in capsys.readouterr().out


def test_fixtures_become_what_they_must(capsys: pytest.CaptureFixture[str]) -> None:
    assert run("test", "hp_procurve", "--fixtures", str(FIXTURES)) == 0
    assert "hp_procurve cellar-sw: as its model says" in capsys.readouterr().out


def test_what_differs_is_told_with_its_line_and_place(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = tmp_path / "hp_procurve"
    folder.mkdir()
    for end in ("txt", "yaml"):
        shutil.copy(FIXTURES / "hp_procurve" / f"old-sw.{end}", folder)
    model = folder / "old-sw.yaml"
    model.write_text(model.read_text("utf-8").replace("dialect: hp_procurve", "dialect: other", 1), encoding="utf-8")

    assert run("test", "hp_procurve", "--fixtures", str(tmp_path)) == 1
    said = capsys.readouterr().out
    assert "old-sw: 1 place differs" in said
    assert "/ dialect: is hp_procurve, must be other" in said
    assert said.endswith("0 of 1 fixtures become what they must\n")


def test_a_model_is_written_once_and_never_over_another(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = tmp_path / "hp_procurve"
    folder.mkdir()
    shutil.copy(FIXTURES / "hp_procurve" / "old-sw.txt", folder)

    assert run("test", "hp_procurve", "--fixtures", str(tmp_path)) == 1
    assert "no model beside it" in capsys.readouterr().out
    assert run("test", "hp_procurve", "--write", "--fixtures", str(tmp_path)) == 0
    model = folder / "old-sw.yaml"
    model.write_text("devices: {}\n", encoding="utf-8")
    assert run("test", "hp_procurve", "--write", "--fixtures", str(tmp_path)) == 1
    assert model.read_text("utf-8") == "devices: {}\n"


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("test",), "test which dialect?"),
        (("test", "nosuch"), "there is no dialect 'nosuch'"),
        (("nosuch",), "there is no dialect 'nosuch'"),
        (("hp_procurve", "more"), "one word too many"),
        (("test", "hp_procurve", "--fixtures", "nowhere"), "no fixture in nowhere/hp_procurve"),
    ],
)
def test_bad_words(words: tuple[str, ...], told: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(*words) == 2
    assert told in capsys.readouterr().err
