"""Where every fact comes from: origins, facts with their origins, and covers.

The leaf that every layer shares; it imports nothing of the package but the bitset helpers.
Absence has evidence too: a cover says of every VID, in or out, who decided it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from enum import Enum, StrEnum
from itertools import chain
from typing import Final, Generic, NamedTuple, TypeVar

from vlancheck.vids import EVERY, first, text

T = TypeVar("T")


class Kind(StrEnum):
    """What sort of thing an origin is; the values are the words of the JSON output."""

    LINE = "line"  # a line of a captured configuration
    SHOW = "show"  # a line of what a device printed about its state
    DEFAULT = "default"  # no line: the dialect says what silence means
    ASSUMED = "assumed"  # no line and no documented default: said to be assumed
    SHEET = "sheet"  # a row of a patch sheet
    TICK = "tick"  # an entry that somebody made on a worksheet
    SITE = "site"  # a line of site.yaml, or of a text in the project's notation


class Origin(NamedTuple):
    """One piece of evidence."""

    kind: Kind
    text: str  # the user's own line (secrets masked), or the sentence of a default or assumption
    file: str = ""  # path as given; empty for defaults and assumptions
    line: int = 0  # 1-based; 0 when there is none
    end_line: int = 0  # last line when the evidence spans several; 0 when it is one line
    sheet: str = ""  # tab of a workbook
    source: str = ""  # for a default: the document that states it, or "from memory"
    header: tuple[Origin, ...] = ()  # the lines this line stands under, outermost first
    settle: str = ""  # behind an unknown: what capture, reading or question would decide it

    def __hash__(self) -> int:
        """Two that are equal have the same text and line; the lines they stand under are not gone through for it."""
        return hash(self.text) ^ self.line

    @property
    def place(self) -> str:
        """Return `file:line`, of a workbook `file[tab]:line`; "" for a default or an assumption."""
        tab = f"[{self.sheet}]" if self.sheet else ""
        return f"{self.file}{tab}:{self.line}" if self.file else ""

    def __str__(self) -> str:
        if not self.file:
            return f"{self.kind}: {self.text}" + (f" ({self.source})" if self.source else "")
        return f"{self.place}: {self.text}"


Origins = tuple[Origin, ...]
_FEW = 8  # up to so many origins are told apart sooner by looking than by hashing


def assumed(text: str) -> Origins:
    """Return the evidence of something taken for granted; `text` is a sentence for the user."""
    return (Origin(Kind.ASSUMED, text),)


def default(text: str, source: str) -> Origins:
    """Return the evidence of a dialect's documented default."""
    return (Origin(Kind.DEFAULT, text, source=source),)


def join(*several: Origins) -> Origins:
    """Return all origins once each, in the order first seen."""
    kept = [origins for origins in several if origins]
    if len(kept) < 2:
        return kept[0] if kept else ()
    if sum(map(len, kept)) > _FEW:
        return tuple(dict.fromkeys(chain.from_iterable(kept)))
    found: list[Origin] = []
    for origins in kept:
        for origin in origins:
            if origin not in found:
                found.append(origin)
    return tuple(found)


class Unknown(Enum):
    """The third value of a fact: nothing we read decides it."""

    UNKNOWN = "unknown"

    def __repr__(self) -> str:
        return "UNKNOWN"


UNKNOWN: Final = Unknown.UNKNOWN


@dataclass(frozen=True, slots=True)
class Fact(Generic[T]):
    """A value, or UNKNOWN, with the origins that decided it."""

    value: T | Unknown
    origins: Origins = ()


class State(Enum):
    """What a cover says of one VID."""

    IN = "in"
    OUT = "out"
    UNKNOWN = "unknown"

    __hash__ = object.__hash__  # there is one of each; a cover is looked up by its states very often


_Rule = Callable[["State", Origins, "State", Origins], tuple["State", Origins]]
Part = tuple[int, State, Origins]  # (bitset of VIDs, what holds for them, who decided it)


