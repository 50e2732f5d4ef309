"""Captures that could not be used, or were cut: said where they are missed, never taken for whole."""

from pathlib import Path

import pytest
from typer.testing import CliRunner

from vlancheck.cli.app import app

WHOLE = """B-2#show running-config
version 15.2
hostname B-2
!
vlan 10
!
interface GigabitEthernet0/1
 switchport mode access
 switchport access vlan 10
!
interface GigabitEthernet0/2
 switchport mode access
 switchport access vlan 10
!
end
B-2#
"""


def site(folder: Path, captures: dict[str, str]) -> Path:
    """Write a site with two boxes on one cord."""
    (folder / "captures/as-found").mkdir(parents=True)
    for name, text in captures.items():
        (folder / "captures/as-found" / name).write_text(text)
    (folder / "site.yaml").write_text('site: Rope Walk Bakery\nlinks:\n  - ["B-1:Gi0/1", "B-2:Gi0/1"]\n')
    return folder


@pytest.mark.parametrize("words", [("walk", "B-2:Gi0/2", "untagged"), ("carriage",), ("audit",), ("at", "B-2:Gi0/2")])
def test_a_box_is_missing_since_its_capture_says_nothing(tmp_path: Path, words: tuple[str, ...]) -> None:
    """The error about the box names the capture that could not be used."""
    folder = site(tmp_path, {"b-1.log": "B-1#\nB-1#\n", "b-2.log": WHOLE})
    done = CliRunner().invoke(app, [words[0], str(folder), *words[1:]])

    assert done.exit_code == 2
    assert "B-1" in done.output
    assert "captures/as-found/b-1.log:1: " in done.output
    assert "Traceback" not in done.output


@pytest.mark.parametrize("cut_at", ["interface GigabitEthernet0/2\n", " switchport access vlan 10\n!\nend", "end\n"])
def test_a_configuration_without_its_last_line_was_cut(tmp_path: Path, cut_at: str) -> None:
    """`end` is the last line of a configuration of this family (common practice, no source)."""
    text = WHOLE[: WHOLE.rindex(cut_at)] + "\nB-2#\n"
    (tmp_path / "b-2.log").write_text(text)
    done = CliRunner().invoke(app, ["read", str(tmp_path / "b-2.log")])

    assert done.exit_code == 3
    assert "the output ends in the middle" in done.output
    assert CliRunner().invoke(app, ["read", str(whole(tmp_path))]).exit_code == 0


def whole(folder: Path) -> Path:
    """Write the configuration that was not cut, and return its file."""
    (folder / "whole.log").write_text(WHOLE)
    return folder / "whole.log"


def test_a_part_that_was_pasted_is_no_cut_configuration(tmp_path: Path) -> None:
    (tmp_path / "part.txt").write_text("hostname B-2\ninterface GigabitEthernet0/1\n switchport access vlan 10\n")
    assert "ends in the middle" not in CliRunner().invoke(app, ["read", str(tmp_path / "part.txt")]).output


def test_a_link_to_nothing_is_one_clear_error(tmp_path: Path) -> None:
    folder = site(tmp_path, {"b-2.log": WHOLE})
    (folder / "captures/as-found/b-1.log").symlink_to(tmp_path / "gone.log")
    done = CliRunner().invoke(app, ["audit", str(folder)])

    assert done.exit_code == 2
    assert "captures/as-found/b-1.log: is a link to nothing" in done.output


def test_a_line_of_which_several_things_are_unread_counts_once(tmp_path: Path) -> None:
    (tmp_path / "box.rsc").write_text("/interface bridge\nadd name=b vlan-filtering=yes aa=1 bb=2 cc=3 dd=4\n")
    output = CliRunner().invoke(app, ["read", str(tmp_path / "box.rsc")]).output

    assert "2 lines, 0 read, 1 passed over by name, 1 unread" in output
