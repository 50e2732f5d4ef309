"""A picture in, what stands above and below it out: its name, what its lines mean, what is marked and what changed."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import ceil
from xml.etree.ElementTree import Element

from vlancheck.drawing.picture import MarkSort, Picture
from vlancheck.drawing.placing import TEXT
from vlancheck.drawing.texts import clean, fitted, width
from vlancheck.report.markup import element

_TITLE, _LINE, _SAMPLE, _SPACE = 13.0, 13.5, 34.0, 12.0  # points
_PAPERS = {"A4": (559.0, 806.0), "Letter": (576.0, 756.0)}  # within margins of a quarter of an inch
_MOST = 40  # rows below a picture


@dataclass(frozen=True, slots=True)
class Legend:
    """Words around a picture, wrapped to its width."""

    title: str  # in large letters
    head: tuple[str, ...]  # under it
    samples: tuple[tuple[str, str], ...]  # class of a line, what it means
    rows: tuple[str, ...]  # below the samples

    @property
    def above(self) -> float:
        """Return how high the words above the picture are."""
        return _TITLE + 4 + _LINE * len(self.head) + _SPACE

    @property
    def below(self) -> float:
        """Return how high the words below the picture are."""
        return _SPACE + _LINE * (len(self.samples) + len(self.rows) + 1)

    def top(self, x: float, y: float) -> Iterator[Element]:
        """Yield the words above the picture."""
        made = element("text", self.title, class_="title", x=f"{x:.1f}", y=f"{y + _TITLE - 2:.1f}")
        made.set("style", f"font-size: {_TITLE:g}px; font-weight: bold")
        yield made
        for number, row in enumerate(self.head, 1):
            yield _row(row, x, y + _TITLE + 4 + _LINE * number - 4)

    def bottom(self, x: float, y: float, last: str) -> Iterator[Element]:
        """Yield the words below the picture, `last` under them all."""
        at = y + _SPACE
        for name, words in self.samples:
            at += _LINE
            path = element("path", d=f"M{x:.1f} {at - 7:.1f}h{_SAMPLE - 6:.1f}")
            yield element("g", path, class_=f"line sample {name}")
            yield _row(words, x + _SAMPLE, at - 4)
        for words in (*self.rows, last):
            at += _LINE
            yield _row(words, x, at - 4)


def legend(picture: Picture, wide: float) -> Legend:
    """Return the words around a picture that is so wide."""
    names = f"from {picture.before} to {picture.survey}" if picture.before else picture.survey
    ink = picture.ink
    head = [f"{ink.name}", *([ink.words] if ink.words else [])] if ink else []
    rows = remarks(picture)
    wrapped = [line for row in rows for line in _wrapped(clean(row), wide)]
    if len(wrapped) > _MOST:
        wrapped = [*wrapped[: _MOST - 1], f"and {len(wrapped) - _MOST + 1} lines more"]
    return Legend(
        fitted(clean(f"{picture.title} – {names}"), _TITLE, wide, bold=True),
        tuple(line for row in head for line in _wrapped(clean(row), wide)),
        tuple(_samples(picture)),
        tuple(wrapped),
    )


def remarks(picture: Picture) -> list[str]:
    """Return a sentence for each place where what is inked is lost, leaks or is in doubt, and for each change."""
    names = {row.key: row.whole for box in picture.boxes for row in box.sockets}
    marks = [mark for mark in picture.ink.marks if mark.sort is not MarkSort.ENTERS] if picture.ink else []
    rows = [f"{mark.sort}: {names[mark.key]}" + (f" – {mark.why}" if mark.why else "") for mark in marks]
    return [*rows, *picture.changes]


def sheets(wide: float, high: float) -> str:
    """Return on how many sheets of paper a drawing of that size is printed at its full size, on each kind of paper."""
    told = []
    for name, (short, long) in _PAPERS.items():
        ways = [
            (ceil(wide / x) * ceil(high / y), ceil(wide / x), ceil(high / y)) for x, y in ((short, long), (long, short))
        ]
        count, across, down = min(ways)
        told.append(f"one sheet of {name}" if count == 1 else f"{across} by {down} sheets of {name}")
    return " or ".join(told)


def _samples(picture: Picture) -> Iterator[tuple[str, str]]:
    if picture.ink:
        yield "carries", "carries it"
        if False in (*picture.ink.lines.values(), *picture.ink.sockets.values()):
            yield "unproven", "dashed: unproven, it may carry it"
        yield "", "does not carry it"
    elif picture.before:
        yield "before", f"dashed, or struck out: in {picture.before} alone"
        yield "after", f"thick: in {picture.survey} alone"
        yield "unchanged", "thin: unchanged"
    if any(line.cords > 1 for line in picture.lines):
        yield "bundle", "a bundle of cords" + ("" if picture.ink or picture.before else ", drawn as one")


def _wrapped(text: str, wide: float) -> Iterator[str]:
    """Yield a text in lines that are so wide at most."""
    line = ""
    for word in text.split():
        longer = f"{line} {word}".strip()
        if line and width(longer, TEXT) > wide:
            yield line
            longer = word
        line = fitted(longer, TEXT, wide)
    if line:
        yield line


def _row(words: str, x: float, y: float) -> Element:
    return element("text", words, class_="said", x=f"{x:.1f}", y=f"{y:.1f}")
