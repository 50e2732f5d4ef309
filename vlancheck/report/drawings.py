"""A drawing and the suffix of a file in, its text in that format out."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from vlancheck.drawing.texts import clean
from vlancheck.errors import UsageError
from vlancheck.picturing import Drawing
from vlancheck.report import draw_dot, draw_graphml, draw_mermaid, draw_svg
from vlancheck.report.draw_legend import remarks

FORMATS: dict[str, Callable[[Drawing], str]] = {
    ".svg": draw_svg.text,
    ".dot": draw_dot.text,
    ".mmd": draw_mermaid.text,
    ".mermaid": draw_mermaid.text,
    ".graphml": draw_graphml.text,
}


def told(drawing: Drawing, file: str) -> str:
    """Return what was written, and what is marked or changed in it, in a few lines."""
    picture = drawing.picture
    names = f"from {picture.before} to {picture.survey}" if picture.before else picture.survey
    counted = f"{len(picture.boxes)} boxes, {len(picture.lines)} lines"
    rows = [f"{file}: {picture.title}, {names}: {counted}"]
    if picture.ink:
        rows.append(f"{picture.ink.name}: {picture.ink.words}")
    rows += remarks(picture)
    return "\n  ".join(map(clean, rows))


def renderer(file: Path) -> Callable[[Drawing], str]:
    """Return what makes the text of a file; UsageError where its suffix tells no format."""
    if (found := FORMATS.get(file.suffix.casefold())) is None:
        raise UsageError(
            "its name does not tell how to draw", file=str(file), hint=f"end its name in {', '.join(FORMATS)}"
        )
    return found
