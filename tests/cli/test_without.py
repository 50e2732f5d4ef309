"""`vlancheck audit --without` and `--without-each`: what hangs on a link or a device."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from cli.running import run
from vlancheck.example import write_site


@pytest.fixture
def site(tmp_path: Path) -> Path:
    write_site(tmp_path)
    return tmp_path


def test_each_link_and_device_in_turn(site: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """On the ring of three switches nothing hangs on one cord; at each switch its own desks do."""
    assert run("audit", site, "--without-each", "--json") == 0
    found = {one["name"]: one for one in json.loads(capsys.readouterr().out)["without"]}
    ring = [name for name in found if "ACC-" in name and " - " in name]
    assert len(ring) == 3
    assert all(not found[name]["lost"] and not found[name]["unproven"] for name in ring)
    lost = {one["name"]: one["endings"] for one in found["ACC-1"]["lost"]}
    assert lost["cameras"] == ["PANEL-B:09", "PANEL-B:10"]
    services = {one["name"] for one in found["ONU-1:lan1 - SORT-1:GigabitEthernet0/1"]["lost"]}
    assert services == {"Catalogue line", "Internet", "Phone trunk", "Branch tunnel"}


@pytest.mark.parametrize("name", ["CORE-1:Gi1/0/4", "C-008", "RTR-1"])
def test_one_link_by_any_name(site: Path, name: str, capsys: pytest.CaptureFixture[str]) -> None:
    """A port, the cord, or the box at its end: the router is off, and the headline says without what."""
    assert run("audit", site, "--without", name, "--json") == 1
    report = json.loads(capsys.readouterr().out)
    assert [one["state"] for one in report["services"] if one["name"] == "Internet"] == ["dropped"]
    assert "RTR-1" in report["without"][0]


def test_what_was_taken_away_is_no_finding(site: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """That its own ports are down nobody need be told."""
    run("audit", site, "--json")
    before = {one["fingerprint"] for one in json.loads(capsys.readouterr().out)["findings"]}
    run("audit", site, "--without", "ACC-1", "--json")
    new = [one for one in json.loads(capsys.readouterr().out)["findings"] if one["fingerprint"] not in before]
    assert new
    assert {one["severity"] for one in new} == {"error"}


def test_a_row_that_was_not_used_is_still_told(site: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A finding that is about no port has nothing to do with what was taken away."""
    sheet = site / "patching" / "as-found.csv"
    sheet.write_text(sheet.read_text() + "ACC-1:24,,C-090,cat6,2 m,,,\n")
    for words in ((), ("--without", "ACC-1")):
        run("audit", site, *words, "--json")
        assert "W102" in {one["code"] for one in json.loads(capsys.readouterr().out)["findings"]}


def test_two_links_of_the_ring_at_once(site: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run("audit", site, "--without", "C-005", "--without", "C-006", "--json") == 1
    states = {one["name"]: one["state"] for one in json.loads(capsys.readouterr().out)["vlans"]}
    assert states["data"] == "dropped"


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("--without", "nix"), "'nix' is no port"),
        (("--without", "PANEL-A:9"), "nothing is patched"),
        (("--without-each", "--without", "ACC-1"), "leave one of them out"),
    ],
)
def test_a_name_that_is_none_is_an_error(
    site: Path, words: tuple[str, ...], told: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run("audit", site, *words) == 2
    assert told in capsys.readouterr().err
