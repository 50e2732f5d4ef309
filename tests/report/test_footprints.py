"""A port and a frame are chosen on the page, and what shows is the walk: tried in a browser, without any script."""

from __future__ import annotations

import json
import os
import re
import shlex
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from bench.tower import write_tower
from cli.running import run
from playwright.sync_api import Browser, Page
from worksheets.browser import needed, printed

from vlancheck import open_site
from vlancheck.example import write_site
from vlancheck.following import Followed, followed
from vlancheck.pipeline import Site
from vlancheck.report.footprint_sheet import sheet
from vlancheck.report.page import page

from .screens import PHONE, WIDE, chromium, opened, sideways, violations

SNAPSHOT = Path(__file__).parent / "sheets/phone-trunk.html"
JACK = "CORE-1:GigabitEthernet1/0/9"
HANDOFF = "SORT-1:GigabitEthernet0/1"

# What shows of the walks: each footprint of the list with what is said of it, and the numbers on the drawings.
SHOWN = """
() => {
  const seen = (one) => one.checkVisibility();
  const told = [];
  for (const row of [...document.querySelectorAll('.told > li')].filter(seen)) {
    const rows = row.querySelector('ul') ? [...row.querySelectorAll('ul > li')] : [row];
    for (const one of rows) {
      const marks = [...one.querySelectorAll('b')].filter((b) => b.nextElementSibling?.tagName === 'I');
      for (const mark of marks) {
        told.push([+mark.textContent, mark.nextElementSibling.textContent, row.innerText, one.innerText]);
      }
    }
  }
  const drawn = [...document.querySelectorAll('.sheet .print')].filter(seen);
  return {told, drawn: drawn.map((one) => [+one.textContent, one.getAttribute('class')])};
}
"""
# The pairs of things on the drawings that overlap, and footprints that lie in no box.
OVERLAPS = """
() => {
  const found = [];
  for (const drawing of [...document.querySelectorAll('.walk .sheet svg')].filter((one) => one.checkVisibility())) {
    const box = (one) => one.getBoundingClientRect();
    const drawn = [...drawing.querySelectorAll('.print, :not(.print) > text')];
    const things = drawn.map((one) => [one.textContent, box(one)]);
    const frames = [...drawing.querySelectorAll('.frame')].map(box);
    const cross = (a, b) => a.left + 0.5 < b.right && b.left + 0.5 < a.right && a.top + 0.5 < b.bottom
      && b.top + 0.5 < a.bottom;
    // Letters have less height than their line.
    const row = ([words, one]) => [words, {left: one.left, right: one.right, top: one.top + 2, bottom: one.bottom - 2}];
    const rows = things.map(row);
    rows.forEach(([words, one], number) => {
      for (const [other, two] of rows.slice(0, number)) if (cross(one, two)) found.push(words + ' / ' + other);
      if (!frames.some((f) => f.left <= one.left && one.right <= f.right && f.top <= one.top && one.bottom <= f.bottom))
        found.push(words + ' lies in no box');
    });
  }
  return found;
}
"""
SHAPES = {"sent": "sent", "enters": "in", "leaves": "out", "delivered": "delivered", "lost": "lost"}


@pytest.fixture(scope="module")
def text(site: Site) -> str:
    """The page of the site after its move, looked at alone."""
    return page(site.audit("as-left"), site.draw("as-left", inks=True), site.follow("as-left"))


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    with chromium() as found:
        yield found


def choose(screen: Page, port: str, frame: str) -> None:
    """Choose a port, and a frame at it."""
    screen.check(f"input[name=at][value='{port}']")
    screen.locator(f"input[value='{frame}']:visible").check()


def holds(shown: dict[str, Any], document: dict[str, Any]) -> None:
    """Assert that what shows is what `walk --json` states: every hop once, in words and on the drawings."""
    steps = {step["number"]: step for step in document["steps"]}
    assert [number for number, *_ in shown["told"]] == sorted(steps)
    assert {number for number, _ in shown["drawn"]} == {*steps}
    for number, comes, row, one in shown["told"]:
        step = steps[number]
        assert comes.strip() == (f"from {step['parent']}" if step["parent"] else "first")
        device, port = step["port"].split(":", 1)
        assert device in row, (number, row)
        assert port in one, (number, one)
        clauses = re.findall(r"as at (\d+)\)", row)
        if step["what"] not in ("sent", "delivered") or step["name"]:
            assert f"({step['rule']['clause']}" in row, (number, row)
            assert step["rule"]["says"] in row or any(
                steps[int(earlier)]["rule"] == step["rule"] for earlier in clauses
            ), (number, row)
        departed = step["what"] in ("lost", "in doubt") and steps[step["parent"]]["what"] == "enters"
        assert re.search(rf"(^|\s){'–' if departed else re.escape(step['frame'])}(\s|$)", row), (number, row)
        if step["what"] == "lost":
            assert "LOST" in row
        if step["what"] == "delivered":
            assert "DELIVERED" in row
        for origin in step["evidence"][:1]:
            assert origin["file"] in one or any(other["file"] in one for other in step["evidence"]), (number, one)
    for number, name in shown["drawn"]:
        step = steps[number]
        assert f"print {SHAPES.get(step['what'], 'open')}" in name
        assert ("maybe" in name) == (not step["certain"])