class Cover:
    """A set of VIDs in which every VID, in, out or unknown, has the origins that decided it.

    The parts are disjoint and together hold every non-negative number (relay VIDs may exceed 4095, so
    the last part is usually an infinite bitset, a negative integer).  The last writer of a VID owns it.
    `sure` holds the VIDs that are in whatever the unknown ones are, `possible` those that may be in.
    Covers are values: every operation returns a new one.
    """

    __slots__ = ("parts", "possible", "sure")

    def __init__(self, parts: tuple[Part, ...]) -> None:
        self.parts = parts
        sure = possible = 0
        for bits, state, _ in parts:
            if state is State.IN:
                sure |= bits
            if state is not State.OUT:
                possible |= bits
        self.sure = sure
        self.possible = possible

    @classmethod
    def of(cls, bits: int, origins: Origins = (), out: Origins | None = None) -> Cover:
        """Return the cover with `bits` in, because of `origins`, and all others out, because of `out`."""
        rest = origins if out is None else out
        if not bits or bits == EVERY:
            return cls(((EVERY, State.IN if bits else State.OUT, origins if bits else rest),))
        return cls._made(((bits, State.IN, origins), (~bits, State.OUT, rest)), bits, bits)

    @classmethod
    def unknown(cls, origins: Origins = ()) -> Cover:
        """Return the cover of which nothing is known, because of `origins`."""
        return cls(((EVERY, State.UNKNOWN, origins),))

    def write(self, bits: int, state: State, origins: Origins) -> Cover:
        """Return this cover with `bits` decided anew by `origins`."""
        if not bits:
            return self
        kept: list[Part] = []
        for part in self.parts:
            if not part[0] & bits:
                kept.append(part)
            elif left := part[0] & ~bits:
                kept.append((left, part[1], part[2]))
        kept.append((bits, state, origins))
        return self._made(
            kept,
            self.sure & ~bits | (bits if state is State.IN else 0),
            self.possible & ~bits | (0 if state is State.OUT else bits),
        )

    def why(self, vid: int) -> tuple[State, Origins]:
        """Return what holds for `vid` and who decided it."""
        for bits, state, origins in self.parts:
            if bits >> vid & 1:
                return state, origins
        raise AssertionError("the parts of a cover hold every VID")

    def doubted(self, origins: Origins) -> Cover:
        """Return this cover with every VID unknown, since `origins` (an unread line) may change any."""
        return Cover(tuple((bits, State.UNKNOWN, join(origins, by)) for bits, _, by in self.parts))

    def because(self, origins: Origins) -> Cover:
        """Return this cover with `origins` behind every decision as well."""
        if not origins:
            return self
        parts: list[Part] = []
        before: Origins | None = None  # parts next to each other often share their evidence
        both: Origins = ()
        for bits, state, by in self.parts:
            if by is not before:
                before, both = by, join(by, origins)
            parts.append((bits, state, both))
        return self._made(parts, self.sure, self.possible)

    @staticmethod
    def _made(parts: Iterable[Part], sure: int, possible: int) -> Cover:
        """Return the cover of `parts`, of which it is known what they hold."""
        made = Cover.__new__(Cover)
        made.parts, made.sure, made.possible = tuple(parts), sure, possible
        return made

    def __or__(self, other: Cover) -> Cover:
        """Union by Kleene's rules: in where either is in (its origins), out where both are out (both)."""
        return self._with(other, _either, State.IN)

    def __and__(self, other: Cover) -> Cover:
        """Intersection by Kleene's rules: out where either is out (its origins), in where both are in (both)."""
        return self._with(other, _both, State.OUT)

    def minus(self, other: Cover) -> Cover:
        """Difference: what is in here and out there."""
        flipped = ((bits, _FLIP[state], by) for bits, state, by in other.parts)
        return self & self._made(flipped, ~other.possible, ~other.sure)

    def _with(self, other: Cover, rule: _Rule, decides: State) -> Cover:
        """Return what both make by `rule`; a VID that has the state `decides` here has it whatever it is there."""
        if len(other.parts) == 1 and other.parts[0][1] is _FLIP[decides] and len(self.parts) < 3:
            yields, more = _FLIP[decides], other.parts[0][2]  # all of `other` yields to what is here
            parts = ((bits, state, join(by, more) if state is yields else by) for bits, state, by in self.parts)
            return self._made(parts, self.sure, self.possible)
        merged: dict[tuple[State, Origins], int] = {}
        for mine, state, by in self.parts:
            if state is decides:
                merged[state, by] = merged.get((state, by), 0) | mine
                continue
            for theirs, their_state, their_by in other.parts:
                if common := mine & theirs:
                    key = rule(state, by, their_state, their_by)
                    merged[key] = merged.get(key, 0) | common
        return Cover(tuple((bits, state, by) for (state, by), bits in merged.items()))

    def __eq__(self, other: object) -> bool:
        """Covers are equal when they say the same of every VID for the same reasons, in whatever order."""
        return isinstance(other, Cover) and self._canonical() == other._canonical()

    def __hash__(self) -> int:
        return hash((self.sure, self.possible))

    def _canonical(self) -> dict[tuple[State, Origins], int]:
        merged: dict[tuple[State, Origins], int] = {}
        for bits, state, by in self.parts:
            merged[state, by] = merged.get((state, by), 0) | bits
        return merged

    def __repr__(self) -> str:
        shown = f"Cover(in {text(self.sure)}"
        return shown + (f", unknown {text(self.possible & ~self.sure)})" if self.possible != self.sure else ")")

    def single(self) -> int | None:
        """Return the only VID that is in, or None when there is none or more than one."""
        return first(self.sure) if self.sure > 0 and self.sure & (self.sure - 1) == 0 else None


_FLIP = {State.IN: State.OUT, State.OUT: State.IN, State.UNKNOWN: State.UNKNOWN}


def _either(state: State, by: Origins, other: State, other_by: Origins) -> tuple[State, Origins]:
    if State.IN in (state, other):
        return State.IN, by if state is State.IN else other_by
    if State.UNKNOWN in (state, other):
        return State.UNKNOWN, by if state is State.UNKNOWN else other_by
    return State.OUT, join(by, other_by)


def _both(state: State, by: Origins, other: State, other_by: Origins) -> tuple[State, Origins]:
    if State.OUT in (state, other):
        return State.OUT, by if state is State.OUT else other_by
    if State.UNKNOWN in (state, other):
        return State.UNKNOWN, by if state is State.UNKNOWN else other_by
    return State.IN, join(by, other_by)
