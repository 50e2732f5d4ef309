"""A drawing as SVG in; its texts, boxes and lines as they lie on paper out, read from the file alone."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import pairwise
from xml.etree import ElementTree
from xml.etree.ElementTree import Element

from vlancheck.drawing.texts import width

SVG = "{http://www.w3.org/2000/svg}"
SIZES = {"title": 13.0, "head": 10.5}  # of texts that are not of the size of the drawing
BOLD = {"title", "head", "name", "mark"}
_STEPS = 23  # straight pieces that stand for a bend; odd, since many bends cross in their middles

Point = tuple[float, float]


@dataclass(frozen=True)
class Area:
    """A rectangle on paper, and what it is of."""

    what: str
    left: float
    top: float
    right: float
    bottom: float

    def overlaps(self, other: Area) -> bool:
        """Tell whether two areas share more than an edge."""
        across = min(self.right, other.right) - max(self.left, other.left)
        return across > 0.05 and min(self.bottom, other.bottom) - max(self.top, other.top) > 0.05

    def holds(self, other: Area) -> bool:
        """Tell whether another area lies in this one."""
        return (
            self.left <= other.left + 0.05
            and self.top <= other.top + 0.05
            and self.right >= other.right - 0.05
            and self.bottom >= other.bottom - 0.05
        )


def read(text: str) -> Element:
    """Return the root of a drawing."""
    return ElementTree.fromstring(text)


def classes(element: Element) -> set[str]:
    """Return the classes of an element."""
    return set(element.get("class", "").split())


def having(root: Element, name: str) -> list[Element]:
    """Return the elements of a class."""
    return [one for one in root.iter() if name in classes(one)]


def texts(root: Element) -> list[Area]:
    """Return the areas of all texts that show, from the descent of their letters to their ascent."""
    return [_area(one, x, y) for one, x, y in _shown(root, 0.0, 0.0, False) if one.tag == f"{SVG}text"]


def frames(root: Element) -> list[Area]:
    """Return the areas of all boxes."""
    made = []
    for one, x, y in _shown(root, 0.0, 0.0, False):
        if "frame" in classes(one):
            left, top, wide, high = (float(one.get(name, "0")) for name in ("x", "y", "width", "height"))
            made.append(Area("box", x + left, y + top, x + left + wide, y + top + high))
    return made


def ways(root: Element) -> list[list[Point]]:
    """Return every line between sockets as straight pieces."""
    made = []
    for one, x, y in _shown(root, 0.0, 0.0, False):
        if "line" in classes(one) and "sample" not in classes(one):
            path = one.find(f"{SVG}path")
            assert path is not None
            made.append([(x + a, y + b) for a, b in _points(path.get("d", ""))])
    return made


def crossings(lines: list[list[Point]]) -> int:
    """Return how often lines cross."""
    boxes = [(min(x for x, _ in line), max(x for x, _ in line)) for line in lines]
    count = 0
    for number, line in enumerate(lines):
        for other, far in zip(lines[:number], boxes[:number], strict=True):
            if far[1] >= boxes[number][0] and boxes[number][1] >= far[0]:
                count += _meetings(line, other)
    return count


def _meetings(one: list[Point], other: list[Point]) -> int:
    count = 0
    for (ax, ay), (bx, by) in pairwise(one):
        for (cx, cy), (dx, dy) in pairwise(other):
            if max(ax, bx) < min(cx, dx) or max(cx, dx) < min(ax, bx):
                continue
            if max(ay, by) < min(cy, dy) or max(cy, dy) < min(ay, by):
                continue
            turn = (bx - ax) * (dy - cy) - (by - ay) * (dx - cx)
            if turn == 0:
                continue
            first = ((cx - ax) * (dy - cy) - (cy - ay) * (dx - cx)) / turn
            second = ((cx - ax) * (by - ay) - (cy - ay) * (bx - ax)) / turn
            count += 0 < first <= 1 and 0 < second <= 1
    return count


def bend(points: list[Point], steps: int = _STEPS) -> list[Point]:
    """Return a chain of cubic bends as straight pieces."""
    made = []
    for start in range(0, len(points) - 1, 3):
        a, b, c, d = points[start : start + 4]
        for step in range(steps):
            t = step / steps
            u = 1 - t
            weights = (u**3, 3 * u * u * t, 3 * u * t * t, t**3)
            made.append(
                (
                    sum(w * p[0] for w, p in zip(weights, (a, b, c, d), strict=True)),
                    sum(w * p[1] for w, p in zip(weights, (a, b, c, d), strict=True)),
                )
            )
    return [*made, points[-1]]


def overlapping(areas: Iterable[Area]) -> list[tuple[str, str]]:
    """Return the pairs of areas that overlap."""
    found, open_ = [], list[Area]()
    for area in sorted(areas, key=lambda one: one.left):
        open_ = [one for one in open_ if one.right > area.left]
        found += [(one.what, area.what) for one in open_ if one.overlaps(area)]
        open_.append(area)
    return found


def _shown(one: Element, x: float, y: float, marked: bool) -> Iterator[tuple[Element, float, float]]:
    """Yield every element that shows, with how far its group is moved."""
    names = classes(one)
    if names & {"label", "note"} and marked:
        return
    if "mark" in names and "shown" not in names:
        return
    if found := re.fullmatch(r"translate\((\S+) (\S+)\)", one.get("transform", "")):
        x, y = x + float(found[1]), y + float(found[2])
    yield one, x, y
    for child in one:
        yield from _shown(child, x, y, marked or "marked" in names)


def _area(one: Element, x: float, y: float) -> Area:
    name = next(iter(classes(one) - {"shown"}))
    size, words = SIZES.get(name, 9.0), one.text or ""
    left, base = x + float(one.get("x", "0")), y + float(one.get("y", "0"))
    wide = width(words, size, bold=name in BOLD)
    return Area(words, left, base - 0.93 * size, left + wide, base + 0.24 * size)


def _points(path: str) -> list[Point]:
    """Return a way of moves, bends and straight pieces as points."""
    made: list[Point] = []
    for letter, rest in re.findall(r"([MCL])([^MCL]+)", path):
        numbers = [float(one) for one in rest.split()]
        pairs = list(zip(numbers[::2], numbers[1::2], strict=True))
        made += bend([made[-1], *pairs])[1:] if letter == "C" else pairs
    return made
