"""A network's carriage in; which of its ports can be exchanged without a change of needed carriage, out.

Two ports are exchangeable when whatever one of them sends and hears, to and from every third place and to and from each
other, the other does as well.  That is an equivalence: the exchanges that change nothing form a group.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Collection, Hashable, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any, NamedTuple

from vlancheck.changes.side import EVERY_FRAME
from vlancheck.dot1q.forward import World
from vlancheck.dot1q.tags import C_TAG, Frame
from vlancheck.verdicts.arriving import one_frame
from vlancheck.walk.carriage import Carriage
from vlancheck.walk.flood import What
from vlancheck.walk.framesets import PAIR, SINGLE, TAGS, UNTAGGED, FrameSets
from vlancheck.walk.symbolic import Among, Copy
from vlancheck.wiring.network import Network

Entries = frozenset[tuple[Hashable, ...]]  # ways in which frames get from one place to another, with the sets of them
_NONE: Entries = frozenset()
_SELF = -1  # in a row: the sender itself, to which its own frames come back


class Difference(NamedTuple):
    """Frames that one of two ports exchanges with a third place, and the other does not."""

    sends: bool  # the two ports send them, and the third place hears; else the other way round
    third: str  # DEVICE:PORT
    frame: Frame | None  # as it arrives; None: what becomes of it is not known
    first: bool  # the first of the two ports does; else the second


class Way(NamedTuple):
    """How frames get from a port to a third place, or from there."""

    third: str  # DEVICE:PORT, one that stands for its class
    sends: bool  # the port sends and the third place hears; else the other way round
    frame: Frame  # as it arrives; a VID below zero is the one it was sent with
    sent: int  # the frames that are sent, as a set (bit 4095: untagged)


class Open(NamedTuple):
    """A frame of which nobody knows what becomes."""

    sender: str  # DEVICE:PORT
    frame: Frame  # as it is sent
    at: str  # DEVICE:PORT where it may arrive; the sender where no other is known


@dataclass(slots=True)
class _Unit:
    """Ports that every bridge treats alike: one speaks for all."""

    number: int
    places: list[str]
    needs: int  # frames that matter here (bit 4095: untagged)
    guarded: bool  # every frame from here and to here matters
    key: Hashable = None  # ports with other keys are never exchanged; None: no candidate at all
    wants: int = EVERY_FRAME  # frames that what is plugged in needs itself
    open: Open | None = None  # where something unknown decides about frames that matter


class Exchange:
    """Answers which ports are exchangeable."""

    def __init__(
        self,
        network: Network,
        carriage: Carriage,
        keys: Mapping[str, Hashable],
        needs: Callable[[str], int],
        guarded: Collection[str],
        *,
        exact: bool = False,
        wants: Callable[[str], int] = lambda place: EVERY_FRAME,
    ) -> None:
        """Take the carriage of `network`.

        `keys` has the candidates, boundary ports without a link, and what must be equal of two that are exchanged.
        `needs` are the frames that matter at a boundary port, and each of them matters at every candidate; `guarded`
        are the ports where every frame does.  With `exact` every frame matters everywhere.  `wants` are the frames that
        what is plugged into a port needs itself, 0 for nothing: `ways` tells no others of a third place.
        """
        self._carriage = carriage
        self._exact, self._handoffs = exact, network.handoffs
        self._worlds = (World.SURE,) if network.certain else (World.SURE, World.POSSIBLE)
        shared = EVERY_FRAME if exact else 0
        for place in keys:
            shared |= needs(place)
        self._units: list[_Unit] = []
        self._unit: dict[str, _Unit] = {}
        known: dict[Hashable, _Unit] = {}
        for place in network.boundary:
            asked = EVERY_FRAME if exact else shared if place in keys else needs(place)
            own = wants(place)
            key = (carriage.speakers(place), keys.get(place), place in guarded, asked, own)
            if key not in known:
                known[key] = _Unit(len(known), [], asked, place in guarded, keys.get(place), own)
                self._units.append(known[key])
            known[key].places.append(place)
            self._unit[place] = known[key]
        self._ways: dict[tuple[int, int], frozenset[Way]] = {}
        self._among: dict[tuple[str, ...], list[_Unit]] = {}
        self._outside: dict[tuple[str, ...], int] = {}
        self._rows: list[dict[int, Entries]] = [self._row(unit) for unit in self._units]
        self._columns: list[dict[int, Entries]] = [{} for _ in self._units]
        for number, row in enumerate(self._rows):
            for other, entries in row.items():
                if 0 <= other < len(self._columns):
                    self._columns[other][number] = entries
        for number, row in enumerate(self._rows):
            self._find_open(number, row)

    def classes(self) -> Iterator[tuple[str, ...]]:
        """Yield the candidates by classes of exchangeable ports, in the order of the boundary; many are alone."""
        for several in self._grouped:
            yield tuple(place for unit in several for place in unit.places)

    @cached_property
    def _grouped(self) -> list[list[_Unit]]:
        """The units of the candidates by classes."""
        made: defaultdict[Hashable, list[list[_Unit]]] = defaultdict(list)
        ordered: list[list[_Unit]] = []
        for unit in self._units:
            if unit.key is None:
                continue
            for several in made[unit.key]:
                if self._exchangeable(several[0], unit):
                    several.append(unit)
                    break
            else:
                ordered.append([unit])
                made[unit.key].append(ordered[-1])
        return ordered

    @cached_property
    def _class(self) -> dict[int, list[_Unit]]:
        """The class of each unit; one that is no candidate is alone."""
        found = {unit.number: [unit] for unit in self._units}
        for several in self._grouped:
            found.update((unit.number, several) for unit in several)
        return found

    def undecided(self, place: str) -> Open | None:
        """Return a frame from or to a port of which something unknown decides what becomes; None where all is known."""
        return self._unit[place].open

    def differences(self, one: str, other: str) -> Iterator[Difference]:
        """Yield what one of two ports exchanges with third places and the other does not."""
        first, second = self._unit[one], self._unit[other]
        both = {first.number, second.number, _SELF}
        for sends, table in ((True, self._rows), (False, self._columns)):
            mine, theirs = table[first.number], table[second.number]
            for third in sorted({*mine, *theirs} - both):
                if third >= len(self._units):
                    continue
                here, there = mine.get(third, _NONE), theirs.get(third, _NONE)
                for entry in sorted(here ^ there, key=repr)[:1]:
                    frame = entry[3] if entry[2] is What.DELIVERED else None
                    assert frame is None or isinstance(frame, tuple)
                    yield Difference(sends, self._units[third].places[0], frame, entry in here)

    def speaker(self, place: str) -> str:
        """Return the port that stands for a boundary port and all of its class."""
        return self._speaks(self._unit[place])

    def _speaks(self, unit: _Unit) -> str:
        return self._class[unit.number][0].places[0]

    def another(self, place: str, but: str) -> str:
        """Return a port of a port's class with something in it, `but` not where there is any other."""
        several = [one for unit in self._class[self._unit[place].number] if unit.wants for one in unit.places]
        return next((one for one in several if one != but), place)

    def counts(self, place: str) -> bool:
        """Tell whether something is there that sends and hears."""
        return bool(self._unit[place].wants)

    def alone(self, place: str) -> bool:
        """Tell whether nothing is plugged into any other port of a port's class."""
        several = self._class[self._unit[place].number]
        return sum(len(unit.places) for unit in several if unit.wants) <= 1

    def ways(self, place: str, frames: int) -> frozenset[Way]:
        """Return how frames of at most one tag certainly get from and to a port, those of `frames` alone.

        Where several ports hear alike, one of them is told.
        """
        unit = self._unit[place]
        key = unit.number, frames
        if key not in self._ways:
            found = list(self._sending(unit, frames))
            for other, entries in self._columns[unit.number].items():
                sender = self._units[other]
                for tpids, frame, value in _plain(entries) if sender.wants else ():
                    sent = value & sender.wants if tpids == (C_TAG,) and not self._carriers(sender) else value
                    if hit := _arriving(frame, sent, frames):
                        found.append(Way(self._speaks(sender), False, frame, hit))
            self._ways[key] = frozenset(found)
        return self._ways[key]

    def _carriers(self, unit: _Unit) -> bool:
        """Tell whether a carrier may send any frame there."""
        return unit.places[0] in self._handoffs

    def _sending(self, unit: _Unit, frames: int) -> Iterator[Way]:
        for other, entries in self._rows[unit.number].items():
            third = self._units[other] if 0 <= other < len(self._units) else None
            if third is not None and third.wants:
                heard = EVERY_FRAME if third.guarded else third.wants
                for tpids, frame, value in _plain(entries):
                    if tpids == (C_TAG,) and (hit := _arriving(frame, value & frames, heard)):
                        yield Way(self._speaks(third), True, frame, hit)

    def _exchangeable(self, one: _Unit, other: _Unit) -> bool:
        if one.open or other.open:
            return False
        a, b = one.number, other.number
        mine, theirs = self._rows[a], self._rows[b]
        across = mine.get(b, _NONE)
        if across != theirs.get(a, _NONE) or mine.get(_SELF) != theirs.get(_SELF):
            return False
        for unit, row in ((one, mine), (other, theirs)):
            if len(unit.places) > 1 and row.get(unit.number, _NONE) != across:
                return False
        both = {a, b, _SELF}
        if _without(mine, both) != _without(theirs, both):
            return False
        return _without(self._columns[a], both) == _without(self._columns[b], both)

    def _row(self, unit: _Unit) -> dict[int, Entries]:
        """Return what a unit's frames come to, by the unit they arrive at."""
        found: defaultdict[int, set[tuple[Hashable, ...]]] = defaultdict(set)
        for world in self._worlds:
            for tpids in self._carriage.forms:
                outcome = self._carriage.outcome(unit.places[0], tpids, world)
                for copy, value in outcome.copies.items():
                    for number, entry in self._entries(unit, tpids, copy, value):
                        found[number].add((world, *entry))
                for name, value in (("growing", outcome.growing), ("looping", outcome.looping)):
                    if hit := self._sent(unit, tpids, value):
                        found[_SELF].add((world, tpids, name, (), "", hit))
        return {number: frozenset(entries) for number, entries in found.items()}

    def _find_open(self, number: int, row: Mapping[int, Entries]) -> None:
        """Mark the units between which something unknown decides: the worlds differ there, or a copy's end is open."""
        sender = self._units[number].places[0]
        for other, entries in row.items():
            if (found := self._unknown_in(entries)) is None:
                continue
            at = self._units[other].places[0] if 0 <= other < len(self._units) else sender
            for unit in {number, other} & set(range(len(self._units))):
                self._units[unit].open = self._units[unit].open or Open(sender, found, at)

    def _unknown_in(self, entries: Entries) -> Frame | None:
        """Return a frame of a row's entries of which nobody knows what becomes; None where all is known."""
        sets: dict[tuple[Hashable, ...], dict[object, Any]] = {}
        for world, *way, value in entries:
            sets.setdefault(tuple(way), {})[world] = value
        for (tpids, what, *_), values in sorted(sets.items(), key=lambda one: repr(one[0])):
            assert isinstance(tpids, tuple)
            algebra: FrameSets[Any] = SINGLE if len(tpids) == 1 else PAIR
            most = values.get(self._worlds[-1], algebra.none)
            if what is not What.DOUBT and World.SURE in values:
                most = algebra.without(most, values[World.SURE])
            if most:
                return one_frame(tpids, most)
        return None

    def _entries(
        self, unit: _Unit, tpids: tuple[int, ...], copy: Copy, value: Any
    ) -> Iterator[tuple[int, tuple[Hashable, ...]]]:
        """Yield the numbers of the units at which a copy is, and how it is there, as far as it matters."""
        places = copy.group.places
        others = self._in_group(places)
        if not others and (hit := self._sent(unit, tpids, value)):
            # Inside the network, where its fate is not known: a number above those of the units.
            outside = len(self._units) + self._outside.setdefault(places, len(self._outside))
            yield outside, (tpids, copy.what, copy.frame, copy.interface, hit)
        for other in others:
            if not (hit := self._matters(unit, other, tpids, copy, value)):
                continue
            entry = (tpids, copy.what, copy.frame, copy.interface, hit)
            if copy.among is not Among.SENDER and not (other is unit and len(unit.places) == 1):
                yield other.number, entry
            if copy.among is not Among.OTHERS and other is unit:
                yield _SELF, entry

    def _in_group(self, places: tuple[str, ...]) -> list[_Unit]:
        if places not in self._among:
            units = {unit.number: unit for place in places if (unit := self._unit.get(place))}
            self._among[places] = list(units.values())
        return self._among[places]

    def _sent(self, unit: _Unit, tpids: tuple[int, ...], value: Any) -> Any:
        if self._exact or unit.guarded or not value:
            return value
        if len(tpids) > 1:
            return value if unit.needs == EVERY_FRAME else ()
        return value & unit.needs

    def _matters(self, unit: _Unit, other: _Unit, tpids: tuple[int, ...], copy: Copy, value: Any) -> Any:
        """Return those of a copy's sent frames that matter: needed where they are sent and as what they arrive."""
        if self._exact or unit.guarded or other.guarded:
            return value
        sent = self._sent(unit, tpids, value)
        if not sent or copy.what is not What.DELIVERED or other.needs == EVERY_FRAME:
            return sent
        if len(tpids) > 1 or len(copy.frame) > 1:
            return ()
        if not copy.frame:
            return sent if other.needs & UNTAGGED else 0
        vid = copy.frame[0].vid
        if vid < 0:
            return sent & (TAGS & other.needs)
        return sent if other.needs >> vid & 1 else 0


def _plain(entries: Entries) -> Iterator[tuple[tuple[int, ...], Frame, int]]:
    """Yield what is certainly delivered of frames of at most one tag: their form, as what they arrive, and which."""
    for world, tpids, what, frame, _, value in entries:
        if world is World.SURE and what is What.DELIVERED and isinstance(value, int):
            assert isinstance(tpids, tuple)
            assert isinstance(frame, tuple)
            yield tpids, frame, value


def _arriving(frame: Frame, value: int, frames: int) -> int:
    """Return which sent frames arrive as one of `frames`."""
    if not frame:
        return value if frames & UNTAGGED else 0
    if len(frame) > 1 or frame[0].tpid != C_TAG:
        return 0
    vid = frame[0].vid
    return value & frames & TAGS if vid < 0 else value if frames >> vid & 1 else 0


def _without(row: Mapping[int, Entries], numbers: Collection[int]) -> dict[int, Entries]:
    return {number: entries for number, entries in row.items() if number not in numbers}
