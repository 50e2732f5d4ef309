"""Captures of the later survey that were not taken after the move: what they state, and what they then prove."""

from __future__ import annotations

from pathlib import Path

import pytest

from vlancheck.outcome import Report
from vlancheck.verdicts.verdict import State

from .closets import AFTER, BEFORE, DECLARED, PORTS, Closet, codes, sheet, switch

MORE = "interface GigabitEthernet0/23\n shutdown\n!\n"
TAKEN = "surveys:\n  as-found: {{taken: {}}}\n  as-left: {{taken: {}}}\n"


def states(report: Report) -> set[State]:
    """Return the states of all endings."""
    return {ending.state for verdict in report.verdicts for ending in verdict.endings}


STALE = [
    ("the very time", BEFORE, "2026-03-14 09:12:41 CET"),
    ("an earlier time", "09:12:40.999 CET Sat Mar 14 2026", "2026-03-14 09:12:40 CET"),
    ("the day before", "23:59:59.000 CET Fri Mar 13 2026", "2026-03-13 23:59:59 CET"),
]


@pytest.mark.parametrize(("_what", "clock", "says"), STALE, ids=[row[0] for row in STALE])
def test_a_capture_that_is_not_later_proves_nothing(tmp_path: Path, _what: str, clock: str, says: str) -> None:
    """Every ending that passes the box is unproven; both times stand in the finding, with the zone as written."""
    report = Closet(tmp_path, left={"acc-1.txt": switch(clock=clock, more=MORE)}).verified()

    assert (report.exit_code, codes(report)) == (3, ["C104"])
    assert states(report) == {State.UNPROVEN}
    headline = report.findings[0].headline
    assert f"says {says}" in headline
    assert "(2026-03-14 09:12:41 CET)" in headline
    assert "taken after the move" in report.findings[0].settled_by
    assert report.findings[0].where[0].origin.file == "captures/as-left/acc-1.txt"


def test_a_stale_capture_excuses_no_change(tmp_path: Path) -> None:
    """What an old capture shows is neither lost nor gained, and nothing is said to be carried."""
    ports = {**PORTS, 2: 20}
    report = Closet(tmp_path, left={"acc-1.txt": switch(ports=ports, clock=BEFORE)}).verified()

    assert report.exit_code == 3
    assert State.CARRIED not in states(report)
    assert report.comparison is not None
    assert report.comparison.causes == ()


def test_a_later_time_is_fresh_even_for_the_same_configuration(tmp_path: Path) -> None:
    """A box that nobody touched was captured again."""
    report = Closet(tmp_path, left={"acc-1.txt": switch(clock=AFTER)}).verified()

    assert (report.exit_code, codes(report)) == (0, [])
    assert states(report) == {State.CARRIED}
    assert not [note for note in report.notes if "captured" in note]


def test_the_same_bytes_without_a_time_prove_nothing(tmp_path: Path) -> None:
    """An old file in the new folder looks just like this."""
    report = Closet(tmp_path, found={"acc-1.txt": switch()}, left={"new-name.txt": switch()}).verified()

    assert (report.exit_code, codes(report)) == (3, ["C104"])
    assert states(report) == {State.UNPROVEN}
    assert "byte for byte" in report.findings[0].headline


def test_other_bytes_without_a_time_are_used_with_a_remark(tmp_path: Path) -> None:
    """Nobody knows when it was taken; it is another text, and is taken as of the rebuilt box."""
    report = Closet(tmp_path, found={"acc-1.txt": switch()}, left={"acc-1.txt": switch(more=MORE)}).verified()

    assert (report.exit_code, codes(report)) == (0, [])
    assert states(report) == {State.CARRIED}
    assert [note for note in report.notes if "no time says when ACC-1 was captured" in note]


@pytest.mark.parametrize(
    ("found", "left", "code"),
    [
        ("2026-03-14 09:00 CET", "2026-03-14 22:40 CET", 0),
        ("2026-03-14 22:40 CET", "2026-03-14 09:00 CET", 3),
        ("2026-03-14 22:40", "2026-03-14 22:40", 3),
    ],
)
def test_the_times_that_site_yaml_says_stand_for_missing_ones(tmp_path: Path, found: str, left: str, code: int) -> None:
    """`taken:` tells two texts apart that say no time, also where they are the same."""
    closet = Closet(tmp_path, DECLARED + TAKEN.format(found, left), {"acc-1.txt": switch()}, {"acc-1.txt": switch()})
    report = closet.verified()

    assert report.exit_code == code
    assert codes(report) == (["C104"] if code else [])


ZONES = [
    ("2026-03-14 09:00 UTC", "2026-03-14 09:30 +01:00", "not later"),
    ("2026-03-14 09:00 UTC", "2026-03-14 10:30 +01:00", ""),
    ("2026-03-14 23:30 +01:00", "2026-03-14 22:45 UTC", ""),
    ("2026-03-14 09:00 UTC", "2026-03-14 09:30 CET", "in another zone"),
    ("2026-03-14 09:30 CET", "2026-03-14 09:00 UTC", "in another zone"),
    ("2026-03-14 09:00 UTC", "2026-03-16 09:30 CET", ""),
    ("2026-03-16 09:00 UTC", "2026-03-14 09:30 CET", "not later"),
    ("2026-03-14 09:00", "2026-03-14 09:30 CET", ""),
]


@pytest.mark.parametrize(("found", "left", "says"), ZONES)
def test_zones_are_minded(tmp_path: Path, found: str, left: str, says: str) -> None:
    """Offsets from UTC are reckoned with; of other zones it is said that they leave it open, and nothing is proven."""
    closet = Closet(tmp_path, DECLARED + TAKEN.format(found, left), {"acc-1.txt": switch()}, {"acc-1.txt": switch()})
    report = closet.verified()

    assert codes(report) == (["C104"] if says else [])
    assert report.exit_code == (3 if says else 0)
    assert not says or says in report.findings[0].headline


def test_the_time_in_the_text_counts_more_than_the_one_declared(tmp_path: Path) -> None:
    """An old capture in a survey that is declared as new is still old."""
    declared = DECLARED + TAKEN.format("2026-03-14 09:00 CET", "2026-03-14 22:40 CET")
    report = Closet(tmp_path, declared, left={"acc-1.txt": switch(clock="08:00:00.000 CET Sat Mar 14 2026")}).verified()

    assert report.exit_code == 3
    assert codes(report) == ["C104"]


def test_only_what_passes_the_stale_box_is_unproven(tmp_path: Path) -> None:
    """The phones hang on another switch, whose capture is new."""
    rows = sheet(A04="ACC-2:4", A05="ACC-2:5")
    report = Closet(
        tmp_path,
        found={"acc-1.txt": switch(clock=BEFORE), "acc-2.txt": switch("ACC-2", clock=BEFORE)},
        left={"acc-1.txt": switch(clock=BEFORE), "acc-2.txt": switch("ACC-2", clock=AFTER)},
        patched=rows,
        repatched=rows,
    ).verified()

    assert report.exit_code == 3
    assert {one.order.name: one.state for one in report.vlans} == {"desks": State.UNPROVEN, "phones": State.CARRIED}
