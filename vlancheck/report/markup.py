"""Words and elements in, HTML out: everything is escaped, and what is opened is closed."""

from __future__ import annotations

import re
from xml.etree.ElementTree import Element, tostring

Child = str | Element | None

_BLOCKS = ("head", "body", "header", "nav", "main", "section", "article", "h1", "h2", "h3", "h4", "p", "div")
_LINES = frozenset((*_BLOCKS, "title", "meta", "style", "ul", "ol", "li", "dl", "dt", "dd"))  # a line each
_TABLE = {"table": "table", "thead": "rowgroup", "tbody": "rowgroup", "tr": "row", "th": "columnheader", "td": "cell"}
# Control characters, halves of characters, and marks that turn the direction of writing: a line of a capture that has
# them must not hide them, nor change how the rest of the page reads.
_HIDDEN = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069\ud800-\udfff\ufffe\uffff]")


def element(tag: str, *children: Child, **attributes: str) -> Element:
    """Return an element with words and elements in it; None is nothing.

    A final underscore of an attribute's name goes, other underscores become hyphens: `class_`, `data_label`.
    """
    made = Element(tag, {name.rstrip("_").replace("_", "-"): clean(value) for name, value in attributes.items()})
    last: Element | None = None
    for child in children:
        if isinstance(child, Element):
            made.append(child)
            last = child
        elif child and last is None:
            made.text = (made.text or "") + clean(child)
        elif child and last is not None:
            last.tail = (last.tail or "") + clean(child)
    if tag in _LINES or tag in _TABLE:
        made.tail = "\n"
    return made


def table(headings: tuple[str, ...], rows: list[tuple[Element | str, ...]], **attributes: str) -> Element:
    """Return a table; each cell knows its heading, so that a narrow screen may show a row as a list."""
    head = _part("tr", *(_part("th", heading, scope="col") for heading in headings))
    lines = [
        _part(
            "tr",
            *(_part("td", element("div", cell), data_label=name) for name, cell in zip(headings, row, strict=True)),
        )
        for row in rows
    ]
    return _part("table", _part("thead", head), _part("tbody", *lines), **attributes)


def document(root: Element) -> str:
    """Return a whole page."""
    return "<!DOCTYPE html>\n" + tostring(root, encoding="unicode", method="html") + "\n"


def clean(text: str) -> str:
    """Return text in which every character shows."""
    return _HIDDEN.sub("\N{REPLACEMENT CHARACTER}", text)


def one_line(text: str) -> str:
    """Return text in which every character shows, on one line, runs of blanks made one."""
    return " ".join(clean(text.replace("\r", "\n")).split())


def _part(tag: str, *children: Child, **attributes: str) -> Element:
    """Return a part of a table that stays one whatever the style makes of it."""
    return element(tag, *children, role=_TABLE[tag], **attributes)
