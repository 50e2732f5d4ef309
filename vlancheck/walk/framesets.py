"""Sets of sent frames that a symbolic flood carries along: by one tag's VID, or by the VIDs of two tags."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Protocol, TypeVar

from vlancheck.dot1q.forward import OUTER, OneTag, Values
from vlancheck.dot1q.tags import TAGS, UNTAGGED

__all__ = ["EVERY_PAIR", "PAIR", "SINGLE", "TAGS", "UNTAGGED", "FrameSets", "Pairs"]

V = TypeVar("V")


class FrameSets(Values[V], Protocol[V]):
    """An algebra of sets of sent frames with all that a flood needs; a set is true when it holds a frame."""

    none: V

    def meet(self, value: V, other: V) -> V:
        """Return the frames that are in both."""


class SingleSets(OneTag):
    """Sets of frames of one tag: an integer, bit n for VID n, bit 4095 for the untagged frame."""

    none = 0

    def meet(self, value: int, other: int) -> int:
        """Return the frames that are in both."""
        return value & other


Pairs = tuple[tuple[int, int], ...]
"""Frames of two tags as rectangles (outer VIDs, inner VIDs).

The outer sets are disjoint, the inner sets are all different and none is empty, ascending by inner set: each set of
frames has one such form, so that equal sets are equal values.
"""


class PairSets:
    """Sets of frames of two tags, as rectangles of outer and inner VIDs."""

    none: Pairs = ()

    def restrict(self, value: Pairs, symbol: int, mask: int) -> Pairs:
        """Return the frames whose `symbol` has a VID in `mask`."""
        if symbol == OUTER:
            return tuple((outer & mask, inner) for outer, inner in value if outer & mask)
        return _form((outer, inner & mask) for outer, inner in value)

    def without(self, value: Pairs, other: Pairs) -> Pairs:
        """Return the frames that are in `value` and not in `other`."""
        if not other or not value:
            return value
        if value == other:
            return ()
        parts = []
        for outer, inner in value:
            rest = outer
            for their_outer, their_inner in other:
                if common := rest & their_outer:
                    parts.append((common, inner & ~their_inner))
                    rest ^= common
            parts.append((rest, inner))
        return _form(parts)

    def join(self, value: Pairs, other: Pairs) -> Pairs:
        """Return the frames that are in either."""
        if not other or value == other:
            return value
        if not value:
            return other
        parts, theirs = [], list(other)
        for outer, inner in value:
            rest = outer
            for place, (their_outer, their_inner) in enumerate(theirs):
                if common := rest & their_outer:
                    parts.append((common, inner | their_inner))
                    rest ^= common
                    theirs[place] = (their_outer ^ common, their_inner)
            parts.append((rest, inner))
        return _form(parts + theirs)

    def meet(self, value: Pairs, other: Pairs) -> Pairs:
        """Return the frames that are in both."""
        if not value or not other:
            return ()
        if value == other:
            return value
        return _form((outer & theirs, inner & below) for outer, inner in value for theirs, below in other)


def _form(parts: Iterable[tuple[int, int]]) -> Pairs:
    """Return the one form of rectangles whose outer sets are disjoint."""
    merged: dict[int, int] = {}
    for outer, inner in parts:
        if outer and inner:
            merged[inner] = merged.get(inner, 0) | outer
    return tuple((merged[inner], inner) for inner in sorted(merged))


SINGLE = SingleSets()
PAIR = PairSets()
EVERY_PAIR: Pairs = ((TAGS, TAGS),)
