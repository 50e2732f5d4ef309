"""`vlancheck collect`: what to capture on each family, and what is missing of a site, ranked by what it settles."""

from __future__ import annotations

from pathlib import Path

import pytest
from report.sites import open_closet

from cli.running import run as command_line
from vlancheck.open_answers import Open
from vlancheck.reader import dialect_names, load_dialect
from vlancheck.report.collecting import Box, collection


def run(*words: str) -> int:
    """Return the exit code of `vlancheck collect`."""
    return command_line("collect", *words)


def test_every_command_says_what_it_is_for(capsys: pytest.CaptureFixture[str]) -> None:
    assert run() == 0
    said = capsys.readouterr().out
    for name in dialect_names():
        for source in load_dialect(name).sources:
            assert bool(source.capture) is bool(source.purpose), f"{name}: {source.name}"
            if source.capture:
                assert f"  {source.capture}" in said
                assert any(pattern.match(source.capture) for pattern in source.commands), f"{name}: {source.name}"


def test_a_site_without_its_vlans_asks_for_them_first(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Whether VLANs 20 and 30 exist is not in this configuration; of the box beyond there is nothing."""
    assert run(str(open_closet(tmp_path / "site"))) == 0
    said = capsys.readouterr().out.splitlines()
    assert said[0].startswith("open closet, as-found: these 2 captures settle ")
    ranked = [line.split() for line in said[2:4]]
    assert int(ranked[0][0]) >= int(ranked[1][0]) >= 1
    assert {" ".join(one[1:5]) for one in ranked} == {"ACC-3: show vlan brief", "FAR-1: its configuration everything"}


def test_answers_are_counted_once_for_the_capture_that_settles_them() -> None:
    box = Box("SW-1", load_dialect("cisco_ios"), frozenset({"running-config"}))
    answers = [
        Open("one", "show vlan brief", "SW-1:Gi0/1"),
        Open("two", "show vlan brief", "SW-1:Gi0/2"),
        Open("two", "show vlan brief", "SW-1:Gi0/2"),
        Open("three", "a capture of SW-9", "SW-9:1"),
        Open("four", "ask the carrier", "SW-1:Gi0/1"),
        Open("five", ""),
    ]
    found = collection([box], answers)

    assert found.answers == 5
    assert [(one.device, one.command, one.settles) for one in found.wanted] == [
        ("SW-1", "show vlan brief", 2),
        ("SW-9", "its configuration", 1),
    ]
    assert found.questions == (("ask the carrier", 1),)
    assert found.unexplained == 1
    assert "show running-config" not in {one.command for one in found.others}
    assert "show vlan" not in {one.command for one in found.others}
    assert "show version" in {one.command for one in found.others}


def test_bad_words(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    assert run("--dialect", "nosuch") == 2
    assert run(str(tmp_path / "nowhere")) == 2
    said = capsys.readouterr().err
    assert "there is no dialect 'nosuch'" in said
    assert "Traceback" not in said
