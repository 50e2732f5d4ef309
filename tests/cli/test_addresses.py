"""A MAC address is a name of a place on the command line, and captures show what hangs at a port."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from report.sites import write_closet
from typer.testing import CliRunner

from vlancheck.cli.app import app
from vlancheck.pipeline import open_site


def run(*words: str | Path) -> tuple[int, str]:
    """Return the exit status and everything that a command prints."""
    done = CliRunner().invoke(app, [*map(str, words)])
    return done.exit_code, done.output


@pytest.fixture(scope="module")
def closet(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a site of which one capture shows addresses and a neighbour."""
    return write_closet(tmp_path_factory.mktemp("closet") / "site")


def test_at_tells_of_an_address(closet: Path) -> None:
    """The port it hangs at, in words and as a document."""
    status, line = run("at", closet, "0200-5e00-0001")
    assert status == 0
    assert line.startswith("MAC 02:00:5e:00:00:01 (PC one); ACC-1:GigabitEthernet0/2 VLAN 20 untagged")
    assert "seen 02:00:5e:00:00:01 in VLAN 20" in line

    document = json.loads(run("at", closet, "02005e000001", "--json")[1])
    assert document["places"][0]["seen"] == [
        {
            "port": "ACC-1:GigabitEthernet0/2",
            "mac": "02:00:5e:00:00:01",
            "vid": 20,
            "neighbour": "",
            "neighbour_port": "",
        }
    ]


def test_at_tells_of_a_neighbour(closet: Path) -> None:
    """At a port, whatever captures show behind it is told."""
    _, line = run("at", closet, "ACC-1:1")
    assert "seen 02:00:5e:00:00:01 in VLAN 310; neighbour SORT-1 Gi0/2" in line


def test_a_walk_starts_at_an_address(closet: Path) -> None:
    """It stands for the port it hangs at."""
    survey = open_site(closet).survey()
    assert survey.place("02:00:5e:00:00:01") == "ACC-1:GigabitEthernet0/2"
    status, walked = run("walk", closet, "0200.5e00.0001", "untagged")
    assert status == 0
    assert walked == run("walk", closet, "ACC-1:2", "untagged")[1]


@pytest.mark.parametrize(("command", "more"), [("at", ()), ("walk", ("untagged",))])
def test_an_address_that_was_seen_nowhere_is_one_clear_error(command: str, more: tuple[str, ...], closet: Path) -> None:
    """With the nearest, and what to do."""
    status, said = run(command, closet, "0200.5e00.0002", *more)
    assert status == 2
    assert "0200.5e00.0002 was seen nowhere" in said
    assert "02:00:5e:00:00:01" in said
    assert "Traceback" not in said


def test_captures_with_addresses_are_told_in_the_notation(closet: Path) -> None:
    """What hangs there is left out."""
    status, text = run("read", closet / "captures/as-found", "--format", "jot")
    assert status == 0
    assert "ACC-1:GigabitEthernet0/2 pvid=20" in text
    assert "5e" not in text
