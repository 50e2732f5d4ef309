"""Pages opened in a Chromium: on a screen of a size, by day or by night, or as they would be printed."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page, sync_playwright
from worksheets.browser import needed

WIDE, PHONE = (1280, 900), (375, 812)  # pixels: a laptop, a phone
GRAVE = ("serious", "critical")  # what of axe-core's violations counts
_QUIET = ("--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage", "--disable-background-networking")


@contextmanager
def chromium() -> Iterator[Browser]:
    """Give a browser; skip the test, or fail it where that is asked for, when there is none."""
    needed()
    with sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path=shutil.which("chromium"), args=[*_QUIET])
        try:
            yield browser
        finally:
            browser.close()


@contextmanager
def opened(
    browser: Browser, page: str, folder: Path, size: tuple[int, int] = WIDE, *, night: bool = False, paper: bool = False
) -> Iterator[Page]:
    """Open the text of a page."""
    source = folder / "page.html"
    source.write_text(page, encoding="utf-8")
    screen = browser.new_page(viewport={"width": size[0], "height": size[1]}, color_scheme="dark" if night else "light")
    if paper:
        screen.emulate_media(media="print")
    screen.goto(source.as_uri())
    try:
        yield screen
    finally:
        screen.close()


def violations(screen: Page) -> list[str]:
    """Return what axe-core holds against a page and calls serious or critical, an element a line."""
    found = Axe().run(screen).response
    assert found["passes"], "it looked at nothing"
    return [
        f"{one['impact']} {one['id']}: {one['help']}: {node['html'][:200]}"
        for one in found["violations"]
        if one["impact"] in GRAVE
        for node in one["nodes"]
    ]


def sideways(screen: Page) -> int:
    """Return how many pixels of a page lie beyond its right edge."""
    return int(screen.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth"))


def shown(screen: Page, selector: str) -> list[bool]:
    """Return of every element that is named whether it is drawn at all."""
    return [element.is_visible() for element in screen.query_selector_all(selector)]
