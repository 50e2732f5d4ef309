"""Lines carry the number that an editor and `grep -n` give them."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from vlancheck.capture.lines import Line, numbered
from vlancheck.capture.pager import lines_with_prompts
from vlancheck.capture.words import lines_holding


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        pytest.param("a\nb\n", ["a", "b"], id="lines"),
        pytest.param("a\nb", ["a", "b"], id="no line end at the end"),
        pytest.param("a\r\nb\r\n", ["a", "b"], id="crlf"),
        pytest.param("a\r\r\nb\r\r\n", ["a", "b"], id="cr cr lf"),
        pytest.param("a\n\rb\n\r", ["a", "b"], id="lf cr"),
        pytest.param("a\rb\rc\r", ["a", "b", "c"], id="cr alone"),
        pytest.param("a\n\n\nb", ["a", "", "", "b"], id="empty lines"),
        pytest.param("a\x0cb\x85c\u2028d\x1ce\n f", ["a b c d e", " f"], id="other separators"),
        pytest.param("a\n --More-- \r          \r b\nc", ["a", " b", "c"], id="pager"),
        pytest.param("a\n --More-- \nb", ["a", "", "b"], id="pager on a line of its own"),
        pytest.param("", [], id="nothing"),
    ],
)
def test_a_text_is_split_at_line_feeds_only(text: str, expected: list[str]) -> None:
    """Other separators do not shift the count."""
    assert numbered(text) == [Line(number, row) for number, row in enumerate(expected, 1)]


def test_rows_of_one_line_share_its_number() -> None:
    """A line of the file that made two rows on the screen makes two lines with its number."""
    assert numbered("a\nb\x1bEc\nd") == [Line(1, "a"), Line(2, "b"), Line(2, "c"), Line(3, "d")]


def test_secrets_are_masked() -> None:
    """No line leaves with its secret."""
    assert numbered("enable secret 5 $1$plum$pearpearpear\n") == [Line(1, "enable secret 5 <masked>")]


@settings(deadline=None)
@given(st.lists(st.text(alphabet="abc #>é\t", max_size=8), max_size=12))
def test_numbers_count_line_feeds(rows: list[str]) -> None:
    """Line n of the file is the n-th of its rows."""
    lines = numbered("\n".join(rows) + "\n")

    assert [line.number for line in lines] == list(range(1, max(1, len(rows)) + 1))
    assert [line.text for line in lines] == (rows or [""])


@settings(deadline=None)
@given(st.lists(st.sampled_from(["", "key", "a key", "İkey", "x", "more"]), max_size=12))
def test_lines_holding_agrees_with_looking_at_each(rows: list[str]) -> None:
    """The quick search finds the lines that a slow one finds."""
    found = lines_holding("\n".join(rows), ["key", "more"])

    assert found == [index for index, row in enumerate(rows) if "key" in row or "more" in row]


def test_the_lines_with_pager_prompts_are_known() -> None:
    """What cleaning takes away is remembered by number."""
    text = "a\n --More-- \b\b\b\b b\nc more\n\x1b[7m--More--\x1b[m\n"

    assert lines_with_prompts(text) == {2, 4}
