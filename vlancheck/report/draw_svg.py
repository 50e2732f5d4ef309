"""A drawing in, SVG out: real text at its size on paper, and for every port, cord and box what it carries.

A page that takes the drawing in inks a VLAN or a service by classes alone: every `.line` and `.socket` names in
`data-carries` and `data-unproven` what passes it, every `.mark` in `data-ink` what it is about.
"""

from __future__ import annotations

from collections.abc import Iterator
from xml.etree.ElementTree import Element, tostring

from vlancheck.drawing.inking import slug
from vlancheck.drawing.picture import Ink, Line, Sort
from vlancheck.drawing.placing import HEAD, HEADING, PAD, ROW, Frame, Row
from vlancheck.drawing.texts import clean
from vlancheck.picturing import Drawing
from vlancheck.report.draw_legend import legend, sheets
from vlancheck.report.draw_shapes import path, rect, rule, short, text_at
from vlancheck.report.draw_style import STYLE
from vlancheck.report.markup import element

MARGIN = 18.0  # points around the drawing
DRAWN = "drawn"  # id of everything but the words around it


def text(drawing: Drawing, prefix: str = "") -> str:
    """Return the drawing as a file; `prefix` keeps its ids apart from those of others on a page."""
    root = svg(drawing, prefix)
    # By itself it is printed at its full size, on a page of that size; a page that takes it in has a size of its own.
    page = f"@page {{ size: {root.attrib['width']} {root.attrib['height']}; margin: 0; }}\n"
    root.insert(2, element("style", page))
    return tostring(root, encoding="unicode") + "\n"


def svg(drawing: Drawing, prefix: str = "") -> Element:
    """Return the drawing as an element."""
    return _Svg(drawing, prefix).whole()


