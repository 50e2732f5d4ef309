"""A picture in, where everything is on paper out, in points: boxes in columns, rows in boxes, lines between rows."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from vlancheck.drawing.ordering import Columns, Piece, ordered
from vlancheck.drawing.picture import Box, MarkSort, Picture, Socket
from vlancheck.drawing.ranks import ranks
from vlancheck.drawing.texts import clean, fitted, width

TEXT, HEADING = 9.0, 10.5  # points; no text is smaller
ROW, HEAD = 12.5, 29.0  # heights of a row, and of the heading with the words under it
PAD = 5.0  # between the edge of a box and its texts
SPACE = 20.0  # between two boxes of a column
LANE, LANES = 7.0, 12.0  # between two lines that pass a column, and between such a line and a box
GAP, MOST = 44.0, 120.0  # between two columns, at least and at most
NOTE = 132.0  # the widest note
# The widest word of a mark, which is written instead of the cord's label and the note.
MARK = max(width(sort, TEXT, bold=True) for sort in MarkSort)
_ROUNDS = 8  # of pulling boxes to where their lines lead


@dataclass(frozen=True, slots=True)
class Row:
    """A socket on paper."""

    socket: Socket
    y: float  # middle
    name: str  # texts as they fit
    label: str
    note: str
    kept_x: float  # from the left edge of the box
    label_x: float
    note_x: float


@dataclass(frozen=True, slots=True)
class Frame:
    """A box on paper."""

    box: Box
    x: float  # left edge
    y: float  # upper edge
    width: float
    height: float
    title: str  # as it fits
    words: str  # as they fit
    rows: tuple[Row, ...]
    idle: str = ""  # of the ports that are left out; "" none


@dataclass(frozen=True, slots=True)
class Layout:
    """Everything on paper."""

    frames: tuple[Frame, ...]  # in the order of the boxes
    paths: Mapping[tuple[str, str], tuple[tuple[float, float], ...]]  # line -> corners, two for each gap it crosses
    width: float
    height: float
    crossings: int  # how often lines cross


def lay_out(whole: Picture, *shown: Picture) -> tuple[Layout, ...]:
    """Return the layouts of pictures, all with the boxes where they are in `whole`, which holds what is in any."""
    plan = _Plan(whole, shown)
    return tuple(plan.layout(picture) for picture in shown)


class _Plan:
    """Where boxes and lanes are, for several pictures of one closet."""

    def __init__(self, whole: Picture, shown: Sequence[Picture]) -> None:
        self.column, self.turned = ranks(whole)
        several = {
            box.key: [one for picture in shown for one in picture.boxes if one.key == box.key] for box in whole.boxes
        }
        self.measures = {box.key: [_measure(one) for one in several[box.key] or [box]] for box in whole.boxes}
        self.columns = self._ordered(whole)
        last = 1 + max(self.column.values(), default=0)
        self.wide = [
            max((m[0] for box in whole.boxes if self.column[box.key] == n for m in self.measures[box.key]), default=0.0)
            for n in range(last)
        ]
        self.x: list[float] = []
        x = 0.0
        for number in range(last):
            self.x.append(x)
            lines = len(self.columns.gaps[number]) if number < len(self.columns.gaps) else 0
            x += self.wide[number] + min(MOST, GAP + lines)
        self.y = self._heights()

    def _ordered(self, whole: Picture) -> Columns:
        at = {socket.key: (box.key, row) for box in whole.boxes for row, socket in enumerate(box.sockets)}
        last = 1 + max(self.column.values(), default=0)
        columns: list[list[str]] = [[] for _ in range(last)]
        for box in sorted(whole.boxes, key=lambda box: self.column[box.key]):
            columns[self.column[box.key]].append(box.key)
        gaps: list[list[Piece]] = [[] for _ in range(last - 1)]
        for key, (one, other) in self.turned.items():
            rows = {at[end][0]: at[end][1] for end in key}
            left, row = one, rows[one]
            for column in range(self.column[one] + 1, self.column[other]):
                lane = _lane(key, column)
                columns[column].append(lane)
                gaps[column - 1].append(Piece(left, row, lane, 0))
                left, row = lane, 0
            gaps[self.column[other] - 1].append(Piece(left, row, other, rows[other]))
        return ordered(columns, gaps)

    def _height(self, name: str) -> float:
        return max(height for _, height in self.measures[name]) if name in self.measures else 0.0

    def _offset(self, name: str, row: int) -> float:
        """Return how far below the upper edge of a box or lane a row is."""
        return HEAD + ROW * (row + 0.5) if name in self.measures else 0.0

    def _heights(self) -> dict[str, float]:
        """Return the upper edge of every box and lane: each as near as can be to where its lines lead."""
        pulls: dict[str, list[tuple[str, float]]] = {}  # name -> other end, and how far lower it should lie
        for piece in (piece for gap in self.columns.gaps for piece in gap):
            down = self._offset(piece.one, piece.row) - self._offset(piece.other, piece.end)
            pulls.setdefault(piece.other, []).append((piece.one, down))
            pulls.setdefault(piece.one, []).append((piece.other, -down))
        y: dict[str, float] = {}
        for column in self.columns.order:
            below = 0.0
            for number, name in enumerate(column):
                below += _between(column[number - 1], name, self.measures) if number else 0.0
                y[name] = below
                below += self._height(name)
        order = self.columns.order
        for sweep in range(_ROUNDS):
            for column in order if sweep % 2 == 0 else tuple(reversed(order)):
                starts, steps = [], 0.0
                for number, name in enumerate(column):
                    if number:
                        steps += self._height(column[number - 1]) + _between(column[number - 1], name, self.measures)
                    starts.append(steps)
                wishes = []
                for name, start in zip(column, starts, strict=True):
                    wanted = [y[far] + down for far, down in pulls.get(name, ())]
                    mean = sum(wanted) / len(wanted) if wanted else y[name]
                    wishes.append((mean - start, float(len(wanted) or 0.01)))
                for name, start, place in zip(column, starts, _rising(wishes), strict=True):
                    y[name] = place + start
        top = min(y.values(), default=0.0)
        return {name: round(value - top, 1) for name, value in y.items()}

    def layout(self, picture: Picture) -> Layout:
        """Return where everything of one picture is."""
        frames: list[Frame] = []
        anchors: dict[str, tuple[str, float, float, float]] = {}
        for box in picture.boxes:
            column = self.column[box.key]
            x, y, wide = self.x[column], self.y[box.key], self.wide[column]
            rows = _rows(box, wide)
            placed = tuple(
                Row(socket, round(y + HEAD + ROW * (number + 0.5), 1), *texts)
                for number, (socket, texts) in enumerate(zip(box.sockets, rows, strict=True))
            )
            for row in placed:
                anchors[row.socket.key] = (box.key, x, x + wide, row.y)
            inner = wide - 2 * PAD
            height = max(high for _, high in self.measures[box.key])
            title = fitted(clean(box.name), HEADING, inner, bold=True)
            words = fitted(clean(box.words), TEXT, inner)
            idle = _idle(box) if box.idle else ""
            frames.append(Frame(box, x, y, wide, height, title, words, placed, idle))
        paths = {line.key: self._path(line.key, anchors) for line in picture.lines}
        high = max((self.y[name] + self._height(name) for name in self.y), default=0.0)
        right = self.x[-1] + self.wide[-1] if self.x else 0.0
        return Layout(tuple(frames), paths, round(right, 1), round(high, 1), self.columns.crossings)

    def _path(
        self, key: tuple[str, str], anchors: Mapping[str, tuple[str, float, float, float]]
    ) -> tuple[tuple[float, float], ...]:
        """Return the corners of a line: where it leaves a column and where it meets the next, in turn."""
        ends = [anchors[end] for end in key]
        if key not in self.turned:  # within one box: a hook at its right
            edge, hook = ends[0][2], ends[0][2] + GAP / 3
            return (edge, ends[0][3]), (hook, ends[0][3]), (hook, ends[1][3]), (edge, ends[1][3])
        one, other = self.turned[key]
        left, right = ends if ends[0][0] == one else ends[::-1]
        points = [(left[2], left[3])]
        for column in range(self.column[one] + 1, self.column[other]):
            y = self.y[_lane(key, column)]
            points += [(self.x[column], y), (self.x[column] + self.wide[column], y)]
        return (*points, (right[1], right[3]))


def _lane(key: tuple[str, str], column: int) -> str:
    """Return the name of the lane of a line in a column; no box is called so."""
    return f"{key[0]}\n{key[1]}\n{column}"


def _between(upper: str, lower: str, boxes: Mapping[str, object]) -> float:
    """Return the least space between two neighbours of a column."""
    if upper in boxes and lower in boxes:
        return SPACE
    return LANES if upper in boxes or lower in boxes else LANE


def _rising(wishes: Iterable[tuple[float, float]]) -> list[float]:
    """Return places that never fall and lie as near to the weighted wishes as can be.

    Neighbours that would change places are put at their mean: Barlow, Bartholomew, Bremner and Brunk, Statistical
    Inference under Order Restrictions, 1972, the pool-adjacent-violators algorithm.
    """
    pools: list[list[float]] = []  # sum of weighted wishes, weight, how many
    for wish, weight in wishes:
        pools.append([wish * weight, weight, 1])
        while len(pools) > 1 and pools[-2][0] / pools[-2][1] > pools[-1][0] / pools[-1][1]:
            last = pools.pop()
            pools[-1] = [mine + more for mine, more in zip(pools[-1], last, strict=True)]
    return [total / weight for total, weight, count in pools for _ in range(int(count))]


def _measure(box: Box) -> tuple[float, float]:
    """Return how wide and how high a box is by itself."""
    widths = [width(clean(box.name), HEADING, bold=True), width(clean(box.words), TEXT), width(_idle(box), TEXT)]
    name, kept, label, note = _parts(box)
    # Where room is kept, nothing is written instead of label and note.
    widths.append(name + 8 + kept + max((label + 8 if label else 0) + note, 0.0 if kept else MARK))
    height = HEAD + ROW * (len(box.sockets) + (1 if box.idle or box.inside else 0)) + PAD
    return round(max(60.0, min(260.0, max(widths))) + 2 * PAD, 1), height


def _parts(box: Box) -> tuple[float, float, float, float]:
    """Return the widths of a box's columns of names, of what is kept free, of cord labels and of notes."""
    names = max((min(100.0, width(clean(one.name), TEXT, bold=True)) for one in box.sockets), default=0.0)
    labels = max((min(60.0, width(_labels(one), TEXT)) for one in box.sockets), default=0.0)
    notes = max((min(NOTE, width(clean(one.note), TEXT, bold=one.hold)) for one in box.sockets), default=0.0)
    kept = max((one.kept + 8 for one in box.sockets if one.kept), default=0.0)
    return names, kept, labels, notes


def _rows(box: Box, wide: float) -> list[tuple[str, str, str, float, float, float]]:
    """Return the texts of every row, and where what is kept free, the label and the note begin."""
    names, kept, labels, notes = _parts(box)
    kept_x = PAD + names + 8
    label_x = kept_x + kept
    note_x = label_x + (labels + 8 if labels else 0)
    room = max(notes, wide - PAD - note_x)
    return [
        (
            fitted(clean(one.name), TEXT, names, bold=True),
            fitted(_labels(one), TEXT, labels),
            fitted(clean(one.note), TEXT, room, bold=one.hold),
            round(kept_x, 1),
            round(label_x, 1),
            round(note_x, 1),
        )
        for one in box.sockets
    ]


def _labels(socket: Socket) -> str:
    """Return the labels of the cords at a socket in few words."""
    labels = [clean(label) for label in socket.labels]
    return labels[0] if len(labels) == 1 else f"{labels[0]} +{len(labels) - 1}" if labels else ""


def _idle(box: Box) -> str:
    return f"+ {box.idle} without a cord" if box.idle else ""
