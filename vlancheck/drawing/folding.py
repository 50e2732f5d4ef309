"""A picture that may be too large for a sheet of paper in; parts of it, each laid out on one sheet, out."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from vlancheck.drawing.picture import Box, Line, Picture, Socket
from vlancheck.drawing.placing import HEAD, PAD, ROW, Layout, lay_out

_AGAIN = "as before"  # of a box that has its rows on an earlier sheet
_CONTINUED = "continued"


@dataclass(frozen=True, slots=True)
class Part:
    """A drawing for one sheet."""

    picture: Picture  # what is on it
    layout: Layout  # where


def folded(picture: Picture, wide: float, high: float) -> tuple[Part, ...]:
    """Return parts of that size that hold every row and every line together, in the order of the lines.

    A box is whole on the first part that has it, and comes again, with the ends of lines alone, where one leads on.
    A part is larger where two boxes do not fit beside each other at all.
    """
    if fits(whole := laid(picture), wide, high):
        return (whole,)
    return tuple(_Folding(picture, wide, high).parts())


def laid(picture: Picture) -> Part:
    """Return a whole picture, its first box at the left, as one part."""
    shown = replace(picture, roots=tuple(box.key for box in picture.boxes[:1]))
    (layout,) = lay_out(shown, shown)
    return Part(shown, layout)


def fits(part: Part, wide: float, high: float) -> bool:
    """Tell whether a part is at most so large."""
    return part.layout.width <= wide and part.layout.height <= high


class _Folding:
    """A picture on its way to several parts."""

    def __init__(self, picture: Picture, wide: float, high: float) -> None:
        self.picture, self.wide, self.high = picture, wide, high
        rows = max(1, int((high - HEAD - PAD) // ROW) - 2)
        self.boxes = {piece.key: piece for box in picture.boxes for piece in _pieces(box, rows)}
        self.at = {socket.key: box for box in self.boxes.values() for socket in box.sockets}
        self.placed: set[str] = set()  # boxes that have their rows on some part

    def parts(self) -> Iterator[Part]:
        """Yield the parts."""
        boxes: dict[str, Box] = {}
        lines: list[Line] = []
        wanted: list[Line | str] = [*self.picture.lines, *self.boxes]
        for line in wanted:
            more = self._with(boxes, line)
            longer = [*lines, line] if isinstance(line, Line) else lines
            if boxes and not self._fit(more, longer):
                yield self._part(boxes, lines)
                more, longer = self._with({}, line), longer[len(lines) :]
            if isinstance(line, Line) and self.at[line.one].key not in self.placed and not self._fit(more, longer):
                # Two boxes are too high beside each other: the first comes alone, and then again.
                yield self._part({self.at[line.one].key: self.at[line.one]}, [])
                more = self._with({}, line)
            boxes, lines = more, longer
        if boxes:
            yield self._part(boxes, lines)

    def _fit(self, boxes: dict[str, Box], lines: list[Line]) -> bool:
        return fits(self._laid(boxes, lines), self.wide, self.high)

    def _part(self, boxes: dict[str, Box], lines: list[Line]) -> Part:
        """Return a part that is as large as it may be; its boxes have their rows now."""
        self.placed |= {*boxes}
        return self._laid(boxes, lines)

    def _laid(self, boxes: dict[str, Box], lines: list[Line]) -> Part:
        return laid(replace(self.picture, boxes=tuple(boxes.values()), lines=tuple(lines)))

    def _with(self, boxes: dict[str, Box], line: Line | str) -> dict[str, Box]:
        """Return the boxes of a part with those of a line, or with one box if it has its rows nowhere yet."""
        if isinstance(line, str):
            return boxes if line in self.placed or line in boxes else {**boxes, line: self.boxes[line]}
        made = dict(boxes)
        for end in (line.one, line.other):
            box = self.at[end]
            if box.key not in self.placed:
                made[box.key] = box
                continue
            row = next(socket for socket in box.sockets if socket.key == end)
            known = made[box.key].sockets if box.key in made else ()
            made[box.key] = replace(box, words=_AGAIN, sockets=_in_order(box, {*known, row}))
        return made


def _in_order(box: Box, rows: set[Socket]) -> tuple[Socket, ...]:
    return tuple(row for row in box.sockets if row in rows)


def _pieces(box: Box, rows: int) -> Iterator[Box]:
    """Yield a box, cut where it has too many rows for a sheet."""
    for start in range(0, max(1, len(box.sockets)), rows):
        piece = box.sockets[start : start + rows]
        if not start:
            yield replace(box, sockets=piece)
        else:
            yield replace(box, key=f"{box.key}\t{start}", words=f"{_CONTINUED}; {box.words}", sockets=piece)
