"""A walk in; what it touches of the closet out, laid out for paper, with a numbered footprint for each step."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from enum import StrEnum
from itertools import count, repeat, takewhile
from typing import assert_never

from vlancheck.dot1q.model import Device, DeviceKind
from vlancheck.drawing.folding import Part, fits, folded, laid
from vlancheck.drawing.gathering import shortened
from vlancheck.drawing.picture import Box, Line, Picture, Socket, Sort
from vlancheck.drawing.placing import HEADING, TEXT
from vlancheck.drawing.texts import clean, fitted, width
from vlancheck.places import natural, split_place
from vlancheck.walk.flood import What
from vlancheck.walk.walk import Step, Walk

WIDE, HIGH = 522.0, 590.0  # points: a page of A4 or Letter, upright, less its margins and the words above
_ENDS, _APART = 12.0, 2.5  # both ends of a footprint, and the way to the next one
_ROOM = 150.0  # of the footprints of a row and their words; what needs more has several rows
_WIDEST = 250.0  # of a row in all
_LEAST = 40.0  # a note with less room is left out
_HALF = 228.0  # the widest text in a box: two of these and a cord between them are as wide as paper
_NAME = _HALF - _ROOM - 16  # the widest name of a port
_NO_VLANS = {DeviceKind.THROUGH, DeviceKind.UNMANAGED, DeviceKind.CARRIER_BOX}  # inside of them is no VLAN to name


class Shape(StrEnum):
    """What a footprint tells by its outline."""

    SENT = "sent"
    IN = "in"
    OUT = "out"
    DELIVERED = "delivered"
    LOST = "lost"
    OPEN = "open"  # what becomes of the copy is not known, or it grows for ever


@dataclass(frozen=True, slots=True)
class Footprint:
    """A step of a walk in the row of its port."""

    number: int  # of the step
    shape: Shape  # what happens
    certain: bool  # it happens whatever the unknown facts are
    x: float  # from where the row keeps room
    wide: float  # from end to end


@dataclass(frozen=True, slots=True)
class Tread:
    """All footprints of one row."""

    prints: tuple[Footprint, ...]  # in their order
    words: str  # the frames on the wire there, and what becomes of them
    words_x: float  # from where the row keeps room


@dataclass(frozen=True, slots=True)
class Trail:
    """A walk with its drawings."""

    walk: Walk  # whose steps the footprints are
    parts: tuple[Part, ...]  # drawings of what it touches, each for one sheet of paper
    treads: Mapping[str, Tread]  # socket -> its footprints
    hangs: Mapping[str, str]  # DEVICE:PORT -> what hangs there, of those that the walk touches


def trail(walked: Walk, picture: Picture, devices: Mapping[str, Device], hangs: Mapping[str, str]) -> Trail:
    """Return a walk with its drawings; boxes are called as in the `picture` of the survey."""
    made = _Laying(walked, picture, devices, hangs)
    return Trail(
        walked, made.parts(), made.treads, {port: words for port, words in hangs.items() if port in made.steps}
    )


class _Laying:
    """A walk on its way to paper."""

    def __init__(self, walked: Walk, picture: Picture, devices: Mapping[str, Device], hangs: Mapping[str, str]) -> None:
        self.walk, self.devices, self.hangs = walked, devices, hangs
        self.known = {box.name: box for box in picture.boxes if box.sort is Sort.DEVICE}
        self.picture = picture
        self.steps: dict[str, list[Step]] = {}  # DEVICE:PORT -> what happens there
        for step in walked.steps:
            self.steps.setdefault(step.port, []).append(step)
        self.treads: dict[str, Tread] = {}
        for port, steps in self.steps.items():
            for number, tread in enumerate(self._treads(steps)):
                self.treads[_key(port, number)] = tread

    def parts(self) -> tuple[Part, ...]:
        """Return drawings that fit on paper, with what hangs at the ports where there is room for it."""
        lines = tuple(self._lines())
        rich = laid(self._picture(lines, self._noted))
        return (rich,) if fits(rich, WIDE, HIGH) else folded(self._picture(lines, lambda rows: rows), WIDE, HIGH)

    def _picture(self, lines: tuple[Line, ...], noted: Callable[[list[Socket]], list[Socket]]) -> Picture:
        names = dict.fromkeys(split_place(port)[0] for port in self.steps)
        boxes = tuple(
            Box(
                key=name,
                name=fitted(clean(name), HEADING, _HALF, bold=True),
                sort=Sort.DEVICE,
                words=fitted(self._words(name), TEXT, _HALF),
                sockets=tuple(noted(list(self._sockets(name)))),
            )
            for name in names
        )
        return replace(self.picture, boxes=boxes, lines=lines, inks=(), chosen="", before="", changes=())

    def _sockets(self, name: str) -> Iterator[Socket]:
        """Yield the rows of a box: its ports, each with further rows where its footprints need them."""
        ports = sorted((port for port in self.steps if split_place(port)[0] == name), key=natural)
        for row in shortened([Socket(key=port, name=split_place(port)[1], whole=port) for port in ports]):
            keys = takewhile(self.treads.__contains__, map(_key, repeat(row.key), count()))
            for number, key in enumerate(keys):
                tread = self.treads[key]
                kept = tread.words_x + width(tread.words, TEXT)
                yield replace(row, key=key, name="" if number else _last(clean(row.name)), kept=kept)

    def _noted(self, rows: list[Socket]) -> list[Socket]:
        """Return the rows of a box with what hangs at its ports, as far as there is room."""
        taken = max(width(clean(row.name), TEXT, bold=True) for row in rows) + max(row.kept for row in rows) + 16
        room = _WIDEST - taken
        if room < _LEAST:
            return rows
        return [
            replace(row, note=fitted(clean(self.hangs.get(row.key, "")), TEXT, room)) if row.key in self.hangs else row
            for row in rows
        ]

    def _words(self, name: str) -> str:
        """Return what a box is, and in which VLANs the frame is inside it."""
        kind = self.known[name].words if name in self.known else str(self.devices[name].kind)
        inside = [step for port in self.steps if split_place(port)[0] == name for step in self.steps[port]]
        vids = sorted({step.vid for step in inside if step.what is What.ENTERS and step.vid is not None})
        if not vids or self.devices[name].kind in _NO_VLANS:
            return kind
        more = f" and {len(vids) - 3} more" if len(vids) > 3 else ""
        return f"{kind}, inside: VLAN {', '.join(map(str, vids[:3]))}{more}"

    def _lines(self) -> Iterator[Line]:
        """Yield the cords that copies pass, in the order in which they do so."""
        seen: set[tuple[str, str]] = set()
        for step in self.walk.steps[1:]:
            cause = self.walk.steps[step.parent - 1]
            line = Line(one=cause.port, other=step.port)
            if _passes(cause, step) and line.key not in seen:
                seen.add(line.key)
                yield line

    def _treads(self, steps: Iterable[Step]) -> Iterator[Tread]:
        """Yield the footprints of a port, as many in a row as there is room for."""
        row: list[Step] = []
        for step in steps:
            if row and self._tread([*row, step]).words_x + width(self._said([*row, step]), TEXT) > _ROOM:
                yield self._tread(row)
                row = []
            row.append(step)
        yield self._tread(row)

    def _tread(self, steps: list[Step]) -> Tread:
        x, prints = 0.0, []
        for step in steps:
            wide = round(width(str(step.number), TEXT, bold=True) + _ENDS, 1)
            prints.append(Footprint(step.number, _shape(step), step.certain, round(x, 1), wide))
            x += wide + _APART
        return Tread(tuple(prints), self._said(steps), round(x + 2, 1))

    def _said(self, steps: Iterable[Step]) -> str:
        """Return the frames on the wire at some steps, and what becomes of those that go no further."""
        words: dict[str, None] = {}
        for step in steps:
            if not (step.what is What.LOST and self.walk.steps[step.parent - 1].what is What.ENTERS):
                words[step.frame] = None  # else it stands inside the box, and on no wire
            if (fate := _fate(step.what)) and not (step.what is What.LOST and fate in words):
                words[fate] = None
        return fitted(", ".join(map(clean, words)), TEXT, _ROOM / 2)


def _key(port: str, number: int) -> str:
    """Return the key of a row of a port."""
    return f"{port}\t{number}" if number else port


def _last(name: str) -> str:
    """Return the name of a port, without its beginning where it is too long: its number is at its end."""
    cut = name
    while width(cut, TEXT, bold=True) > _NAME:
        cut = f"…{cut.lstrip('…')[1:]}"
    return cut


def _passes(cause: Step, step: Step) -> bool:
    """Tell whether a copy went over a cord between two steps."""
    return cause.what in (What.SENT, What.LEAVES) and step.port != cause.port


def _shape(step: Step) -> Shape:
    match step.what:
        case What.SENT:
            return Shape.SENT
        case What.ENTERS:
            return Shape.IN
        case What.LEAVES:
            return Shape.OUT
        case What.DELIVERED:
            return Shape.DELIVERED
        case What.LOST:
            return Shape.LOST
        case What.DOUBT | What.GROWING:
            return Shape.OPEN
        case _ as never:
            assert_never(never)


def _fate(what: What) -> str:
    match what:
        case What.LOST:
            return "lost"
        case What.DOUBT:
            return "unproven"
        case What.GROWING:
            return "growing"
        case What.SENT | What.ENTERS | What.LEAVES | What.DELIVERED:
            return ""
        case _ as never:
            assert_never(never)
