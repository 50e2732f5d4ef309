"""A drawing in, pieces of it out that fit on paper at full size, cut between boxes or overlapping."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from xml.etree.ElementTree import Element

from vlancheck.drawing.placing import HEAD, ROW, Frame, Layout
from vlancheck.report.markup import element

WIDE, HIGH = 524.0, 684.0  # points: what A4 and Letter both have within margins of 12 mm, and room for a line of words
_BACK = 1 / 3  # how much of a piece may be left empty, or be on the next one too
_CLEAR = 6.0  # around a box, so that no cut runs along its edge
_Spans = list[tuple[float, float]]


@dataclass(frozen=True, slots=True)
class Tile:
    """A piece of a drawing."""

    x: float  # left edge, points
    y: float  # upper edge
    width: float
    height: float
    column: int  # from the left, from 1
    part: int  # from above, from 1


def tiles(layout: Layout) -> tuple[Tile, ...]:
    """Return the pieces, column by column; every row is whole in one at least, as are boxes that are not high."""
    made: list[Tile] = []
    spans = [(frame.x, frame.x + frame.width) for frame in layout.frames]
    for left, right in _pieces(spans, [], layout.width, WIDE):
        inside = [frame for frame in layout.frames if left < frame.x < right]
        heights = [(frame.y, frame.y + frame.height) for frame in inside]
        parts = [
            (top, low)
            for top, low in _pieces(heights, list(_rows(inside)), layout.height, HIGH)
            if any(frame.y < low and frame.y + frame.height > top for frame in inside)
        ]
        column = made[-1].column + 1 if made else 1
        made += [Tile(left, top, right - left, low - top, column, part) for part, (top, low) in enumerate(parts, 1)]
    return tuple(made)


def sheets_of(layout: Layout, name: str, target: str) -> Iterator[Element]:
    """Yield the pieces as figures that show the part of the drawing whose id is `target`."""
    found = tiles(layout)
    columns = max((tile.column for tile in found), default=0)
    for number, tile in enumerate(found, 1):
        parts = sum(one.column == tile.column for one in found)
        where = f"column {tile.column} of {columns} from the left" if columns > 1 else ""
        below = f"part {tile.part} of {parts} from above" if parts > 1 else ""
        said = ", ".join(filter(None, (f"{name}, piece {number} of {len(found)}", where, below)))
        box = f"{tile.x:.1f} {tile.y:.1f} {tile.width:.1f} {tile.height:.1f}"
        drawn = element(
            "svg",
            element("use", href=f"#{target}"),
            class_="closet",
            width=f"{tile.width:.1f}pt",
            height=f"{tile.height:.1f}pt",
            viewBox=box,
            aria_hidden="true",  # the whole drawing is read out, its pieces are for eyes
        )
        yield element("figure", element("figcaption", said), drawn, class_="tile")


def _pieces(whole: _Spans, parts: _Spans, length: float, most: float) -> Iterator[tuple[float, float]]:
    """Yield pieces of a length, cut beside all that should stay whole; where that cannot be, they overlap.

    Then the next piece begins with what was cut, so that each part, and all that is short, is whole in one at least.
    """
    start, end = -_CLEAR, length + _CLEAR
    while end - start > most:
        limit = start + most
        cut = _free(whole, limit)
        if limit - cut < most * _BACK:
            yield start, cut
            start = cut
            continue
        yield start, limit
        starts = [low for low, high in whole if low - _CLEAR < limit < high + _CLEAR and limit - low < most * _BACK]
        starts += [low for low, high in parts if low < limit < high]
        start = min(starts, default=limit) - _CLEAR
    yield start, end


def _free(spans: Iterable[tuple[float, float]], limit: float) -> float:
    """Return the last place up to `limit` that is in no span."""
    cut = limit
    for low, high in sorted(spans, key=lambda span: -span[1]):
        if low - _CLEAR < cut < high + _CLEAR:
            cut = low - _CLEAR
    return cut


def _rows(frames: Iterable[Frame]) -> Iterator[tuple[float, float]]:
    """Yield the heading of each box and each of its rows."""
    for frame in frames:
        yield frame.y, frame.y + HEAD
        yield from ((row.y - ROW / 2, row.y + ROW / 2) for row in frame.rows)
