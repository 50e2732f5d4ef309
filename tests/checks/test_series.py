"""Alarm diallers in series: both rows before, and what is left of them after; in the notation and in sheets."""

from __future__ import annotations

from pathlib import Path

import pytest

from vlancheck.checks import run
from vlancheck.findings.finding import Finding, Severity
from vlancheck.notation import parse
from vlancheck.notation.judged import case
from vlancheck.pipeline import open_site

BOX = "bridge sw1 exists=10\nport sw1:1 member=10\nrow PANEL-B:1 sw1:1\n"
IN = 'row BLOCK-T:3 RJ31X-1:in serves="fire alarm dialler"'
OUT = 'row RJ31X-1:out BLOCK-T:4 serves="fire alarm dialler"'


def after(before: list[str], now: list[str]) -> list[str]:
    """Return the headlines about diallers in a sheet that follows another."""
    texts = [BOX + "\n".join(rows) for rows in (now, before)]
    made = run(case(parse(texts[0]), parse(texts[1])))
    assert {one.code for one in made} <= {"W108"}
    for one in made:
        assert one.severity is Severity.WARNING
        assert "account on test" in one.why
        assert "local codes" in one.why
    return [one.headline for one in made]


def test_dialler_keeps_both_rows_or_is_told() -> None:
    assert after([IN, OUT], [OUT, IN]) == []
    assert after([IN, OUT], [IN])[0].endswith("and its line out has no row now")
    assert after([IN, OUT], [OUT])[0].endswith("and its line in has no row now")
    assert after([IN, OUT], [])[0].endswith("and its line in and its line out has no row now")


@pytest.mark.parametrize(
    ("before", "now"),
    [
        ([IN], []),
        ([IN.replace("RJ31X-1:in", "DIALLER:in"), OUT.replace("RJ31X-1:out", "DIALLER:out")], []),
        ([IN.replace(":in", ":1"), OUT.replace(":out", ":2")], []),
        ([IN, OUT], [IN.replace("BLOCK-T:3", "BLOCK-T:7"), OUT.replace("BLOCK-T:4", "BLOCK-T:8")]),
    ],
    ids=["one row only", "nothing says in series", "no way said", "both moved"],
)
def test_what_no_sheet_says_or_what_only_moved_is_quiet(before: list[str], now: list[str]) -> None:
    assert after(before, now) == []


def test_rows_that_name_no_box_are_known_by_what_they_serve() -> None:
    rows = [
        f'row BLOCK-T:{number} serves="burglar alarm, {way}" note=RJ-31X'
        for number, way in ((3, "line in"), (4, "line out"))
    ]
    assert after(rows, [rows[0]])[0].startswith("burglar alarm, line out was in series")
    assert after(rows, rows) == []


FOUND = """\
From,To,Kind,Serves
BLOCK-T:3,RJ31X-1:line in,analog,fire alarm dialler
RJ31X-1:line out,BLOCK-T:4,analog,fire alarm dialler
ACC-1:1,PANEL-B:1,cat6,PC
"""
SWITCH = """\
ACC-1#show running-config
version 15.2
hostname ACC-1
vtp mode transparent
vlan 10
interface GigabitEthernet1/0/1
 switchport mode access
 switchport access vlan 10
end
ACC-1#
"""


def verified(root: Path, left: str) -> list[Finding]:
    """Return the findings about diallers of a sheet that was left after the one that was found."""
    for survey in ("as-found", "as-left"):
        (root / "captures" / survey).mkdir(parents=True)
        (root / "captures" / survey / "ACC-1.txt").write_text(SWITCH, encoding="utf-8")
    (root / "patching").mkdir()
    (root / "patching" / "as-found.csv").write_text(FOUND, encoding="utf-8")
    (root / "patching" / "as-left.csv").write_text(left, encoding="utf-8")
    (root / "site.yaml").write_text("site: Tannery court\n", encoding="utf-8")
    return [one for one in open_site(root).verify("as-found", "as-left").findings if one.code == "W108"]


def test_sheet_that_lost_the_way_out(tmp_path: Path) -> None:
    (one,) = verified(tmp_path, FOUND.replace("RJ31X-1:line out,BLOCK-T:4,analog,fire alarm dialler\n", ""))
    assert [(where.origin.file, where.origin.line) for where in one.where] == [
        ("patching/as-left.csv", 2),
        ("patching/as-found.csv", 3),
    ]


def test_sheet_that_has_both(tmp_path: Path) -> None:
    assert verified(tmp_path, FOUND) == []
