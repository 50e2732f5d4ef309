"""`vlancheck start`: a site folder from a pile of logs that can be audited at once, and that is never written over."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from cli.running import run as command_line
from vlancheck.example import write_site
from vlancheck.pipeline import open_site
from vlancheck.verdicts.verdict import State


def run(*words: str | Path) -> int:
    """Return the exit code of `vlancheck start`."""
    return command_line("start", *words)


@pytest.fixture
def logs(tmp_path: Path) -> Path:
    """Return the captures of the built-in site."""
    write_site(tmp_path / "demo")
    return tmp_path / "demo/captures/as-found"


def test_the_draft_is_a_site_that_opens_and_carries_what_is_there(tmp_path: Path, logs: Path) -> None:
    """Cords come from neighbours and descriptions, VLANs from ports; nothing that is there is called dropped."""
    assert run(tmp_path / "mine", logs) == 0
    site = open_site(tmp_path / "mine")
    report = site.audit("as-found")

    cords = {(cord.one, cord.other) for cord in site.survey("as-found").boxes.cords}
    assert ("ACC-1:sfp-sfpplus1", "CORE-1:GigabitEthernet1/0/2") in cords
    assert len(cords) == 6
    states = {verdict.order.name: verdict.state for verdict in report.vlans}
    assert states["VLAN 10"] is State.CARRIED
    assert "VLAN 1" not in states
    assert not report.services
    for file in sorted(logs.iterdir()):
        assert (tmp_path / "mine/captures/as-found" / file.name).read_bytes() == file.read_bytes()


def test_the_sheet_to_fill_in_has_a_row_for_each_cord_and_each_open_port(tmp_path: Path, logs: Path) -> None:
    run(tmp_path / "mine", logs)
    rows = list(csv.DictReader((tmp_path / "mine/patching-to-fill-in.csv").open(encoding="utf-8")))
    places = [f"{row['from']}:{row['from port']}" for row in rows] + [
        f"{row['to']}:{row['to port']}" for row in rows if row["to"]
    ]
    assert len(places) == len(set(places))
    jacks = {
        f"{device.name}:{port.name}"
        for device in open_site(tmp_path / "mine").survey("as-found").reading.devices
        for port in device.ports.values()
        if port.kind.value == "jack" and port.name not in {one.bundle for one in device.ports.values()}
    }
    assert set(places) == jacks


def test_what_people_wrote_never_becomes_a_declaration(tmp_path: Path) -> None:
    """A description with quotes, braces, a colon or the beginning of a comment stays inside its comment or quotes."""
    odd = 'to "B-1": {x: 1} # handoffs: carrier'
    text = f"hostname A-1\ninterface GigabitEthernet0/1\n description {odd}\n switchport mode access\nend\n"
    (tmp_path / "a.txt").write_text(text, encoding="utf-8")
    assert run(tmp_path / "mine", tmp_path / "a.txt") == 0
    assert open_site(tmp_path / "mine").audit("as-found").verdicts == ()


def test_two_files_of_one_name_are_both_kept(tmp_path: Path) -> None:
    for name in ("one", "two"):
        (tmp_path / name).mkdir()
        (tmp_path / name / "sw.txt").write_text(f"hostname {name}\ninterface Gi0/1\nend\n", encoding="utf-8")
    assert run(tmp_path / "mine", tmp_path / "one", tmp_path / "two") == 0
    assert sorted(one.name for one in (tmp_path / "mine/captures/as-found").iterdir()) == ["sw-2.txt", "sw.txt"]


def test_nothing_is_written_over_and_nothing_half_written(
    tmp_path: Path, logs: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    there = tmp_path / "there"
    there.mkdir()
    (there / "notes.txt").write_text("mine", encoding="utf-8")
    assert run(there, logs) == 2
    assert "is not overwritten" in capsys.readouterr().err
    assert [one.name for one in there.iterdir()] == ["notes.txt"]

    (tmp_path / "junk.txt").write_text("nothing that anybody reads\n", encoding="utf-8")
    assert run(tmp_path / "new", tmp_path / "junk.txt") == 2
    assert run(tmp_path / "new", tmp_path / "nowhere") == 2
    assert not (tmp_path / "new").exists()
    assert "no device was found" in capsys.readouterr().err
