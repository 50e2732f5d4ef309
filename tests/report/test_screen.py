"""One screen of a terminal: whole as it was last looked at, never too large, and nothing lost uncounted.

After a change that is meant: `VLANCHECK_WRITE_SNAPSHOTS=1 pytest tests/report/test_screen.py`, then review what git
shows as changed.
"""

from __future__ import annotations

import os
import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from vlancheck.example import write_site
from vlancheck.findings.finding import Severity
from vlancheck.moves.progress import NotYet
from vlancheck.outcome import Report
from vlancheck.pipeline import open_site
from vlancheck.report.cells import cells
from vlancheck.report.markup import one_line
from vlancheck.report.screen import text
from vlancheck.report.wording import SIGNS
from vlancheck.verdicts.verdict import State

from .sites import EVERY_STATE, hostile_report, report, reports
from .test_snapshots import BEFORE

SCREENS = Path(__file__).parent / "screens"
GUTTER = 13
WORDS = "|".join(state.value for state in State)
ROW = re.compile(rf"^([-x#!?+]) ({WORDS})\s")
HIDDEN = re.compile(rf"(\d+) ({WORDS})")
FOUND = re.compile(r"^(error|warning|note) [A-Z]\d+\s")
TOWER = 40  # services of one that has more than fit


@cache
def tower() -> Report:
    """Return the report on one switch with many services, every third of them dropped, every fourth carried alone."""
    tags = [100 + number for number in range(TOWER)]
    lines = ["bridge SORT-1 exists=100-139", "port SORT-1:100 member=100-139", "handoff SORT-1:100"]
    for number, tag in enumerate(tags, 1):
        vid = tag if number % 3 else 999
        lines.append(f"port SORT-1:{number} pvid={vid} member={vid} untagged={vid}")
        lines.append(f'service "circuit {number}" {tag} at SORT-1:100 -> SORT-1:{number} untagged')
    return report("\n".join(lines), site="a tower")


@pytest.fixture(scope="module")
def closets(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Report]:
    """Return reports by name: the built-in closet in three states, and three texts."""
    folder = tmp_path_factory.mktemp("closet")
    write_site(folder)
    site = open_site(folder)
    made = {"found": site.audit(), "planned": site.verify(after="as-planned"), "left": site.verify()}
    only = site.verify(after="as-planned", only=["PANEL-A"])
    after = BEFORE.replace("port ACC-1:1 member=20,310,320", "port ACC-1:1 member=20,310")
    made |= {"panel": only, "ferry": report(after, BEFORE, site="Ferry office, rear closet")}
    return made | {"tower": tower(), "every-state": report(EVERY_STATE)}


@pytest.mark.parametrize("columns", [80, 120])
@pytest.mark.parametrize("name", ["found", "planned", "panel", "left", "ferry", "tower", "every-state"])
def test_a_screen_is_as_it_was_last_looked_at(closets: dict[str, Report], name: str, columns: int) -> None:
    file = SCREENS / f"{name}-{columns}.txt"
    shown = text(closets[name], ".", "vlancheck verify .", columns) + "\n"
    if os.environ.get("VLANCHECK_WRITE_SNAPSHOTS") == "1":
        file.parent.mkdir(exist_ok=True)
        file.write_text(shown, encoding="utf-8")
    assert shown == file.read_text(encoding="utf-8")


def test_no_screen_is_left_over(closets: dict[str, Report]) -> None:
    assert {path.name for path in SCREENS.iterdir()} == {
        f"{name}-{width}.txt" for name in closets for width in (80, 120)
    }


# ---- what always holds -------------------------------------------------------------------------------------------


def faults(made: Report, columns: int, rows: int) -> Iterator[str]:
    """Yield what is wrong with the screen of a report."""
    return faults_of(text(made, "a site", "vlancheck audit 'a site'", columns, rows).splitlines(), made, columns, rows)


