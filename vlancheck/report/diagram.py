"""A drawing in, a part of a page out on which one VLAN or one service is chosen and inked, without any script."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from xml.etree.ElementTree import Element

from vlancheck.drawing.picture import Ink
from vlancheck.picturing import Drawing
from vlancheck.report.draw_svg import svg
from vlancheck.report.markup import element

_NAME = "ink"  # of the choice, and what its ids begin with
_NONE = "none"


def diagram(drawing: Drawing) -> tuple[Element, ...]:
    """Return the choice and the drawing; where a browser knows no `:has`, the drawing is there with nothing inked."""
    inks = drawing.picture.inks
    # On a page its words would be too small: a drawing of its own is printed at its full size.
    paper = element("p", "On paper: vlancheck draw SITE -o closet.svg, printed at its full size.", class_="on-paper")
    if not inks:
        return paper, element("div", svg(drawing, "closet-"), class_="diagram")
    return (
        paper,
        element("style", "\n".join(_rules(inks))),
        element(
            "div",
            element(
                "fieldset",
                element("legend", "Ink where it goes"),
                _choice(_NONE, "nothing", "", checked=True),
                *(_choice(one.key, one.name, one.words) for one in inks),
            ),
            element("div", svg(drawing, "closet-"), class_="sheet", tabindex="0", role="region", aria_label="closet"),
            class_="diagram",
        ),
    )


def _choice(key: str, name: str, words: str, *, checked: bool = False) -> Element:
    box = element("input", type="radio", name=_NAME, id=f"{_NAME}-{key}", value=key)
    if checked:
        box.set("checked", "checked")
    return element("label", box, f" {name}", element("small", f" {words}") if words else None)


def _rules(inks: Sequence[Ink]) -> Iterator[str]:
    """Yield what the choice of each ink changes: lines and ports by what they carry, words by what they are about."""
    yield f".diagram:has(input:checked):not(:has(#{_NAME}-{_NONE}:checked)) .line path {{ stroke: #b0b0b0; }}"
    for ink in inks:
        chosen = f".diagram:has(#{_NAME}-{ink.key}:checked) svg.closet"
        for sort, dash in (("carries", "none"), ("unproven", "5 3")):
            passes = f'[data-{sort}~="{ink.key}"]'
            yield f"{chosen} .line{passes} path {{ stroke: #0a2f73; stroke-width: 2.6; stroke-dasharray: {dash}; }}"
            yield f"{chosen} .socket{passes} .row {{ fill: #dfe8f8; stroke: #0a2f73; stroke-dasharray: {dash}; }}"
        told = f'.mark[data-ink~="{ink.key}"]'
        yield f"{chosen} {told} {{ display: inline; }}"
        yield f"{chosen} .socket:has({told}) :is(.label, .note) {{ display: none; }}"
        yield f"{chosen} .socket:has({told}) .row {{ stroke: #111; stroke-width: 1.8; }}"
