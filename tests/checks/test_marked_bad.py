"""Things marked bad in one sheet and used in the next: which words count, which part is meant, what takes it back."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from vlancheck.checks import run
from vlancheck.findings.finding import Finding, Severity
from vlancheck.notation import parse
from vlancheck.notation.judged import case
from vlancheck.pipeline import open_site
from vlancheck.site.badmarks import CLEARED, MARKS, PARTS, marked_bad, part_meant

BOX = """
bridge sw1 exists=10
port sw1:1 member=10 pvid=10 untagged=10
port sw1:2 member=10 pvid=10 untagged=10
"""


def after(before: str, now: str) -> list[tuple[Severity, set[str]]]:
    """Return what is found about bad things in a sheet that follows another."""
    made = run(case(parse(BOX + now), parse(BOX + before)))
    assert {one.code for one in made} <= {"W107"}
    return [(one.severity, set(one.at)) for one in made]


@pytest.mark.parametrize("word", MARKS.split("|"))
def test_every_word_of_the_list_marks(word: str) -> None:
    assert marked_bad(f"port {word}, see log")
    assert marked_bad(word.upper())
    assert not marked_bad(f"x{word}x")
    assert not marked_bad(f"{word} for phones")


@pytest.mark.parametrize("word", CLEARED.split("|"))
def test_every_word_that_takes_it_back(word: str) -> None:
    assert not marked_bad(f"bad in March; {word}")


@pytest.mark.parametrize("note", ["", "badge reader", "good", "Broken Hill office", "not used"])
def test_other_notes_mark_nothing(note: str) -> None:
    assert marked_bad(note) is (note == "Broken Hill office"), "a name that is the word is taken for it"


def test_part_that_a_note_speaks_of() -> None:
    assert [part_meant(f"{word} bad") for word in ("cord", "outlet", "panel port", "switch port")] == list(PARTS)
    assert part_meant("bad") == part_meant("bad: cord or jack") == ""


def test_cord_row_that_names_the_part_is_about_it_alone() -> None:
    row = 'row PANEL-B:07 sw1:1 label=C-7 jack=2.07 note="{} bad"'
    then = {part: row.format(part) for part in ("cord", "jack", "panel", "switch port")}
    assert after(then["switch port"], "row PANEL-B:08 sw1:1 label=C-8") == [(Severity.WARNING, {"sw1:1"})]
    assert after(then["panel"], "row PANEL-B:7 sw1:2 label=C-8") == [(Severity.WARNING, {"PANEL-B:7"})]
    assert after(then["cord"], "row PANEL-B:09 sw1:2 label=c-7") == [(Severity.WARNING, {"c-7"})]
    assert after(then["jack"], "row PANEL-B:09 sw1:2 label=C-8 jack=2.07") == [(Severity.WARNING, {"2.07"})]
    assert after(then["cord"], "row PANEL-B:07 sw1:1 label=C-8") == []


def test_cord_row_that_names_no_part_is_a_question() -> None:
    then = "row PANEL-B:07 sw1:1 label=C-7 note=faulty"
    assert after(then, "row PANEL-B:07 sw1:2 label=C-8") == [(Severity.NOTE, {"PANEL-B:07"})]
    assert after(then, "row PANEL-B:08 sw1:2 label=C-8") == []


def test_what_is_not_used_or_was_mended_is_quiet() -> None:
    then = "row sw1:1 note=defective"
    assert after(then, "row PANEL-B:07 sw1:1") == [(Severity.WARNING, {"sw1:1"})]
    assert after(then, "row sw1:1") == []
    assert after(then, 'row PANEL-B:07 sw1:1 note="port replaced"') == []
    assert after('row sw1:1 note="defective, module replaced"', "row PANEL-B:07 sw1:1") == []


def test_mark_in_the_sheet_itself_counts_for_its_other_rows() -> None:
    made = run(case(parse(f"{BOX}row PANEL-B:07 sw1:1\nrow sw1:1 note=bad")))
    assert [one.code for one in made] == ["W107"]
    assert run(case(parse(f"{BOX}row PANEL-B:07 sw1:1 note=bad"))) == (), "a row that is as it was is what there is"


SWITCH = """\
ACC-1#show running-config
version 15.2
hostname ACC-1
vtp mode transparent
vlan 10
interface GigabitEthernet1/0/1
 switchport mode access
 switchport access vlan 10
interface GigabitEthernet1/0/2
 switchport mode access
 switchport access vlan 10
end
ACC-1#
"""
FOUND = """\
Panel port,Switch,Switch port,Cord,Note
PANEL-B:01,ACC-1,1,C-001,
PANEL-B:02,ACC-1,2,C-002,switch port 2 bad - do not use
"""
PLANNED = """\
Panel port,Switch,Switch port,Cord,Note
PANEL-B:01,ACC-1,2,C-101,
PANEL-B:02,ACC-1,1,C-102,
"""


def verified(root: Path, planned: str) -> tuple[Finding, ...]:
    """Return the findings of a plan after the survey as found."""
    (root / "captures" / "as-found").mkdir(parents=True)
    (root / "captures" / "as-found" / "ACC-1.txt").write_text(SWITCH, encoding="utf-8")
    (root / "patching").mkdir()
    (root / "patching" / "as-found.csv").write_text(FOUND, encoding="utf-8")
    (root / "patching" / "as-planned.csv").write_text(planned, encoding="utf-8")
    (root / "site.yaml").write_text(
        "site: Orchard clinic\nsurveys:\n  as-found: {}\n  as-planned: {captures: captures/as-found}\n",
        encoding="utf-8",
    )
    return open_site(root).verify("as-found", "as-planned").findings


def test_plan_that_uses_a_port_marked_bad_has_both_rows(tmp_path: Path) -> None:
    (one,) = [found for found in verified(tmp_path, PLANNED) if found.code == "W107"]
    assert (one.severity, one.at) == (Severity.WARNING, frozenset({"ACC-1:GigabitEthernet1/0/2"}))
    rows = [(where.origin.file, where.origin.line) for where in one.where]
    assert rows == [("patching/as-planned.csv", 2), ("patching/as-found.csv", 3)]
    assert re.search(r"C-101 uses it", one.headline)


def test_plan_that_leaves_it_alone_is_quiet(tmp_path: Path) -> None:
    spare = PLANNED.replace("PANEL-B:01,ACC-1,2,C-101,\n", "")
    assert "W107" not in {one.code for one in verified(tmp_path, spare)}
