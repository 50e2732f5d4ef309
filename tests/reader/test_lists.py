"""Lists of ports come in, names go out."""

from __future__ import annotations

import pytest

from vlancheck.reader.lists import Punctuation

PLAIN, LETTERS = Punctuation(), Punctuation(letters=True)


@pytest.mark.parametrize("lists", [PLAIN, LETTERS])
def test_a_bare_number_takes_the_stem_before_it(lists: Punctuation) -> None:
    """`Te 0/1-2,7` is three ports of slot 0, by any punctuation."""
    assert lists.ports("Te 0/1-2,7") == ["Te 0/1", "Te 0/2", "Te 0/7"]


def test_an_item_that_begins_with_a_digit_takes_the_letters_before_it() -> None:
    """Where a family writes the letters once, `2/1` and the far end of `3/1-3/2` are of the same kind of port."""
    assert LETTERS.ports("Te 1/4,2/1,3/1-3/2,9") == ["Te 1/4", "Te 2/1", "Te 3/1", "Te 3/2", "Te 3/9"]
    assert LETTERS.ports("e1/1/1:1-1/1/1:2") == ["e1/1/1:1", "e1/1/1:2"]
    assert LETTERS.ports("1/1-1/2,Trk1") == ["1/1", "1/2", "Trk1"]


def test_letters_may_stand_behind_a_speed() -> None:
    """`10GE1/0/1` begins with a digit and has letters of its own."""
    words = Punctuation(to=("to",), letters=True)
    assert words.ports("10GE1/0/1 to 1/0/2,25GE1/0/9,GE0/0/3 to 0/0/4") == [
        "10GE1/0/1", "10GE1/0/2", "25GE1/0/9", "GE0/0/3", "GE0/0/4",
    ]  # fmt: skip


def test_other_families_write_names_out() -> None:
    """`Trk1,2/1` is a bundle and a port."""
    assert PLAIN.ports("Trk1,2/1") == ["Trk1", "2/1"]


@pytest.mark.parametrize("text", ["Te 1/1-2/4", "Te 1/4-1/1"])
def test_a_range_over_two_slots_or_backwards_is_refused(text: str) -> None:
    """Nobody says how many ports a slot has."""
    with pytest.raises(ValueError, match=r"joins two|runs backwards"):
        LETTERS.ports(text)
