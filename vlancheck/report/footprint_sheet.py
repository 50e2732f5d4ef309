"""A walk in, a page of its own out, to be printed: drawings with numbered footprints, and each of them in words."""

from __future__ import annotations

from vlancheck.drawing.footprints import Trail
from vlancheck.report.draw_footprints import key
from vlancheck.report.footprints import called, walked
from vlancheck.report.footprints_style import STYLE
from vlancheck.report.markup import document, element
from vlancheck.report.pagehead import head
from vlancheck.report.pagestyle import STYLE as PAGE


def sheet(trail: Trail, site: str, survey: str) -> str:
    """Return the page; it loads nothing and runs nothing, and the same walk makes the same bytes."""
    heading = called(trail)
    body = element(
        "body",
        element("header", element("h1", heading), element("p", f"{site}, {survey}", class_="soft")),
        element("main", key(), *walked(trail), class_="walk"),
    )
    return document(element("html", head(f"{site}, {survey}: {heading}", PAGE, STYLE), body, lang="en"))
