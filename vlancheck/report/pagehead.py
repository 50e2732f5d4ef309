"""The title of a page and its styles in, its head out: a page that loads nothing, and runs nothing unless told."""

from __future__ import annotations

from xml.etree.ElementTree import Element

from vlancheck.report.markup import element

# What a page may do, whatever its text says.
_POLICY = "default-src 'none'; style-src 'unsafe-inline'"


def head(title: str, *styles: str, policy: str = _POLICY) -> Element:
    """Return the head of a page that may do what its content security `policy` says."""
    return element(
        "head",
        element("meta", charset="utf-8"),
        element("meta", http_equiv="Content-Security-Policy", content=policy),
        element("meta", name="viewport", content="width=device-width, initial-scale=1"),
        element("title", title),
        *(element("style", style) for style in styles),
    )
