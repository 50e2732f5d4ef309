"""Text that fits a terminal: wide characters, marks that take no room, and words longer than a line."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from vlancheck.report.cells import cells, cut, cut_before, cut_lines, wrapped

WIDE = "机柜"  # two characters of two cells each


@pytest.mark.parametrize(
    ("text", "width"),
    [
        ("", 0),
        ("SORT-1", 6),
        (WIDE, 4),
        (f"a{WIDE}b", 6),
        ("cafe\u0301", 4),
        ("a\u00adb", 3),
        ("Ａ", 2),
        ("\U0001f6aa", 2),
    ],
)
def test_cells(text: str, width: int) -> None:
    assert cells(text) == width


def test_lines_are_broken_at_blanks() -> None:
    assert wrapped("one two  three", 8) == ["one two", "three"]
    assert wrapped("one two three", 9, 2) == ["one two", "  three"]
    assert wrapped("", 9) == [""]


def test_a_word_longer_than_a_line_is_broken_within() -> None:
    assert wrapped("a captures/as-left", 8) == ["a", "captures", "/as-left"]
    assert wrapped(WIDE * 2, 5) == [WIDE, WIDE]


def test_what_is_left_out_shows() -> None:
    assert cut("captures", 8) == "captures"
    assert cut("captures", 7) == "capt..."
    assert cut(WIDE * 2, 7) == f"{WIDE}..."
    assert cut_before("captures/a.txt:12", 12) == ".../a.txt:12"
    assert cut_before("captures/a.txt:12", 17) == "captures/a.txt:12"
    assert cut_lines("one two three four", 9, 1) == ["one tw..."]
    assert cut_lines("one two three four", 9, 3) == ["one two", "three", "four"]


@given(st.text(max_size=60), st.integers(5, 30), st.integers(0, 3))
def test_no_line_is_wider_and_no_word_is_lost(text: str, width: int, hang: int) -> None:
    lines = wrapped(text, width, hang)
    assert all(cells(line) <= width for line in lines)
    assert "".join("".join(lines).split()) == "".join(text.split())
    assert cells(cut(text, width)) <= width
    assert cells(cut_before(text, width)) <= width
    few = cut_lines(text, width, 2, hang)
    assert len(few) <= 2
    assert all(cells(line) <= width for line in few)
    assert few == lines or few[-1].endswith("...")