class _Svg:
    """A drawing on its way to SVG."""

    def __init__(self, drawing: Drawing, prefix: str) -> None:
        self.drawing, self.picture, self.layout, self.prefix = drawing, drawing.picture, drawing.layout, prefix
        self.ids: set[str] = set()
        self.names = {row.key: row.whole for box in self.picture.boxes for row in box.sockets}

    def whole(self) -> Element:
        """Return everything."""
        picture, layout = self.picture, self.layout
        words = legend(picture, max(layout.width, 420.0))
        wide = max(layout.width, 420.0) + 2 * MARGIN
        top = MARGIN + words.above
        high = top + layout.height + words.below + MARGIN
        said = f"{picture.title}, {picture.before} and {picture.survey}" if picture.before else ""
        title = clean(said or f"{picture.title}, {picture.survey}")
        number = f"Full size {short(wide)} by {short(high)} points: {sheets(wide, high)}."
        return element(
            "svg",
            element("title", title, id=f"{self.prefix}closet-title"),
            element("desc", self._described(number), id=f"{self.prefix}closet-desc"),
            element("style", STYLE),
            element("rect", class_="sheet", width=short(wide), height=short(high)),
            element("g", *words.top(MARGIN, MARGIN), class_="heading"),
            element(
                "g",
                element(
                    "g",
                    element("g", *self._lines(), class_="lines"),
                    element("g", *map(self._box, layout.frames), class_="boxes"),
                    id=self._id(DRAWN),  # a page shows it again in pieces, which bring no styles from around it
                    class_="closet",
                ),
                transform=f"translate({short(MARGIN)} {short(top)})",
            ),
            element("g", *words.bottom(MARGIN, top + layout.height, number), class_="legend"),
            xmlns="http://www.w3.org/2000/svg",
            class_=" ".join(["closet", *(["inked"] if picture.ink else []), *(["changes"] if picture.before else [])]),
            id=self._id("closet"),
            role="img",
            aria_labelledby=f"{self.prefix}closet-title {self.prefix}closet-desc",
            width=f"{short(wide)}pt",
            height=f"{short(high)}pt",
            viewBox=f"0 0 {short(wide)} {short(high)}",
            data_survey=picture.survey,
            data_before=picture.before,
        )

    def _described(self, number: str) -> str:
        counted = f"{len(self.picture.boxes)} boxes and {len(self.picture.lines)} lines between their ports."
        ink = self.picture.ink
        return " ".join([counted, *([f"{ink.name}: {ink.words}."] if ink else []), number])

    # ---- lines -------------------------------------------------------------------------------------------------

    def _lines(self) -> Iterator[Element]:
        """Yield every line; those that are to be seen come last, above the others."""
        ink = self.picture.ink
        above = ink.lines if ink else {}
        for line in sorted(self.picture.lines, key=lambda line: line.key in above):
            yield self._line(line)

    def _line(self, line: Line) -> Element:
        points = self.layout.paths[line.key]
        ends = [self.names[end] for end in (line.one, line.other)]
        told = [f"{ends[0]} – {ends[1]}", *line.labels[:12], *(f"via {outlet}" for outlet in line.via)]
        if line.cords > 1:
            told.append(f"{line.cords} cords")
        if self.picture.before:
            told.append(str(line.standing))
        return element(
            "g",
            element("title", ", ".join(map(clean, told))),
            element("path", d=path(points)),
            *(element("circle", cx=short(x), cy=short(y), r="1.7") for x, y in (points[0], points[-1])),
            class_=" ".join(
                ["line", str(line.standing), *(["bundle"] if line.cords > 1 else []), *self._shown(line.key, "lines")]
            ),
            id=self._id(f"line {ends[0]} {ends[1]}"),
            data_from=ends[0],
            data_to=ends[1],
            data_cords=" ".join(clean(label) for label in line.labels),
            data_carries=" ".join(ink.key for ink in self.picture.inks if ink.lines.get(line.key) is True),
            data_unproven=" ".join(ink.key for ink in self.picture.inks if ink.lines.get(line.key) is False),
        )

    def _shown(self, key: str | tuple[str, str], which: str) -> list[str]:
        """Return the class of a line or socket that the chosen ink passes."""
        ink = self.picture.ink
        if ink is None:
            return []
        sure = ink.lines.get(key) if isinstance(key, tuple) else ink.sockets.get(key)
        return [] if sure is None else ["carries" if sure else "unproven"]

    # ---- boxes -------------------------------------------------------------------------------------------------

    def _box(self, frame: Frame) -> Element:
        box = frame.box
        marked = self._idle_words(box.key)
        idle = marked or frame.idle
        below = frame.y + HEAD + ROW * (len(frame.rows) + 0.5)
        return element(
            "g",
            element("title", clean(f"{box.name}, {box.words}")),
            rect("frame", frame.x, frame.y, frame.width, frame.height),
            text_at("head", frame.x + PAD, frame.y + 8.5, frame.title, HEADING),
            text_at("words", frame.x + PAD, frame.y + 21, frame.words),
            rule(frame.x, frame.y + HEAD - 1, frame.width),
            *(self._socket(frame, row) for row in frame.rows),
            text_at("idle", frame.x + PAD, below, idle) if idle else None,
            class_=f"box {box.sort} {box.standing}",
            id=self._id(f"{'panel' if box.sort is Sort.PANEL else 'box'} {box.name}"),
            **{"data_panel" if box.sort is Sort.PANEL else "data_device": box.name},
        )

    def _socket(self, frame: Frame, row: Row) -> Element:
        socket, x = row.socket, frame.x
        marks = [(ink, words) for ink in self.picture.inks if (words := _marks(ink, socket.key))]
        shown = any(ink.key == self.picture.chosen for ink, _ in marks)
        told = [socket.whole, *socket.labels, *([socket.note] if socket.note else [])]
        told += [
            f"{mark.sort}: {mark.why}" for ink in self.picture.inks for mark in ink.marks if mark.key == socket.key
        ]
        classes = {str(socket.standing): True, "hold": socket.hold, "marked": shown}
        classes |= dict.fromkeys(self._shown(socket.key, "sockets"), True)
        texts = [
            text_at("name", x + PAD, row.y, row.name),
            text_at("label", x + row.label_x, row.y, row.label) if row.label else None,
            text_at("note", x + row.note_x, row.y, row.note) if row.note else None,
        ]
        for ink, words in marks:
            mark = text_at("mark shown" if ink.key == self.picture.chosen else "mark", x + row.label_x, row.y, words)
            mark.set("data-ink", ink.key)
            texts.append(mark)
        return element(
            "g",
            element("title", "; ".join(map(clean, dict.fromkeys(told)))),
            rect("row", x + 1.5, row.y - ROW / 2 + 0.5, frame.width - 3, ROW - 1),
            *texts,
            class_=" ".join(["socket", *(name for name, told in classes.items() if told)]),
            id=self._id(f"port {socket.whole}"),
            data_port=socket.whole,
            data_carries=" ".join(ink.key for ink in self.picture.inks if ink.sockets.get(socket.key) is True),
            data_unproven=" ".join(ink.key for ink in self.picture.inks if ink.sockets.get(socket.key) is False),
        )

    def _idle_words(self, key: str) -> str:
        """Return how many ports without a row the chosen ink reaches; "" none."""
        ink = self.picture.ink
        count = ink.idle.get(key, 0) if ink else 0
        return f"reaches {count} more" if count else ""

    def _id(self, words: str) -> str:
        """Return an id that no other element has."""
        made = name = f"{self.prefix}{slug(words)}"
        number = 1
        while made in self.ids:
            number += 1
            made = f"{name}-{number}"
        self.ids.add(made)
        return made


def _marks(ink: Ink, key: str) -> str:
    """Return the words of an ink's marks at a socket: the worst, and how many others."""
    sorts = sorted({mark.sort for mark in ink.marks if mark.key == key}, key=_worst)
    return "" if not sorts else str(sorts[0])


def _worst(sort: str) -> int:
    order = ("lost here", "leaks here", "other tag here", "may leak here", "unproven here", "enters here")
    return order.index(sort)
