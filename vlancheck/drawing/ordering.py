"""Columns of boxes and the lines between them in, the order in every column out, with few crossings.

A line that passes columns gets a lane in each.  Barycentres from column to
column: Gansner, Koutsofios, North and Vo, A Technique for Drawing Directed Graphs, IEEE Trans. Software Engineering
19(3), 1993, section 3, with rows in place of middles.  The best of these orders is disturbed and improved again and
again: Lourenço, Martin and Stützle, Iterated Local Search, Handbook of Metaheuristics, 2003.  Crossings are counted as
inversions: Barth, Jünger and Mutzel, Simple and Efficient Bilayer Cross Counting, Graph Drawing 2002.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import accumulate
from random import Random
from typing import NamedTuple

_STARTS = 12  # orders to begin with, at most: the one given, and shuffled ones
_SWEEPS = 12  # to the right and back, from each start
_WORK = 6_000_000  # pairs of boxes and lanes that are compared, about, so that large pictures do not take long
_FIRST = _WORK // 7  # of these, for the starts
_EACH = 200  # pairs that take as long as a disturbance alone
_PIECE = 4  # pairs that take as long as a piece of a line when crossings are counted
_ENDS = 8  # ends of lines that take as long as a pair
_IDLE = 500  # disturbances in turn after which nothing better is looked for
_LONG = 120  # boxes and lanes of a column that are tried at each other's places, so many neighbours at a time
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
        self.left: dict[str, list[tuple[str, int]]] = {name: [] for column in columns for name in column}
        self.right: dict[str, list[tuple[str, int]]] = {name: [] for name in self.left}  # what is there, its row
        self.rows = dict.fromkeys(self.left, 1)  # how many
        for piece in (piece for gap in gaps for piece in gap):
            self.right[piece.one].append((piece.other, piece.end))
            self.left[piece.other].append((piece.one, piece.row))
            self.rows[piece.one] = max(self.rows[piece.one], piece.row + 1)
            self.rows[piece.other] = max(self.rows[piece.other], piece.end + 1)
        self.gaps = gaps
        self.work = _WORK
        self.fewest, self.best = -1, tuple(map(tuple, columns))
        self.latest = self.best  # of those with as few crossings: to go on from
        self.random = Random(1)
        for number in range(_STARTS):
            order = [list(column) for column in columns]
            if number:
                for column in order:
                    self.random.shuffle(column)
            else:
                self.settle(order, range(len(order)))
                self.keep(order)
            self.improve(order, number)
            if self.fewest == 0 or self.work < _WORK - _FIRST:
                break
        self.go_on()

    def improve(self, order: list[list[str]], first: int) -> None:
        """Sweep until nothing gets better, and keep the best; with an odd `first` to the left first."""
        idle = 0
        for sweep in range(first, first + _SWEEPS):
            if sweep % 2 == 0:
                self.sort_right(order, 0)
            else:
                self.sort_left(order, len(order) - 1)
            self.settle(order, range(len(order)))
            idle = 0 if self.keep(order) else idle + 1
            if idle == 2:
                return

    def go_on(self) -> None:
        """Disturb an order as good as the best, and improve it, until nothing has come of that for long."""
        numbers = [number for number, column in enumerate(self.best) if len(column) > 1]
        sizes = [len(self.best[number]) for number in numbers]
        idle = 0
        while numbers and self.fewest and self.work > 0 and idle < _IDLE:
            order = [list(column) for column in self.latest]
            (number,) = self.random.choices(numbers, sizes)
            self.disturb(order[number])
            if self.random.random() < 0.6:
                self.sort_right(order, number)
                self.sort_left(order, number)
                self.settle(order, range(len(order)))
            else:
                self.settle(order, (number - 1, number + 1))
            idle = 0 if self.keep(order) else idle + 1
            self.work -= _EACH

    def disturb(self, column: list[str]) -> None:
        """Move something of a column, move some neighbours, or turn these round."""
        sort = self.random.randrange(3)
        start = self.random.randrange(len(column))
        some = column[start : start + (self.random.randint(2, max(2, len(column) // 2)) if sort else 1)]
        if sort == 2:
            column[start : start + len(some)] = some[::-1]
            return
        del column[start : start + len(some)]
        place = self.random.randint(0, len(column))
        column[place:place] = some

    def keep(self, order: list[list[str]]) -> bool:
        """Keep an order if none has fewer crossings, as the best if all others have more, and tell whether so."""
        at = _places(order)
        count = sum(_crossings(gap, at) for gap in self.gaps)
        self.work -= _PIECE * sum(map(len, self.gaps))
        better = self.fewest < 0 or count < self.fewest
        if better or count == self.fewest:
            self.latest = tuple(map(tuple, order))
        if better:
            self.fewest, self.best = count, self.latest
        return better

    def sort_right(self, order: list[list[str]], number: int) -> None:
        """Sort every column to the right of one by what is to the left of it."""
        for after in range(number + 1, len(order)):
            self.sort(order[after], order[after - 1], self.left)

    def sort_left(self, order: list[list[str]], number: int) -> None:
        """Sort every column to the left of one by what is to the right of it."""
        for before in range(number - 1, -1, -1):
            self.sort(order[before], order[before + 1], self.right)

    def sort(self, column: list[str], beside: list[str], side: dict[str, list[tuple[str, int]]]) -> None:
        """Sort a column by the means of the rows that its lines lead to; what has none there keeps its place."""
        at = _places([beside])
        means = {}
        for name in column:
            if lines := side[name]:
                means[name] = sum(at[far] + (row + 0.5) / self.rows[far] for far, row in lines) / len(lines)
        moving = iter(sorted((name for name in column if name in means), key=means.__getitem__))
        column[:] = [next(moving) if name in means else name for name in column]

    def settle(self, order: list[list[str]], numbers: Iterable[int]) -> None:
        """Sift columns, and those beside whatever changes, until nothing does."""
        waiting = {number for number in numbers if 0 <= number < len(order)}
        while waiting:
            number = min(waiting)
            waiting.remove(number)
            starts = range(0, max(1, len(order[number]) - _LONG // 2), _LONG // 2)
            if sum(self.sift(order, number, start) for start in starts):  # every part, also after one that changes
                waiting |= {number - 1, number + 1} & set(range(len(order)))

    def sift(self, order: list[list[str]], number: int, start: int) -> bool:
        """Move everything in a part of a column to the place there where its lines cross least; tell whether any moved.

        Matuszewski, Schönfeld and Molitor, Using Sifting for k-Layer Straightline Crossing Minimization, Graph
        Drawing 1999.
        """
        names = order[number][start : start + _LONG]
        gains = self.gains(order, number, names)
        column = list(range(len(names)))
        moved = True
        while moved:
            moved = False
            for one in tuple(column):
                gain, place = gains[one], column.index(one)
                up = list(accumulate([gain[other] for other in reversed(column[:place])], initial=0))
                down = list(accumulate([-gain[other] for other in column[place + 1 :]], initial=0))
                least = min(*up, *down)
                if least < 0:
                    to = place - up.index(least) if least in up else place + down.index(least)
                    column.insert(to, column.pop(place))
                    moved = True
        order[number][start : start + _LONG] = [names[one] for one in column]
        return column != list(range(len(names)))

    def gains(self, order: list[list[str]], number: int, names: Sequence[str]) -> list[list[int]]:
        """Return how many more lines of two boxes cross where the first lies above the second than the other way."""
        found = [[0] * len(names) for _ in names]  # lower -> upper -> crossings
        for side, beside in ((self.left, number - 1), (self.right, number + 1)):
            if not 0 <= beside < len(order):
                continue
            ends = list(accumulate((self.rows[far] for far in order[beside]), initial=0))
            first = dict(zip(order[beside], ends, strict=False))
            lines = [[first[far] + row for far, row in side[name]] for name in names]
            for lower, mine in enumerate(lines):
                if not mine:
                    continue
                under = [0] * (ends[-1] + 1)
                for end in mine:
                    under[end + 1] += 1
                above = list(accumulate(under))  # how many of its lines end above a row
                crossed = [above[its[0]] if len(its) == 1 else sum([above[end] for end in its]) for its in lines]
                found[lower] = [one + more for one, more in zip(found[lower], crossed, strict=True)]
            self.work -= len(names) * (len(names) + (ends[-1] + sum(map(len, lines))) // _ENDS)
        places = range(len(names))
        return [[found[lower][upper] - found[upper][lower] for lower in places] for upper in places]


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
