"""The title of a page and its styles in, its head out: a page that loads nothing and runs nothing."""

from __future__ import annotations

from xml.etree.ElementTree import Element

from vlancheck.report.markup import element

# Whatever the text of a page says.
_POLICY = "default-src 'none'; style-src 'unsafe-inline'"


def head(title: str, *styles: str) -> Element:
    """Return the head."""
    return element(
        "head",
        element("meta", charset="utf-8"),
        element("meta", http_equiv="Content-Security-Policy", content=_POLICY),
        element("meta", name="viewport", content="width=device-width, initial-scale=1"),
        element("title", title),
        *(element("style", style) for style in styles),
    )
