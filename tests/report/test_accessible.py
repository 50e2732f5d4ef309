"""Every page can be used by everybody: axe-core finds nothing serious, a keyboard is enough, a phone is wide enough."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser
from worksheets.nights import example_book

from vlancheck import open_site
from vlancheck.example import write_site
from vlancheck.report import drill_paper
from vlancheck.report.page import page
from vlancheck.report.worksheets_html import html_page
from vlancheck.teach.drill import run
from vlancheck.teach.ground import closets

from .screens import PHONE, WIDE, chromium, opened, shown, sideways, violations
from .sites import hostile_report

HOSTILE = "</code><script>alert(1)</script><img src=x>" + "long" * 40
SEED, COUNT = 4, 6  # of the exercises on the sheet


@pytest.fixture(scope="module")
def pages(tmp_path_factory: pytest.TempPathFactory) -> dict[str, str]:
    """Every page that the program writes, of the built-in site."""
    folder = tmp_path_factory.mktemp("site")
    write_site(folder)
    site = open_site(folder)
    return {
        "verify": page(site.verify(mends=True), site.draw("as-left", inks=True, before="as-found")),
        "audit": page(site.audit("as-found"), site.draw("as-found", inks=True)),
        "hostile": page(hostile_report(HOSTILE)),
        "worksheets": html_page(example_book()),
        "drill": drill_paper.page(run(closets(), SEED, COUNT), SEED, "a4"),
    }


NAMES = ("verify", "audit", "hostile", "worksheets", "drill")


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    with chromium() as found:
        yield found


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("night", [False, True], ids=["day", "night"])
@pytest.mark.parametrize("size", [WIDE, PHONE], ids=["wide", "phone"])
def test_axe_finds_nothing_serious(
    pages: dict[str, str], browser: Browser, tmp_path: Path, name: str, size: tuple[int, int], night: bool
) -> None:
    """Rules of axe-core for WCAG 2.2 and good practice, on both sizes of screen, by day and by night."""
    with opened(browser, pages[name], tmp_path, size, night=night) as screen:
        assert violations(screen) == []


@pytest.mark.parametrize("name", NAMES)
def test_axe_finds_nothing_serious_on_paper(pages: dict[str, str], browser: Browser, tmp_path: Path, name: str) -> None:
    with opened(browser, pages[name], tmp_path, paper=True) as screen:
        assert violations(screen) == []


def test_axe_would_find_what_is_serious(pages: dict[str, str], browser: Browser, tmp_path: Path) -> None:
    """A page without its language, with a field that has no name and with grey on grey has three faults."""
    spoilt = pages["verify"].replace('<html lang="en">', "<html>")
    spoilt = spoilt.replace("</main>", '<input type="text" /><p style="color:#999;background:#aaa">grey</p></main>')
    with opened(browser, spoilt, tmp_path) as screen:
        found = {line.split()[1].rstrip(":") for line in violations(screen)}
    assert found == {"html-has-lang", "label", "color-contrast"}


@pytest.mark.parametrize("name", NAMES)
def test_a_phone_is_wide_enough(pages: dict[str, str], browser: Browser, tmp_path: Path, name: str) -> None:
    with opened(browser, pages[name], tmp_path, PHONE) as screen:
        assert sideways(screen) == 0


@pytest.mark.parametrize("size", [WIDE, PHONE], ids=["wide", "phone"])
def test_the_five_questions_are_answered_on_the_first_screen(
    pages: dict[str, str], browser: Browser, tmp_path: Path, size: tuple[int, int]
) -> None:
    """All five answers end above the lower edge of the screen, nothing having been scrolled."""
    with opened(browser, pages["verify"], tmp_path, size) as screen:
        boxes = [one.bounding_box() for one in screen.query_selector_all(".answers article")]
    assert len(boxes) == 5
    assert all(box is not None and box["y"] + box["height"] <= size[1] for box in boxes)


def test_a_phone_says_how_much_it_does_not_show(pages: dict[str, str], browser: Browser, tmp_path: Path) -> None:
    """The first place of each answer is shown, and the count of the others beside it."""
    with opened(browser, pages["verify"], tmp_path, PHONE) as screen:
        told = screen.locator(".answers article").nth(1).inner_text()
    assert "Internet (320)" in told
    assert told.rstrip().endswith("and 3 more")
    assert "Phone trunk" not in told


def test_a_keyboard_is_enough(pages: dict[str, str], browser: Browser, tmp_path: Path) -> None:
    """The tabulator comes to the choice of an ink, arrows go through it, and the drawing follows."""
    with opened(browser, pages["verify"], tmp_path) as screen:
        for _ in range(60):
            screen.keyboard.press("Tab")
            if screen.evaluate("document.activeElement.name") == "ink":
                break
        chosen = []
        for _ in range(3):
            screen.keyboard.press("ArrowDown")
            chosen.append(screen.evaluate("document.activeElement.checked && document.activeElement.value"))
        inked = screen.evaluate(
            "[...document.querySelectorAll('.line path')].some((p) => getComputedStyle(p).strokeWidth === '2.6px')"
        )
    assert len(set(chosen)) == 3
    assert all(chosen)
    assert inked


def test_paper_has_its_own_style(pages: dict[str, str], browser: Browser, tmp_path: Path) -> None:
    """What only a screen can use is not printed, and what only paper needs is."""
    with opened(browser, pages["verify"], tmp_path) as screen:
        assert shown(screen, "nav") == [True]
        assert shown(screen, ".on-paper") == [False]
    with opened(browser, pages["verify"], tmp_path, paper=True) as screen:
        assert shown(screen, "nav") == [False]
        assert shown(screen, ".on-paper") == [True]


def test_ticks_survive_a_reload(pages: dict[str, str], browser: Browser, tmp_path: Path) -> None:
    """A row that is ticked by hand is ticked after the page was loaded again, with the name of who did it."""
    with opened(browser, pages["worksheets"], tmp_path) as screen:
        screen.fill("#who", "Lee")
        box = screen.locator("input[type=checkbox]").first
        box.check()
        screen.reload()
        assert screen.locator("input[type=checkbox]").first.is_checked()
        assert screen.input_value("#who") == "Lee"
        assert screen.locator("input[type=checkbox]:checked").count() == 1
