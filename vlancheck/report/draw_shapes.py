"""Places on paper in, the parts that SVG drawings are made of out."""

from __future__ import annotations

from collections.abc import Iterable
from xml.etree.ElementTree import Element

from vlancheck.drawing.placing import TEXT
from vlancheck.report.markup import element

_BASE = 3.2  # from the middle of a text to its base line
_BEND = 0.5  # how far the bend of a line reaches into a gap


def path(points: Iterable[tuple[float, float]]) -> str:
    """Return a line's way: bent between columns, straight where it passes one.

    All lines of a gap are bent alike, so that two of them cross once at most, and only where their ends do.
    """
    corners = list(points)
    words = [f"M{short(corners[0][0])} {short(corners[0][1])}"]
    for number in range(0, len(corners) - 1, 2):
        (x, y), (right, low) = corners[number], corners[number + 1]
        bend = (right - x) * _BEND
        words.append(f"C{short(x + bend)} {short(y)} {short(right - bend)} {short(low)} {short(right)} {short(low)}")
        if number + 2 < len(corners):
            words.append(f"L{short(corners[number + 2][0])} {short(corners[number + 2][1])}")
    return "".join(words)


def text_at(name: str, x: float, middle: float, words: str, size: float = TEXT) -> Element:
    """Return a text that begins at `x`, by the middle of its line."""
    return element("text", words, class_=name, x=short(x), y=short(middle + _BASE * size / TEXT))


def rect(name: str, x: float, y: float, wide: float, high: float) -> Element:
    """Return a rectangle by its left upper corner."""
    return element("rect", class_=name, x=short(x), y=short(y), width=short(wide), height=short(high))


def rule(x: float, y: float, wide: float) -> Element:
    """Return a line from left to right."""
    return element("path", class_="rule", d=f"M{short(x)} {short(y)}h{short(wide)}")


def short(value: float) -> str:
    """Return a number as short as can be, the same everywhere."""
    return f"{value:.1f}".removesuffix(".0")