def faults_of(lines: list[str], made: Report, columns: int, rows: int) -> Iterator[str]:
    """Yield what is wrong with lines that are to be the screen of a report."""
    if len(lines) >= rows:
        yield f"{len(lines)} lines on {rows} rows"
    yield from (f"too wide: {line}" for line in lines if cells(line) > columns)
    yield from (f"hidden characters: {line!r}" for line in lines if one_line(line) != " ".join(line.split()))
    more = " ".join("\n".join(lines).partition("\nmore ")[2].partition("\nnext ")[0].split())
    hidden = Counter({State(word): int(count) for count, word in HIDDEN.findall(more.partition(" of what is")[0])})
    rows_of = Counter(State(found[2]) for line in lines if (found := ROW.match(line)))
    bad = Counter(one.state for one in made.verdicts if one.state is not State.CARRIED)
    carried = sum(one.state is State.CARRIED for one in made.verdicts)
    if more.count(" of what is declared") == 0:
        hidden.clear()
    for state in State:
        if state is not State.CARRIED and rows_of[state] + hidden[state] != bad[state]:
            yield f"{state}: {rows_of[state]} shown, {hidden[state]} counted, {bad[state]} there"
    if bool(carried) != bool(rows_of[State.CARRIED]):
        yield f"{carried} carried, {rows_of[State.CARRIED]} rows of them"
    found = [line for line in lines if FOUND.match(line)]
    left = re.search(r"(\d+) findings?\b", more)
    if len(found) + (int(left[1]) if left else 0) != len(made.counted):
        yield f"{len(found)} findings shown, {left and left[1]} counted, {len(made.counted)} there"
    if made.counted and not found:
        yield "the worst finding is not shown"
    if made.counted and found and not found[0].startswith(f"{made.counted[0].severity.value} {made.counted[0].code}"):
        yield f"the first finding is not the worst: {found[0]}"
    last = max(number for number, line in enumerate(lines) if not line.startswith(" " * GUTTER))
    if not lines[last].startswith("next  "):
        yield f"the last line is {lines[last]}"


@pytest.mark.parametrize("columns", [40, 59, 80, 120, 300])
def test_every_report_fits(columns: int) -> None:
    """The examples of all checks, loops, leaks, and more orders than rows; a terminal of 24 rows, and less of it."""
    several = [*reports(), ("tower", tower())]
    wrong = [(name, one) for name, made in several for rows in (24, 20) for one in faults(made, columns, rows)]
    assert wrong == []


@pytest.mark.parametrize("rows", [14, 20, 24])
def test_more_rows_show_more(rows: int) -> None:
    few, more = (text(tower(), ".", "vlancheck audit .", 80, one).splitlines() for one in (rows, rows + 8))
    assert len(few) < rows
    assert len(few) < len(more) <= rows + 7


NAMES = st.text(st.characters(exclude_categories=["Cs"], exclude_characters='"\\\r\n'), min_size=1, max_size=60).filter(
    str.strip
)


@st.composite
def sites(draw: st.DrawFn) -> str:
    """Return a small site: switches in a row, and services that may be lost, retagged, leaked or in doubt."""
    boxes, orders = draw(st.integers(1, 3)), draw(st.integers(0, 30))
    tags = f"exists=100-{100 + orders},999"
    lines = []
    for box in range(boxes):
        missing = draw(st.sampled_from(["", "", "100", "101-103"]))
        members = f"103-{100 + orders}" if missing and orders > 3 else f"100-{100 + orders}"
        lines += [
            f"bridge SW-{box} {tags}",
            f"port SW-{box}:up member={members}",
            f"port SW-{box}:down member={members}",
        ]
        if box:
            lines.append(f"link SW-{box - 1}:down SW-{box}:up")
    lines.append("handoff SW-0:up")
    for number in range(orders):
        tag, end = 100 + number, draw(st.integers(0, boxes - 1))
        vid = draw(st.sampled_from([tag, tag, tag, 999]))
        kept = draw(st.sampled_from([f"untagged={vid}", f"untagged={vid}", ""]))
        doubt = draw(st.sampled_from(["", "", "", "doubt=yes "]))
        port = f'"SW-{end}:port {number}"' if draw(st.booleans()) else f"SW-{end}:GigabitEthernet1/0/{number}"
        lines.append(f"port {port} {doubt}pvid={vid} member={vid} {kept}".rstrip())
        if draw(st.integers(0, 5)) == 0:
            lines.append(f"port SW-{end}:9{number} pvid={tag} member={tag} untagged={tag}")
        name = draw(st.just(f"circuit {number}") | NAMES)
        lines.append(f'service "{one_line(name) or number} {number}" {tag} at SW-0:up -> {port} untagged')
    return "\n".join(lines)


