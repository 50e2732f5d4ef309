"""The sheet of a drill as it is printed: on the paper that was asked for, the answers on pages of their own."""

from __future__ import annotations

from pathlib import Path

import pytest

from vlancheck.report import drill_paper
from vlancheck.teach.drill import run
from vlancheck.teach.ground import closets

from .browser import needed, printed
from .test_paper import EDGE, SIZES


@pytest.mark.parametrize("size", SIZES)
def test_questions_and_answers_are_on_pages_of_their_own(size: str, tmp_path: Path) -> None:
    """No page has both, nothing is cut off at an edge, and every page is numbered."""
    needed()
    pages = printed(drill_paper.page(run(closets(), 4, 6), 4, size), tmp_path)
    first = next(number for number, page in enumerate(pages) if "the answers" in page.text)
    assert first > 0
    for number, page in enumerate(pages):
        assert (round(page.width), round(page.height)) == SIZES[size]
        assert ("802.1Q" in page.text) == (number >= first)
        assert f"page {number + 1} of {len(pages)}" in page.text
        for word in page.words:
            assert word.left >= EDGE
            assert word.right <= page.width - EDGE
            assert word.bottom <= page.height - EDGE
