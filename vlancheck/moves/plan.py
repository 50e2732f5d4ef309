"""Classes of alike ports and heights in a cabinet in; a re-patching with the same carriage and shorter cords out.

Only cords that are free move, and only within their class, so that what is carried cannot change.  Which cord goes to
which port is an assignment of the least total length, which scipy solves; less than a socket's width for each cord
that moves is no gain.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from vlancheck.moves.alike import Alikeness
from vlancheck.moves.compared import AlikePort, Cord
from vlancheck.places import natural, split_place
from vlancheck.site.boxes import Boxes
from vlancheck.site.ends import EndSort
from vlancheck.site.repatched import CordEnd, NewEnd, cord_end
from vlancheck.site.strands import Node

UNIT = 44.45  # millimetres of a height unit (IEC 60297-3-100, from memory)
_WIDTH = 450  # millimetres between the rails (IEC 60297-3-100, from memory)
_ROW = 24  # sockets side by side in a panel, or pairs of sockets in a switch (common practice, no source)
_MOVE = 19  # millimetres, a socket's width: what a plan must save for each cord that it moves


@dataclass(frozen=True, slots=True)
class Shift:
    """One cord that goes to another port."""

    label: str  # of the cord; "" none
    name: str  # panel port at its other end
    serves: str  # what hangs there, as written
    before: str  # DEVICE:PORT
    after: str  # DEVICE:PORT
    saves: int  # millimetres; below zero where it makes room for others
    end: NewEnd  # what changes in the sheet


@dataclass(frozen=True, slots=True)
class Plan:
    """A re-patching."""

    shifts: tuple[Shift, ...]  # in the order of the panel ports
    cords: int  # how many cords may move freely and were looked at
    before: int  # millimetres from socket to socket that these cords bridge now, all together
    after: int  # and then
    no_height: tuple[str, ...] = ()  # boxes at no known height: no cord goes up or down for them


@dataclass(frozen=True, slots=True)
class _Loose:
    """A free cord."""

    port: AlikePort  # where it is now
    end: CordEnd  # the end that is there; the other one stays

    @property
    def socket(self) -> Node:
        """Return where its other end is."""
        return self.end.socket


def plan(alikeness: Alikeness, boxes: Boxes, heights: Mapping[str, int]) -> Plan:
    """Return the re-patching of the least length; `heights` are units counted from the bottom, by box.

    The classes must be those of exactly equal carriage.  Where the height of a box of a class is not known, cords of
    the class stay at their device, and only what is left and right counts.
    """
    ports_of = {name: _counted(port.name for port in box.ports.values()) for name, box in boxes.devices.items()}
    measure = _Measure(heights, ports_of)
    shifts: list[Shift] = []
    count = before = after = 0
    missing: set[str] = set()
    for alike in alikeness.classes:
        if not alike.free:
            continue
        loose = [found for port in alike.free if (found := _loose(port, boxes)) is not None]
        slots = [port for port in alike.ports if port.cord is Cord.EMPTY] + [found.port for found in loose]
        names = {split_place(port.place)[0] for port in slots} | {split_place(found.socket.name)[0] for found in loose}
        unknown = {name for name in names if name not in heights}
        missing |= unknown if loose else set()
        for cords, room in _groups(loose, slots, apart=bool(unknown)):
            count += len(cords)
            costs = [
                [measure.length(found.socket.name, port.place, flat=bool(unknown)) for port in room] for found in cords
            ]
            for row, column in _assigned(costs, [room.index(found.port) for found in cords]):
                found, port = cords[row], room[column]
                now, then = costs[row][room.index(found.port)], costs[row][column]
                before, after = before + round(now), after + round(then)
                if port is not found.port:
                    end = found.end.to(port.place)
                    label, serves = end.cord.label, found.port.serves
                    saved = round(now) - round(then)
                    shifts.append(Shift(label, found.socket.name, serves, found.port.place, port.place, saved, end))
    shifts.sort(key=lambda shift: natural(shift.name))
    return Plan(tuple(shifts), count, before, after, tuple(sorted(missing)))


def _loose(port: AlikePort, boxes: Boxes) -> _Loose | None:
    """Return the cord in a port, where it is one row of a sheet that leads to a panel."""
    end = cord_end(boxes, port.place)
    return _Loose(port, end) if end is not None and end.socket.sort is EndSort.PANEL else None


def _groups(
    loose: Sequence[_Loose], slots: Sequence[AlikePort], *, apart: bool
) -> Iterator[tuple[list[_Loose], list[AlikePort]]]:
    """Yield cords with the ports they may go to: all of a class, or those of one device."""
    if not apart:
        yield list(loose), list(slots)
        return
    for device in dict.fromkeys(split_place(found.port.place)[0] for found in loose):
        cords = [found for found in loose if split_place(found.port.place)[0] == device]
        yield cords, [port for port in slots if split_place(port.place)[0] == device]


def _assigned(costs: Sequence[Sequence[float]], now: Sequence[int]) -> list[tuple[int, int]]:
    """Return for each row its column, each column at most once, with the least sum of lengths and moves."""
    if not costs:
        return []
    from scipy.optimize import linear_sum_assignment

    # Whole numbers: no two sums are told apart by the way they were added up.
    whole = [
        [round(cost) + (0 if column == now[row] else _MOVE) for column, cost in enumerate(line)]
        for row, line in enumerate(costs)
    ]
    rows, columns = linear_sum_assignment(whole)
    return [(int(row), int(column)) for row, column in zip(rows, columns, strict=True)]


class _Measure:
    """Measures how far two sockets are apart, along the rails and across."""

    def __init__(self, heights: Mapping[str, int], ports_of: Mapping[str, Mapping[str, int]]) -> None:
        self.heights, self.ports_of = heights, ports_of

    def length(self, panel_port: str, port: str, *, flat: bool) -> float:
        """Return millimetres from a panel port to a switch port; with `flat` only those to the left or right."""
        (panel, number), (device, name) = split_place(panel_port), split_place(port)
        at = _last_number(number)
        across = abs(_across((at - 1) % _ROW, _ROW) - self._switch(device, name))
        if flat:
            return across
        units = abs(self.heights[panel] - (at - 1) // _ROW - self.heights[device])
        return across + units * UNIT

    def _switch(self, device: str, name: str) -> float:
        words, last = _row_of(name), _last_number(name)
        several = self.ports_of.get(device, {}).get(words, last)
        # Odd ports stand above even ones, so that two share a column (common practice, no source).
        columns = max((several + 1) // 2, 1) if several > _ROW // 2 else max(several, 1)
        place = (last - 1) // 2 if several > _ROW // 2 else last - 1
        return _across(max(min(place, columns - 1), 0), max(columns, _ROW // 2))


def _across(column: int, columns: int) -> float:
    return (column + 0.5) * _WIDTH / columns


def _counted(names: Iterable[str]) -> dict[str, int]:
    """Return the highest number of the ports in each row of sockets."""
    found: dict[str, int] = {}
    for name in names:
        found[_row_of(name)] = max(found.get(_row_of(name), 0), _last_number(name))
    return found


def _row_of(name: str) -> str:
    return re.sub(r"\d+$", "", name)


def _last_number(name: str) -> int:
    found = re.search(r"(\d+)$", name)
    return int(found[1]) if found else 1
