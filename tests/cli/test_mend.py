"""`vlancheck mend` from the command line: what people read, what is written, and input that is wrong."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from mend.closets import CORE, closet, replaced

from vlancheck.example import write_site

from .running import run

LOST = replaced(
    CORE,
    "interface GigabitEthernet1/0/1",
    " switchport trunk allowed vlan 10,20",
    " switchport trunk allowed vlan 10",
)


def test_lines_are_written_and_can_be_pasted(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The files of --edits, put where a planned survey looks for lines, make its audit clean."""
    site = tmp_path / "site"
    closet(site, core=LOST)
    assert run("mend", site, "--edits", tmp_path / "lines") == 1
    assert " switchport trunk allowed vlan add 20" in capsys.readouterr().out
    assert {path.name for path in (tmp_path / "lines").iterdir()} == {"CORE.txt", "undo-CORE.txt"}
    (site / "edits/CORE.txt").write_bytes((tmp_path / "lines/CORE.txt").read_bytes())
    assert run("audit", site, "--survey", "as-planned") == 0
    assert run("mend", site, "--survey", "as-planned") == 0
    assert "nothing is wrong" in capsys.readouterr().out


def test_nothing_is_overwritten(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A folder that holds such a file already is left as it is, and nothing is printed that looks like an answer."""
    closet(tmp_path / "site", core=LOST)
    (tmp_path / "CORE.txt").write_text("mine\n")
    assert run("mend", tmp_path / "site", "--edits", tmp_path) == 2
    told = capsys.readouterr()
    assert "is not overwritten" in told.err
    assert told.out == ""
    assert (tmp_path / "CORE.txt").read_text() == "mine\n"
    assert not (tmp_path / "undo-CORE.txt").exists()


def test_the_reports_carry_the_same_proposals(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """`audit --mends --json` has the lines of `mend --json`; without the option it has none."""
    closet(tmp_path, core=LOST)
    run("audit", tmp_path, "--mends", "--json")
    (row,) = json.loads(capsys.readouterr().out)["mends"]
    run("mend", tmp_path, "--json")
    (mend,) = json.loads(capsys.readouterr().out)["mends"]
    assert (row["lines"], row["undo"]) == (mend["steps"][0]["lines"], mend["steps"][0]["undo"])
    assert row["fingerprints"] == mend["fingerprints"]
    run("audit", tmp_path, "--json")
    assert json.loads(capsys.readouterr().out)["mends"] == []


def test_the_example(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A list, an uplink's leak, a port's mode and two cords: what each needs, and nothing else is touched."""
    write_site(tmp_path)
    assert run("mend", tmp_path, "--json") == 1
    found = json.loads(capsys.readouterr().out)
    assert [mend["change"] for mend in found["mends"]] == [
        ["CORE-1: GigabitEthernet1/0/1: tagged also VLAN 320, VLAN 20 no longer"],
        ["CORE-1: GigabitEthernet1/0/5: untagged VLAN 30"],
        [
            "move cord C-037 from ACC-9:GigabitEthernet1/0/8 to ACC-9:GigabitEthernet1/0/9",
            "move cord C-036 from ACC-9:GigabitEthernet1/0/9 to ACC-9:GigabitEthernet1/0/8",
        ],
    ]
    assert [one["words"][:4] for one in found["not_mended"]] == ["C104"]
    assert len(found["questions"]) == 1


@pytest.mark.parametrize("words", [("--survey", "as-left"), ("--before", "long-ago"), ("--survey", "")])
def test_a_survey_that_is_none(words: tuple[str, str], tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    closet(tmp_path)
    assert run("mend", tmp_path, *words) == 2
    assert "there is no survey" in capsys.readouterr().err
