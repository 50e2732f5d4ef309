"""A part of a walk's drawing in, SVG out: boxes, cords, and at every port its numbered footprints."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import assert_never
from xml.etree.ElementTree import Element

from vlancheck.drawing.folding import Part
from vlancheck.drawing.footprints import Footprint, Shape, Tread
from vlancheck.drawing.placing import HEAD, HEADING, PAD, Frame, Row
from vlancheck.report.draw_shapes import path, rect, rule, short, text_at
from vlancheck.report.markup import element

_EDGE = 1.0  # points around a drawing
_HIGH, _POINT = 5.2, 4.0  # from the middle of a footprint to its upper edge, and how far its point reaches
_DIGITS = 6.0  # from the end of a footprint to its number
_TOLD = (
    (Shape.SENT, "sent here"),
    (Shape.IN, "goes in"),
    (Shape.OUT, "goes out"),
    (Shape.DELIVERED, "delivered"),
    (Shape.LOST, "lost"),
    (Shape.OPEN, "unproven: broken outline"),
)


def drawing(part: Part, treads: Mapping[str, Tread], called: str) -> Element:
    """Return the drawing; `called` says what it is to those who do not see it."""
    layout = part.layout
    left = {point for points in layout.paths.values() for point in points[:1] + points[-1:]}
    wide, high = layout.width + 2 * _EDGE, layout.height + 2 * _EDGE
    lines = (element("path", class_="cord", d=path(layout.paths[line.key])) for line in part.picture.lines)
    return element(
        "svg",
        element("g", *lines, *(_box(one, treads, left) for one in layout.frames), transform="translate(1 1)"),
        class_="steps",
        role="img",
        aria_label=called,
        width=f"{short(wide)}pt",
        height=f"{short(high)}pt",
        viewBox=f"0 0 {short(wide)} {short(high)}",
    )


def key() -> Element:
    """Return what the shapes of footprints mean."""
    return element("ul", *(element("li", _sample(shape), words) for shape, words in _TOLD), class_="key")


def _sample(shape: Shape) -> Element:
    made = _print(Footprint(1, shape, shape is not Shape.OPEN, 0.0, 17.0), 1.0, 7.0, outward=True, right=True)
    return element("svg", made, class_="steps", aria_hidden="true", width="22pt", height="14pt", viewBox="0 0 22 14")


def _box(frame: Frame, treads: Mapping[str, Tread], ends: set[tuple[float, float]]) -> Element:
    return element(
        "g",
        rect("frame", frame.x, frame.y, frame.width, frame.height),
        text_at("head", frame.x + PAD, frame.y + 8.5, frame.title, HEADING),
        text_at("words", frame.x + PAD, frame.y + 21, frame.words),
        rule(frame.x, frame.y + HEAD - 1, frame.width),
        *(part for row in frame.rows for part in _row(frame, row, treads[row.socket.key], ends)),
    )


def _row(frame: Frame, row: Row, tread: Tread, ends: set[tuple[float, float]]) -> Iterator[Element | None]:
    x = frame.x + row.kept_x
    # A port without a cord to another box is taken to look away from the sender; the sender's own looks at nothing.
    sender = any(one.shape is Shape.SENT for one in tread.prints)
    right = (frame.x + frame.width, row.y) in ends or not ((frame.x, row.y) in ends or sender)
    yield text_at("name", frame.x + PAD, row.y, row.name) if row.name else None
    for one in tread.prints:
        yield _print(one, x + one.x, row.y, outward=one.shape is not Shape.IN, right=right)
    yield text_at("wire", x + tread.words_x, row.y, tread.words)
    yield text_at("words", frame.x + row.note_x, row.y, row.note) if row.note else None


def _print(one: Footprint, x: float, y: float, *, outward: bool, right: bool) -> Element:
    """Return a footprint; one of a copy that goes on points the way it goes."""
    outline = element("path", d=f"M{short(x)} {short(y - _HIGH)}{_outline(one, ahead=outward == right)}z")
    number = text_at("", x + _DIGITS, y, str(one.number))
    del number.attrib["class"]
    return element("g", outline, number, class_=f"print {one.shape}" if one.certain else f"print {one.shape} maybe")


def _outline(one: Footprint, *, ahead: bool) -> str:
    """Return an outline from its left upper corner: round where the frame is sent, square or cut where a copy ends."""
    down, most = short(2 * _HIGH), short(one.wide)
    half, point, rest, middle = (short(part) for part in (_HIGH, _POINT, one.wide - _POINT, one.wide - 2 * _POINT))
    match one.shape:
        case Shape.SENT:
            side = f"a{half} {half} 0 0 1"
            return f"m{point} 0h{middle}{side} 0 {down}h-{middle}{side} 0 -{down}"
        case Shape.IN | Shape.OUT if ahead:
            return f"h{rest}l{point} {half}l-{point} {half}h-{rest}"
        case Shape.IN | Shape.OUT:
            return f"m{point} 0h{rest}v{down}h-{rest}l-{point} -{half}"
        case Shape.LOST:
            return f"h{most}l-{point} {half}l{point} {half}h-{most}l{point} -{half}"
        case Shape.OPEN:
            return f"m{point} 0h{middle}l{point} {half}l-{point} {half}h-{middle}l-{point} -{half}"
        case Shape.DELIVERED:
            return f"h{most}v{down}h-{most}"
        case _ as never:
            assert_never(never)
