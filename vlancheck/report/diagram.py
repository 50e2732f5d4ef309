"""A drawing in, a part of a page out on which one VLAN or one service is chosen and inked, without any script."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from xml.etree.ElementTree import Element

from vlancheck.drawing.picture import Ink
from vlancheck.picturing import Drawing
from vlancheck.report.draw_svg import DRAWN, svg
from vlancheck.report.markup import element
from vlancheck.report.tiles import sheets_of

_NAME = "ink"  # of the choice, and what its ids begin with
_NONE = "none"
_GREY = "stroke: #b0b0b0;"  # what is not inked, where something is
_PREFIX = "closet-"  # of the ids in the drawing
_LINES = "Where something was chosen: thick lines carry it, dashed ones may, thin grey ones do not."


def diagram(drawing: Drawing) -> tuple[Element, ...]:
    """Return the choice and the drawing; where a browser knows no `:has`, the drawing is there with nothing inked."""
    inks = drawing.picture.inks
    # Made as wide as a sheet, its words would be too small to read: it is printed in pieces at its full size.
    pieces = sheets_of(drawing.layout, "The closet", f"{_PREFIX}{DRAWN}")
    paper = element("div", element("p", _LINES), *pieces, class_="on-paper")
    if not inks:
        return element("div", svg(drawing, _PREFIX), class_="diagram"), paper
    return (
        element("style", "\n".join(_rules(inks))),
        element(
            "div",
            element(
                "fieldset",
                element("legend", "Ink where it goes"),
                _choice(_NONE, "nothing", "", checked=True),
                *(_choice(one.key, one.name, one.words) for one in inks),
            ),
            element("div", svg(drawing, _PREFIX), class_="sheet", tabindex="0", role="region", aria_label="closet"),
            class_="diagram",
        ),
        paper,
    )


def _choice(key: str, name: str, words: str, *, checked: bool = False) -> Element:
    box = element("input", type="radio", name=_NAME, id=f"{_NAME}-{key}", value=key)
    if checked:
        box.set("checked", "checked")
    return element("label", box, f" {name}", element("small", f" {words}") if words else None)


def _rules(inks: Sequence[Ink]) -> Iterator[str]:
    """Yield what the choice of each ink changes, on a screen and in the pieces that are printed.

    A piece is a copy of the drawing, which a rule cannot look out of: the choice comes to it as a property.
    """
    yield f".diagram:has(input:checked):not(:has(#{_NAME}-{_NONE}:checked)) .line path {{ {_GREY} }}"
    for ink in inks:
        yield from _inked(ink.key, f".diagram:has(#{_NAME}-{ink.key}:checked) svg.closet")
    for ink in inks:
        yield f"section:has(#{_NAME}-{ink.key}:checked) {{ --{_NAME}: {ink.key}; }}"
        yield f"@media print {{ @container style(--{_NAME}: {ink.key}) {{ .closet .line path {{ {_GREY} }}"
        yield from _inked(ink.key, ".closet")
        yield "} }"


def _inked(key: str, chosen: str) -> Iterator[str]:
    """Yield the rules of one ink: lines and ports by what they carry, words by what they are about."""
    for sort, dash in (("carries", "none"), ("unproven", "5 3")):
        passes = f'[data-{sort}~="{key}"]'
        yield f"{chosen} .line{passes} path {{ stroke: #0a2f73; stroke-width: 2.6; stroke-dasharray: {dash}; }}"
        yield f"{chosen} .socket{passes} .row {{ fill: #dfe8f8; stroke: #0a2f73; stroke-dasharray: {dash}; }}"
    told = f'.mark[data-ink~="{key}"]'
    yield f"{chosen} {told} {{ display: inline; }}"
    yield f"{chosen} .socket:has({told}) :is(.label, .note) {{ display: none; }}"
    yield f"{chosen} .socket:has({told}) .row {{ stroke: #111; stroke-width: 1.8; }}"
