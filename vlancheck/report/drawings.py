"""A drawing and the suffix of a file in, its text in that format out."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from vlancheck.errors import UsageError
from vlancheck.picturing import Drawing
from vlancheck.report import draw_dot, draw_graphml, draw_mermaid, draw_svg

FORMATS: dict[str, Callable[[Drawing], str]] = {
    ".svg": draw_svg.text,
    ".dot": draw_dot.text,
    ".mmd": draw_mermaid.text,
    ".mermaid": draw_mermaid.text,
    ".graphml": draw_graphml.text,
}


def renderer(file: Path) -> Callable[[Drawing], str]:
    """Return what makes the text of a file; UsageError where its suffix tells no format."""
    if (found := FORMATS.get(file.suffix.casefold())) is None:
        raise UsageError(
            "no drawing is made of such a file", file=str(file), hint=f"end its name in {', '.join(FORMATS)}"
        )
    return found
