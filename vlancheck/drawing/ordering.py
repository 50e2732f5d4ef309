"""Columns of boxes and the lines between them in, the order in every column out, with few crossings.

A line that passes columns gets a lane in each.  Barycentres from column to
column and exchanges of neighbours in turn: Gansner, Koutsofios, North and Vo, A Technique for Drawing Directed Graphs,
IEEE Trans. Software Engineering 19(3), 1993, section 3, with rows in place of middles.  Crossings are counted as
inversions: Barth, Jünger and Mutzel, Simple and Efficient Bilayer Cross Counting, Graph Drawing 2002.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from random import Random
from typing import NamedTuple

_SWEEPS = 12  # to the right and back, from each start
_STARTS = 120  # orders to begin with, at most: the one given, and shuffled ones
_WORK = 24_000  # pieces of lines that all starts together look at, so that large pictures do not take long
_LONG = 120  # boxes and lanes of a column above which none is tried at every place of it
_ROWS = 1 << 16  # more than rows of a box


class Piece(NamedTuple):
    """A line between two neighbouring columns."""

    one: str  # box or lane on the left
    row: int  # of it
    other: str  # box or lane on the right
    end: int  # row of it


@dataclass(frozen=True)
class Columns:
    """Boxes and lanes by column."""

    order: tuple[tuple[str, ...], ...]  # from top to bottom
    gaps: tuple[tuple[Piece, ...], ...]  # the pieces to the right of every column but the last

    @property
    def crossings(self) -> int:
        """Return how often lines cross."""
        return sum(_crossings(pieces, _places(self.order)) for pieces in self.gaps)


def ordered(columns: Sequence[Sequence[str]], gaps: Sequence[Sequence[Piece]]) -> Columns:
    """Return the columns in the best order that was found."""
    search = _Search(columns, gaps)
    return Columns(search.best, tuple(tuple(gap) for gap in gaps))


class _Search:
    """A search from several orders to begin with; the same input gives the same result."""

    def __init__(self, columns: Sequence[Sequence[str]], gaps: Sequence[Sequence[Piece]]) -> None:
        self.left: dict[str, list[tuple[int, str, int]]] = {}  # own row, what is at the other end, its row
        self.right: dict[str, list[tuple[int, str, int]]] = {}
        for piece in (piece for gap in gaps for piece in gap):
            self.right.setdefault(piece.one, []).append((piece.row, piece.other, piece.end))
            self.left.setdefault(piece.other, []).append((piece.end, piece.one, piece.row))
        self.gaps = gaps
        self.rows = {
            name: 1 + max(row for row, *_ in (*self.left.get(name, ()), *self.right.get(name, ())))
            for name in {*self.left, *self.right}
        }
        starts = max(4, min(_STARTS, _WORK // (1 + sum(map(len, gaps)))))
        self.fewest, self.best = -1, tuple(map(tuple, columns))
        random = Random(1)
        for number in range(starts):
            order = [list(column) for column in columns]
            if number:
                for column in order:
                    random.shuffle(column)
            self.improve(order, number)
            if self.fewest == 0:
                return
        order = [list(column) for column in self.best]
        while self.sift(order):
            self.improve(order)
            order = [list(column) for column in self.best]

    def improve(self, order: list[list[str]], first: int = 0) -> None:
        """Sweep and exchange until nothing gets better, and keep the best; with an odd `first` to the left first."""
        self.keep(order)
        idle = 0
        for sweep in range(_SWEEPS):
            forward = (sweep + first) % 2 == 0
            numbers = range(1, len(order)) if forward else range(len(order) - 2, -1, -1)
            for number in numbers:
                self.sort(order, number, self.left if forward else self.right)
            while self.exchange(order):
                pass
            idle = 0 if self.keep(order) else idle + 1
            if idle == 4:
                return

    def keep(self, order: list[list[str]]) -> bool:
        """Keep an order if it is the best so far, and tell so."""
        at = _places(order)
        count = sum(_crossings(gap, at) for gap in self.gaps)
        if self.fewest < 0 or count < self.fewest:
            self.fewest, self.best = count, tuple(map(tuple, order))
            return True
        return False

    def sort(self, order: list[list[str]], number: int, side: dict[str, list[tuple[int, str, int]]]) -> None:
        """Sort a column by the means of the rows that its lines lead to; what has none there keeps its place."""
        at = _places(order)
        column = order[number]
        means = {}
        for name in column:
            rows = [at[far] + (row + 0.5) / self.rows[far] for _, far, row in side.get(name, ())]
            if rows:
                means[name] = sum(rows) / len(rows)
        moving = iter(sorted((name for name in column if name in means), key=means.__getitem__))
        order[number] = [next(moving) if name in means else name for name in column]

    def exchange(self, order: list[list[str]]) -> bool:
        """Exchange neighbours wherever that takes crossings away; tell whether it did."""
        better = False
        for column in order:
            at = _places(order)
            for place in range(len(column) - 1):
                upper, lower = column[place], column[place + 1]
                if self.cross(upper, lower, at) > self.cross(lower, upper, at):
                    column[place], column[place + 1] = lower, upper
                    better = True
        return better

    def sift(self, order: list[list[str]]) -> bool:
        """Move every box to the place in its column where its lines cross least; tell whether that is better.

        Matuszewski, Schönfeld and Molitor, Using Sifting for k-Layer Straightline Crossing Minimization, Graph
        Drawing 1999.
        """
        for column in order:
            at = _places(order)
            for name in tuple(column) if len(column) <= _LONG else ():
                if name not in self.rows:
                    continue
                others = [other for other in column if other != name]
                count = best = place = 0
                for number, other in enumerate(others, 1):
                    count += self.cross(other, name, at) - self.cross(name, other, at)
                    if count < best:
                        best, place = count, number
                first = sum(self.cross(o, name, at) - self.cross(name, o, at) for o in others[: column.index(name)])
                if best < first:
                    others.insert(place, name)
                    column[:] = others
        return self.keep(order)

    def cross(self, upper: str, lower: str, at: dict[str, int]) -> int:
        """Return how often the lines of two boxes cross when one lies above the other."""
        count = 0
        for side in (self.left, self.right):
            if upper in side and lower in side:
                below = sorted(at[far] * _ROWS + row for _, far, row in side[lower])
                count += sum(bisect_left(below, at[far] * _ROWS + row) for _, far, row in side[upper])
        return count


def _places(order: Iterable[Sequence[str]]) -> dict[str, int]:
    return {name: number for column in order for number, name in enumerate(column)}


def _crossings(pieces: Iterable[Piece], at: dict[str, int]) -> int:
    """Return the inversions between both sides of a gap; lines that share a row there do not cross."""
    ends = sorted((at[piece.one], piece.row, at[piece.other] * _ROWS + piece.end) for piece in pieces)
    seen: list[int] = []
    count, number = 0, 0
    while number < len(ends):
        same = [ends[number]]
        while number + len(same) < len(ends) and ends[number + len(same)][:2] == same[0][:2]:
            same.append(ends[number + len(same)])
        count += sum(len(seen) - bisect_right(seen, end[2]) for end in same)
        for end in same:
            seen.insert(bisect_right(seen, end[2]), end[2])
        number += len(same)
    return count