@settings(max_examples=60, deadline=None)
@given(sites(), st.integers(40, 130), st.integers(24, 40), st.integers(0, 40))
def test_of_a_random_site_nothing_is_lost_uncounted(site: str, columns: int, rows: int, waiting: int) -> None:
    """Each order that is not carried is a row or counted, the worst finding is told, and no line is too wide."""
    made = report(site, site="a site of any name")
    made = replace(made, not_yet=tuple(NotYet(f"PANEL-A:{number}", "", "not ticked") for number in range(waiting)))
    assert list(faults(made, columns, rows)) == []


@pytest.mark.parametrize("words", ["\x1b[31mred", "\u202eright to left", "机柜" * 40, "a" * 300, "<b>", ""])
def test_texts_of_a_user_change_no_screen(words: str) -> None:
    made = hostile_report(words or "plain")
    assert list(faults(made, 80, 24)) == []


def test_a_fault_of_a_screen_is_noticed() -> None:
    """The comparison can fail: orders that are there and not shown, a width and a height that are not kept."""
    made = tower()
    lines = text(made, ".", "vlancheck audit .").splitlines()
    assert list(faults_of(lines, made, 80, 24)) == []
    assert any("lines on 23 rows" in one for one in faults_of(lines, made, 80, 23))
    assert any("too wide" in one for one in faults_of(lines, made, 70, 24))
    for what, said in (
        ("x dropped ", "dropped: 12 shown"),
        ("+ carried ", "27 carried, 0 rows"),
        ("error ", "0 findings"),
    ):
        gone = next(line for line in lines if line.startswith(what))
        assert any(said in one for one in faults_of([one for one in lines if one != gone], made, 80, 24)), what
    assert any("the last line" in one for one in faults_of(lines[:-2], made, 80, 24))


# ---- single things -----------------------------------------------------------------------------------------------


def test_colour_adds_nothing_but_colour(closets: dict[str, Report]) -> None:
    for made in closets.values():
        plain, painted = text(made, ".", "again"), text(made, ".", "again", colour=True)
        assert re.sub(r"\x1b\[[0-9;]*m", "", painted) == plain
        assert all(f"{SIGNS[one.state]} {one.state.value}" in plain for one in made.verdicts[:1])


def test_what_is_carried_alike_is_one_row() -> None:
    """Three of one way, one of another."""
    text_of = "bridge A exists=10-13\nport A:9 member=10-13\nport A:8 member=10-13\n"
    text_of += "bridge B exists=10-13\nport B:9 member=10-13\nlink A:8 B:9\nhandoff A:9\n"
    for number in range(4):
        box = "B" if number < 3 else "A"
        text_of += f"port {box}:{number} pvid=1{number} member=1{number} untagged=1{number}\n"
        text_of += f"service line{number} 1{number} at A:9 -> {box}:{number} untagged\n"
    shown = text(report(text_of), ".", "again").splitlines()
    assert [line for line in shown if line.startswith("+ ")] == [
        "+ carried    line0 (10), line1 (11), line2 (12): A > B",
        "+ carried    line3 (13)  A",
    ]


def test_the_command_is_shown_where_it_fits_and_else_the_option(closets: dict[str, Report]) -> None:
    short, long = (
        text(closets["left"], ".", again) for again in ("vlancheck verify .", f"vlancheck verify {'x' * 60}")
    )
    assert "moved cords: vlancheck verify . --full\n" in short
    assert "moved cords: add --full\n" in long


def test_both_ends_of_a_finding_are_there(closets: dict[str, Report]) -> None:
    """The place to type at first, then the other one, by line alone where it is in the same file."""
    shown = text(closets["left"], ".", "again", 120, 60)
    assert "first captures/as-left/core-1.log:42, then captures/as-left/sort-1.log:50; 2 effects" in shown
    assert "first captures/as-left/acc-9.log:87, then line 81; 6 effects" in shown
    assert sum(one.severity is Severity.ERROR for one in closets["left"].counted) == shown.count("\nerror ")