def json_of(capsys: pytest.CaptureFixture[str], *words: str | Path) -> dict[str, Any]:
    """Return what `walk --json` states."""
    capsys.readouterr()
    run("walk", *words, "--json")
    made: dict[str, Any] = json.loads(capsys.readouterr().out)
    return made


# ---- the page ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("port", "frame"),
    [
        (HANDOFF, "310"),
        (HANDOFF, "330"),
        (HANDOFF, "340"),
        (JACK, "untagged"),
        (JACK, "20"),
        ("ACC-2:FastEthernet0/8", "untagged"),
        ("RTR-1:GigabitEthernet0/0", "320"),
        ("PBX-1:trunk", "untagged"),
    ],
)
def test_what_is_chosen_shows_as_it_walks(
    text: str,
    folder: Path,
    browser: Browser,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    port: str,
    frame: str,
) -> None:
    """The visible footprints, in the order of their numbers, are the hops that `walk --json` states."""
    with opened(browser, text, tmp_path) as screen:
        choose(screen, port, frame)
        shown = screen.evaluate(SHOWN)
        overlapping = screen.evaluate(OVERLAPS)
    holds(shown, json_of(capsys, folder, port, frame, "--survey", "as-left"))
    assert overlapping == []


def test_the_first_walk_shows_before_anything_is_chosen(
    text: str, folder: Path, browser: Browser, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    with opened(browser, text, tmp_path) as screen:
        shown = screen.evaluate(SHOWN)
    holds(shown, json_of(capsys, folder, HANDOFF, "310", "--survey", "as-left"))


def test_beside_an_earlier_survey_the_page_trusts_what_verify_trusts(
    site: Site, folder: Path, browser: Browser, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A capture from before the move proves nothing, which `walk --before` says too."""
    found = site.follow("as-left", "as-found")
    assert [*found.distrusted] == ["AV-1"]
    text = page(site.verify(), site.draw("as-left", inks=True, before="as-found"), found)
    with opened(browser, text, tmp_path) as screen:
        assert "Nothing is proven at AV-1" in screen.inner_text("#follow")
        choose(screen, "ACC-2:FastEthernet0/1", "untagged")
        shown = screen.evaluate(SHOWN)
    alone = json_of(capsys, folder, "ACC-2:FastEthernet0/1", "untagged", "--survey", "as-left")
    beside = json_of(capsys, folder, "ACC-2:Fa0/1", "untagged", "--survey", "as-left", "--before", "as-found")
    holds(shown, beside)
    assert "in doubt" in {step["what"] for step in beside["steps"]}
    assert "in doubt" not in {step["what"] for step in alone["steps"]}


def test_a_keyboard_is_enough(text: str, browser: Browser, tmp_path: Path) -> None:
    """The tabulator comes to the ports and to the frames of the one that is chosen; arrows go through both."""
    with opened(browser, text, tmp_path) as screen:
        heading = screen.locator(".walk h3:visible")
        assert heading.all_inner_texts() == [f"A frame tagged 310 is sent at {HANDOFF}, service Catalogue line"]
        to(screen, "at")
        for _ in range(3):
            screen.keyboard.press("ArrowDown")
        assert screen.evaluate("document.activeElement.value") == "ACC-2:FastEthernet0/2"
        assert heading.all_inner_texts() == ["An untagged frame is sent at ACC-2:FastEthernet0/2, VLAN 10 data"]
        to(screen, screen.get_attribute(".port:visible input", "name") or "")
        screen.keyboard.press("ArrowRight")
        assert heading.all_inner_texts() == ["A frame tagged 20 is sent at ACC-2:FastEthernet0/2, VLAN 20 phones"]


def to(screen: Page, name: str) -> None:
    """Press the tabulator until a choice of that name has the focus."""
    for _ in range(80):
        screen.keyboard.press("Tab")
        if screen.evaluate("document.activeElement.name") == name:
            return
    pytest.fail(f"the tabulator does not come to {name}")


@pytest.mark.parametrize("night", [False, True], ids=["day", "night"])
@pytest.mark.parametrize("size", [WIDE, PHONE], ids=["wide", "phone"])
def test_everybody_can_use_it(
    text: str, site: Site, browser: Browser, tmp_path: Path, size: tuple[int, int], night: bool
) -> None:
    """Nothing that axe-core calls serious, and nothing to be scrolled sideways; so with a sheet of its own."""
    for one in (text, alone(site, JACK, "untagged")):
        with opened(browser, one, tmp_path, size, night=night) as screen:
            assert violations(screen) == []
            assert sideways(screen) == 0


def test_nothing_runs_and_every_name_is_there_once(text: str) -> None:
    ids = re.findall(r'\sid="([^"]+)"', text)
    assert len(ids) == len({*ids})
    assert "<script" not in text
    assert "@supports selector(:has(a))" in text
    assert {*re.findall(r"#((?:at|port|frame|walk)-[\d-]+)", text)} <= {*ids}


def test_words_of_a_site_are_no_markup(tmp_path: Path, browser: Browser) -> None:
    """What hangs at a jack and what a service is called is shown as it is written."""
    write_site(tmp_path / "site")
    words = "<b>x</b><img src=x onerror=alert(1)></style></svg>"
    for name, old in (("patching/as-left.csv", "phone 201 + PC lending desk"), ("site.yaml", "Catalogue line")):
        file = tmp_path / "site" / name
        text = file.read_text(encoding="utf-8")
        assert old in text
        file.write_text(text.replace(old, words if name.endswith("csv") else f'"{words}"'), encoding="utf-8")
    site = open_site(tmp_path / "site")
    made = page(site.audit("as-left"), None, site.follow("as-left"))
    made += alone(site, JACK, "untagged")
    assert words not in made
    with opened(browser, made, tmp_path) as screen:
        assert screen.locator("img, #follow b b").count() == 0
        assert screen.locator(".walk h3:visible").inner_text().endswith(f"service {words}")
        choose(screen, JACK, "untagged")
        assert words in screen.locator(".told small:visible").first.inner_text()


# ---- room ----------------------------------------------------------------------------------------------------------


def test_what_is_left_out_is_named_with_its_command(
    site: Site, folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """With room for little, each port of a box and VLAN comes before a second alike; each command makes its sheet."""
    survey = site.survey("as-left")
    whole, less = followed(site, survey, every=10**6), followed(site, survey, most=50, every=300)
    assert whole.left == ()
    assert 0 < sum(trail.walk.length for _, trail in less.trails) <= 300
    assert max(trail.walk.length for _, trail in less.trails) <= 50
    assert {(s.port, s.frame) for s, _ in whole.trails} == (
        {(s.port, s.frame) for s, _ in less.trails} | {(s.port, s.frame) for s in less.left}
    )
    text = page(site.audit("as-left"), None, less)
    assert f"{len(less.left)} walks more are left out" in text
    (named,) = re.findall(r'<details class="left">.*?<pre>(.*?)</pre>', text, re.S)
    commands = [line.removeprefix("vlancheck ") for line in named.splitlines()]
    assert len(commands) == len(less.left)
    monkeypatch.chdir(tmp_path)
    for number in (0, len(commands) // 2, -1):
        words = shlex.split(commands[number])
        assert run(*(str(folder) if word == "SITE" else word for word in words)) in (0, 3)
        assert f"is sent at {less.left[number].port}" in (tmp_path / "walk.html").read_text(encoding="utf-8")
        (tmp_path / "walk.html").unlink()


def test_the_page_stays_small(site: Site, tmp_path: Path) -> None:
    """Less than 1.5 MB; a building of 41 switches, whose floods are too long, gets little longer by its walks."""
    drawing, walks = site.draw("as-left", inks=True, before="as-found"), site.follow("as-left", "as-found")
    assert 900_000 < len(page(site.verify(mends=True), drawing, walks).encode()) < 1_500_000
    tower = open_site(write_tower(tmp_path / "tower"))
    found, report = tower.follow("as-left"), tower.audit("as-left")
    assert [trail.walk.length for _, trail in found.trails] == [44, 44]
    made = page(report, None, found)
    assert f"{len(found.left)} walks more are left out" in made
    assert f"and {len(found.left) - 40} more, each with its own port and frame" in made
    assert len(made.encode()) - len(page(report).encode()) < 100_000


def test_a_site_without_anything_to_send_has_no_walks(site: Site) -> None:
    empty = Followed("as-left", "", (), (), {})
    assert 'class="follow"' not in page(site.audit("as-left"), None, empty)


# ---- paper ---------------------------------------------------------------------------------------------------------


def alone(site: Site, port: str, frame: str) -> str:
    """Return the sheet of one walk."""
    survey = site.survey("as-left")
    return sheet(site.trace(survey, survey.walk(port, frame)), site.name, "as-left")


def test_the_chosen_walk_alone_is_printed(text: str, tmp_path: Path) -> None:
    """Its drawing and its list, at a size that can be read; not the choice, and no other walk."""
    needed()
    chosen = text.replace(' checked="checked"', "")
    for value in (HANDOFF, "330"):
        chosen = re.sub(rf'(<input [^>]*value="{value}")', r'\1 checked="checked"', chosen)
    (section,) = re.findall(r'<section id="follow">.*?</section>', chosen, re.S)
    head = chosen[: chosen.index("<body>")]
    pages = printed(f"{head}<body><main>{section}</main></body></html>", tmp_path)
    words = [word for one in pages for word in one.words]
    said = " ".join(word.text for word in words)
    assert f"A frame tagged 330 is sent at {HANDOFF}, service Phone trunk" in said
    assert "The port where it is sent" not in said
    assert said.count("is sent at") == 1
    assert len(pages) <= 2
    assert {"PBX-1", "Gi1/0/5", "330", "(802.1Q"} <= {word.text for word in words}
    assert min(word.bottom - word.top for word in words) >= 9


def test_a_sheet_is_printed_on_paper_of_both_sizes(site: Site, tmp_path: Path) -> None:
    """A flood of 112 footprints: nothing is too small, nothing leaves the paper, and each number is there."""
    needed()
    for size in ("A4", "letter"):
        text = alone(site, JACK, "untagged").replace("@page {", f"@page {{ size: {size};", 1)
        pages = printed(text, tmp_path)
        words = [word for one in pages for word in one.words]
        assert min(word.bottom - word.top for word in words) >= 9
        assert all(
            word.left > 20 and word.right < one.width - 20 and word.bottom < one.height - 20
            for one in pages
            for word in one.words
        )
        assert {str(number) for number in range(1, 113)} <= {word.text for word in words}
        assert len(pages) <= 9


@pytest.mark.parametrize(("port", "code"), [(JACK, 0), ("ONU-1:metro", 3)])
def test_a_sheet_is_what_the_walk_states(
    site: Site,
    folder: Path,
    browser: Browser,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    port: str,
    code: int,
) -> None:
    """So do the copies of which nothing decides what becomes of them, and those that go round."""
    file = tmp_path / "walk.html"
    assert run("walk", folder, port, "untagged", "--survey", "as-left", "-o", file) == code
    assert capsys.readouterr().out == ""
    text = file.read_text(encoding="utf-8")
    assert text == alone(site, port, "untagged")
    with opened(browser, text, tmp_path) as screen:
        shown = screen.evaluate(SHOWN)
        overlapping = screen.evaluate(OVERLAPS)
        said = screen.inner_text("main")
    document = json_of(capsys, folder, port, "untagged", "--survey", "as-left")
    holds(shown, document)
    assert overlapping == []
    assert (code == 3) == bool(document["unproven"])
    for one in document["unproven"]:
        assert f"{one['port']}, {one['frame']}: unproven, since {one['reason']}. Settled by: " in said
    assert said.count("loop: VLAN 10 goes round by ") == len(document["loops"])
    assert (code == 0) == bool(document["loops"])


def test_the_same_walk_makes_the_same_bytes(folder: Path) -> None:
    """Read anew, the page and the sheet are the same."""
    made = []
    for _ in range(2):
        site = open_site(folder)
        made.append((page(site.audit("as-left"), None, site.follow("as-left")), alone(site, HANDOFF, "330")))
    assert made[0] == made[1]


def test_a_sheet_is_as_it_was_last_looked_at(site: Site) -> None:
    """All but its styles.

    After a change that is meant: `VLANCHECK_WRITE_SNAPSHOTS=1 pytest tests/report/test_footprints.py`.
    """
    text = alone(site, HANDOFF, "330")
    text = text[text.index("<body>") :]
    if os.environ.get("VLANCHECK_WRITE_SNAPSHOTS") == "1":
        SNAPSHOT.parent.mkdir(exist_ok=True)
        SNAPSHOT.write_text(text, encoding="utf-8")
    assert text == SNAPSHOT.read_text(encoding="utf-8")
