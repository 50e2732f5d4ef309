"""The order of boxes in columns: as few crossings as can be where that is known, and nothing left to gain by a move."""

from __future__ import annotations

from itertools import pairwise
from random import Random

import pytest

from vlancheck.drawing.ordering import Columns, Piece, ordered


def at_random(seed: int) -> tuple[list[list[str]], list[list[Piece]]]:
    """Return columns of boxes, and lines at random between rows of neighbouring columns."""
    random = Random(seed)
    columns = [[f"{number}-{box}" for box in range(random.randint(8, 20))] for number in range(random.randint(3, 5))]
    gaps = [
        [
            Piece(random.choice(left), random.randrange(4), random.choice(right), random.randrange(4))
            for _ in range(random.randint(25, 60))
        ]
        for left, right in pairwise(columns)
    ]
    return columns, gaps


@pytest.mark.parametrize("seed", range(12))
def test_no_box_can_be_moved_to_a_better_place(seed: int) -> None:
    """Crossings on both sides of a column count."""
    columns, gaps = at_random(seed)
    found = ordered(columns, gaps)
    assert [sorted(column) for column in found.order] == [sorted(column) for column in columns]
    assert found.crossings <= Columns(tuple(map(tuple, columns)), found.gaps).crossings
    moves = 0
    for number, column in enumerate(found.order):
        for name in column:
            others = [other for other in column if other != name]
            for place in range(len(column)):
                moved = (*others[:place], name, *others[place:])
                order = (*found.order[:number], moved, *found.order[number + 1 :])
                assert Columns(order, found.gaps).crossings >= found.crossings
                moves += 1
    assert moves


def test_the_same_boxes_are_always_in_the_same_order() -> None:
    assert ordered(*at_random(3)) == ordered(*at_random(3))


def test_a_tree_has_no_crossings() -> None:
    random = Random(5)
    columns = [["root"]]
    gaps = []
    for _ in range(3):
        gap = [Piece(one, row, f"{one}.{row}", 0) for one in columns[-1] for row in range(4)]
        columns.append([piece.other for piece in gap])
        gaps.append(gap)
    for column in columns:
        random.shuffle(column)
    assert Columns(tuple(map(tuple, columns)), tuple(map(tuple, gaps))).crossings > 100
    assert ordered(columns, gaps).crossings == 0


def test_a_long_column_is_sifted_in_parts() -> None:
    """Each of two boxes on the right leads to every other lane."""
    lanes = [f"lane {number}" for number in range(400)]
    gaps = [
        [Piece("one", number, lane, 0) for number, lane in enumerate(lanes)],
        [Piece(lane, 0, f"box {number % 2}", number) for number, lane in enumerate(lanes)],
    ]
    Random(1).shuffle(lanes)
    columns = [["one"], lanes, ["box 0", "box 1"]]
    found = ordered(columns, gaps)
    assert sorted(found.order[1]) == sorted(lanes)
    # A line to the upper box crosses, before or behind the lanes, every line to the lower one from a row above its own.
    assert found.crossings == 199 * 200 // 2


def test_boxes_without_lines_keep_their_order() -> None:
    assert ordered([["b", "a"]], []).order == (("b", "a"),)
    assert ordered([], []).order == ()
