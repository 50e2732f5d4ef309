"""Cords that are in other ports than they should be in, rows of them that moved by one offset out."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import takewhile
from typing import NamedTuple

from vlancheck.places import split_place
from vlancheck.reconciliation.placing import Hung, Tokens
from vlancheck.site.anchors import AnchorKind

LEAST = 3  # cords that make a row


@dataclass(frozen=True, slots=True)
class Misplaced:
    """What hung at a jack, seen at another port than it should be at."""

    hung: Hung  # the jack
    port: str  # DEVICE:PORT where it is seen
    tokens: Tokens  # what of it is seen there


class Numbered(NamedTuple):
    """A port whose name ends in a number."""

    row: str  # DEVICE:PORT without that number
    number: int  # the number

    @property
    def device(self) -> str:
        """Return the device of the port."""
        return split_place(self.row)[0]


@dataclass(frozen=True, slots=True)
class Run:
    """A row of cords that moved by one offset."""

    moved: tuple[Misplaced, ...]  # those that were seen, in the order of their ports
    silent: tuple[Hung, ...]  # those between them, or beside them, of which nothing is seen
    source: str  # row of ports where they should be
    target: str  # row of ports where they are
    offset: int  # how far the number of the port went up
    beside: tuple[tuple[Hung, ...], tuple[Hung, ...]] = ((), ())  # silent ones that may belong to it, the nearest first

    def longer(self, lower: int, upper: int) -> Run:
        """Return the row with so many of the silent ones beside it."""
        below, above = self.beside
        silent = (*self.silent, *below[:lower], *above[:upper])
        return replace(self, silent=silent, beside=(below[lower:], above[upper:]))

    @property
    def sources(self) -> set[str]:
        """Return the ports where they should be."""
        return {one.hung.planned for one in self.moved} | {one.planned for one in self.silent}

    @property
    def targets(self) -> set[str]:
        """Return the ports where they are."""
        ports = [numbered(place) for place in self.sources]
        return {f"{self.target}{one.number + self.offset}" for one in ports if one}


def numbered(place: str) -> Numbered | None:
    """Return the row and the number of a port; None where its name ends in none."""
    found = re.fullmatch(r"(?s)(.*?)(\d{1,6})", place)
    return Numbered(found[1], int(found[2])) if found else None


class Rows:
    """Finds rows among the cords that are in other ports."""

    def __init__(
        self, misplaced: Sequence[Misplaced], jacks: Mapping[str, Hung], exists: Callable[[str], bool]
    ) -> None:
        """Take what should be at each port, and whether a switch has a port."""
        self.left = {one.hung.planned: one for one in misplaced if one.hung.planned}
        self.jacks, self.exists = jacks, exists
        self.taken = {one.port for one in misplaced}
        self.rows: dict[str, list[str]] = {}
        ordered: dict[str, list[tuple[int, str]]] = {}
        for place, hung in jacks.items():
            if _counts(hung) and (port := numbered(place)):
                ordered.setdefault(port.row, []).append((port.number, place))
        for row, pairs in ordered.items():
            self.rows[row] = [place for _, place in sorted(pairs)]

    def longest(self) -> Run | None:
        """Return the row of which most was seen; None when there is none.

        A row is at least three cords on ports one after the other, empty ports not counted, of which two were seen at
        ports of one offset and none elsewhere.
        """
        found = (run for row in self.rows for run in self._of_row(row))
        return max(found, key=lambda run: (len(run.moved), len(run.silent)), default=None)

    def drop(self, run: Run, displaced: Sequence[Misplaced]) -> None:
        """Look no more at the cords of a row, and those that it displaced."""
        for one in (*run.moved, *displaced):
            self.left.pop(one.hung.planned, None)
        gone = {one.planned for one in run.silent}
        self.rows = {row: [place for place in places if place not in gone] for row, places in self.rows.items()}

    def may_hold(self, one: Misplaced) -> bool:
        """Tell whether one cord and silent ones beside it may be a row."""
        went, port = _went(one), numbered(one.hung.planned)
        if went is None or port is None:
            return False
        places = self.rows.get(port.row, [])
        at = places.index(one.hung.planned)
        return 1 + sum(map(len, self._beside(places, at, at, went))) >= LEAST

    def _of_row(self, row: str) -> Iterator[Run]:
        """Yield every run along the ports of one row."""
        places = self.rows[row]
        start = 0
        while start < len(places):
            first = self.left.get(places[start])
            if first is None or (went := _went(first)) is None:
                start += 1
                continue
            end = last = start  # the last one that was seen, and the last one that fits
            while last + 1 < len(places) and self._fits(places[last + 1], went):
                last += 1
                end = last if places[last] in self.left else end
            inside = places[start : end + 1]
            moved = tuple(self.left[place] for place in inside if place in self.left)
            silent = tuple(self.jacks[place] for place in inside if place not in self.left)
            run = Run(moved, silent, row, *went, self._beside(places, start, end, went))
            if len(inside) < LEAST:
                run = run.longer(0, 1) if run.beside[1] else run.longer(1, 0)
            if len(moved) > 1 and len(moved) + len(run.silent) >= LEAST:
                yield run
            start = end + 1

    def _beside(
        self, places: Sequence[str], start: int, end: int, went: tuple[str, int]
    ) -> tuple[tuple[Hung, ...], tuple[Hung, ...]]:
        """Return the silent ones below and above a part of a row that may have gone the same way."""
        sides = []
        for ordered in (places[:start][::-1], places[end + 1 :]):
            fitting = takewhile(lambda place: place not in self.left and self._fits(place, went), ordered)
            sides.append(tuple(self.jacks[place] for place in fitting))
        return sides[0], sides[1]

    def _fits(self, place: str, went: tuple[str, int]) -> bool:
        """Tell whether the cord of a port went the same way, as far as anything of it is seen."""
        if place in self.left:
            return _went(self.left[place]) == went
        port, hung = numbered(place), self.jacks[place]
        if port is None or hung.observed:
            return False
        target = f"{went[0]}{port.number + went[1]}"
        there = self.jacks.get(target)
        return self.exists(target) and target not in self.taken and not (there is not None and there.home)


def _went(one: Misplaced) -> tuple[str, int] | None:
    """Return the row of ports where a cord is, and how far it went up."""
    was, now = numbered(one.hung.planned), numbered(one.port)
    return (now.row, now.number - was.number) if was and now else None


def _counts(hung: Hung) -> bool:
    """Tell whether a cord is known to be there: a row says so, or something was seen there before."""
    return hung.anchor.kind is not AnchorKind.PORT or bool(hung.known)
