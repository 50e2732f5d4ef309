"""A drawing in pieces on paper: nothing of it is lost, nothing cut through, nothing made smaller."""

from __future__ import annotations

import subprocess
from collections.abc import Iterator
from pathlib import Path

import pytest
from drawing.closets import closet
from playwright.sync_api import Browser

from vlancheck.drawing.placing import HEAD, ROW, Frame, lay_out
from vlancheck.example import write_site
from vlancheck.picturing import Drawing
from vlancheck.pipeline import open_site
from vlancheck.report.page import page
from vlancheck.report.tiles import HIGH, WIDE, Tile, tiles

from .screens import chromium, opened

PAPERS = {"A4": (595, 842), "Letter": (612, 792)}  # points
EDGE = 30  # points that stay white: 12 mm are 34


def has(tile: Tile, frame: Frame, top: float, low: float) -> bool:
    """Return whether a part of a box lies wholly in a piece."""
    across = tile.x <= frame.x and frame.x + frame.width <= tile.x + tile.width
    return across and tile.y <= top and low <= tile.y + tile.height


@pytest.mark.parametrize("seed", range(60))
def test_every_row_is_whole_on_one_of_the_pieces(seed: int) -> None:
    """Of any closet of up to 60 boxes: pieces fit, every heading and row is whole on one, and every box that is low."""
    picture = closet(seed)
    (layout,) = lay_out(picture, picture)
    found = tiles(layout)
    assert all(tile.width <= WIDE + 0.01 and tile.height <= HIGH + 0.01 for tile in found)
    for frame in layout.frames:
        whole = [tile for tile in found if has(tile, frame, frame.y, frame.y + frame.height)]
        assert whole or frame.height + 12 > HIGH / 3, frame.title
        parts = [(frame.y, frame.y + HEAD), *((row.y - ROW / 2, row.y + ROW / 2) for row in frame.rows)]
        for top, low in parts:
            assert any(has(tile, frame, top, low) for tile in found), (frame.title, top)
    assert len(found) <= 4 * max(1, layout.width * layout.height / (WIDE * HIGH)), "paper is not wasted"


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    with chromium() as found:
        yield found


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> tuple[str, Drawing]:
    folder = tmp_path_factory.mktemp("site")
    write_site(folder)
    opened_site = open_site(folder)
    drawing = opened_site.draw("as-left", inks=True, before="as-found")
    return page(opened_site.verify(), drawing), drawing


@pytest.mark.parametrize("paper", PAPERS)
def test_the_pieces_are_printed_with_what_was_chosen(
    site: tuple[str, Drawing], browser: Browser, tmp_path: Path, paper: str
) -> None:
    """Every port of the closet and the words of the chosen service are on paper, at full size, within its edges."""
    text, drawing = site
    made = tmp_path / "page.pdf"
    with opened(browser, text, tmp_path) as screen:
        screen.check("#ink-service-phone-trunk")
        screen.pdf(path=made, format=paper)
    # poppler's list: page, size of the font in points, where it is and the words
    listed = subprocess.run(["pdftotext", "-bbox-layout", made, "-"], capture_output=True, check=True).stdout.decode()
    pages = [part for part in listed.split("<page ")[1:] if "The</word>" in part and "piece</word>" in part]
    words = [line for part in pages for line in part.splitlines() if "<word" in line]
    said = " ".join(word.split(">")[1].removesuffix("</word") for word in words)
    for frame in drawing.layout.frames:
        assert frame.title in said
        for row in frame.rows:
            assert row.label in said
    assert "other tag here" in said
    assert "enters here" in said
    assert "lost here" not in said, "of another service"
    wide, high = PAPERS[paper]
    for word in words:
        left, top, right, low = (float(part.split('"')[1]) for part in word.split()[1:5])
        assert EDGE <= left < right <= wide - EDGE, word
        assert EDGE <= top < low <= high - EDGE, word


def test_the_choice_is_named_on_paper(site: tuple[str, Drawing], browser: Browser, tmp_path: Path) -> None:
    with opened(browser, site[0], tmp_path) as screen:
        screen.check("#ink-service-phone-trunk")
        screen.emulate_media(media="print")
        labels = [one.inner_text() for one in screen.query_selector_all(".diagram label") if one.is_visible()]
    assert len(labels) == 1
    assert "Phone trunk" in labels[0]
