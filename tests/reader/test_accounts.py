"""Every line of a file is in one of the sums of its account."""

from __future__ import annotations

import hashlib
from pathlib import Path

import pytest

from vlancheck import capture, reader
from vlancheck.pipeline import open_site

TEXT = """\
SW-1#show clock
22:40:05.123 UTC Sat Mar 14 2026
SW-1#show running-config
hostname SW-1
!
interface GigabitEthernet0/1
 description desk
 switchport mode access
 switchport access vlan 20
 switchport vlan frobnicate 20
!
end
SW-1#show dreams
of electric sheep
SW-1#
"""


def accounts(folder: Path, text: str = TEXT) -> tuple[reader.Account, ...]:
    (folder / "sw-1.log").write_text(text, encoding="utf-8")
    return reader.read(capture.load([folder], root=folder)).accounts


def test_every_line_is_in_one_sum(tmp_path: Path) -> None:
    """Prompts apart: those are nobody's output."""
    (one,) = accounts(tmp_path)
    lines = [line for line in TEXT.splitlines() if line.strip() and not line.startswith("SW-1#")]
    assert one.read + one.passed_over + one.unread + one.aside == len(lines)
    assert one.unread == 1
    assert one.aside == 2  # the clock, and the dream
    assert (one.file, one.devices) == ("sw-1.log", ("SW-1",))
    assert one.taken.startswith("2026-03-14 22:40:05")


def test_the_digest_is_of_the_bytes(tmp_path: Path) -> None:
    (one,) = accounts(tmp_path)
    assert one.digest == hashlib.sha256((tmp_path / "sw-1.log").read_bytes()).hexdigest()


def test_a_file_that_nothing_reads_is_all_aside(tmp_path: Path) -> None:
    (one,) = accounts(tmp_path, "nothing that\nanybody reads\n")
    assert (one.devices, one.read, one.passed_over, one.unread, one.aside) == ((), 0, 0, 0, 2)


@pytest.mark.parametrize("survey", ["as-found", "as-planned"])
def test_lines_to_be_pasted_are_a_file_of_the_plan(tmp_path: Path, survey: str) -> None:
    """The captures of both surveys are the same files, and are named once with both."""
    (tmp_path / "captures/as-found").mkdir(parents=True)
    (tmp_path / "captures/as-found/sw-1.log").write_text(TEXT, encoding="utf-8")
    (tmp_path / "edits").mkdir()
    (tmp_path / "edits/SW-1.txt").write_text("interface GigabitEthernet0/1\n switchport access vlan 30\n", "utf-8")
    (tmp_path / "site.yaml").write_text(
        "surveys:\n  as-found:\n  as-planned: {captures: captures/as-found, edits: edits}\n", encoding="utf-8"
    )
    site = open_site(tmp_path)
    files = {one.file: (one.survey, one.sort.value) for one in site.audit(survey).files}
    pasted = {"edits/SW-1.txt": (survey, "lines to be pasted")} if survey == "as-planned" else {}
    declared = {"site.yaml": ("", "declaration")}
    assert files == {**declared, "captures/as-found/sw-1.log": (survey, "capture"), **pasted}
    both = {one.file: one.survey for one in site.verify("as-found", "as-planned").files}
    assert both["captures/as-found/sw-1.log"] == "as-found, as-planned"
    assert both["edits/SW-1.txt"] == "as-planned"
