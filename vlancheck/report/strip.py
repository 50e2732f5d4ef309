"""The ports that a frame passes in, a strip of boxes joined by wires out, each wire with the tags that are on it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from xml.etree.ElementTree import Element

from vlancheck.places import split_place
from vlancheck.report.markup import Child, element
from vlancheck.verdicts.reasons import Hop


def strip(path: Sequence[Hop], ends: str = "") -> Element:
    """Return the way of a frame as a list: wires and boxes in turn, and last why it ends, where it is not delivered."""
    return element("ol", *_parts(path), element("li", ends, class_="dies") if ends else None, class_="strip")


def _parts(path: Sequence[Hop]) -> Iterator[Element]:
    """Yield wires and boxes; a box that a frame passes has the port where it came in and the one where it leaves."""
    number, wire = 0, None
    while number < len(path):
        hop = path[number]
        following = path[number + 1] if number + 1 < len(path) else None
        inward = hop if hop.way == "in" else None
        out = hop if inward is None else following if following is not None and _passes(hop, following) else None
        if inward is not None and inward.frame != wire:
            yield _wire(inward.frame)
        yield _box(inward, out)
        wire = None
        if out is not None:
            yield _wire(out.frame)
            wire = out.frame
        number += 2 if inward is not None and out is not None else 1


def _passes(hop: Hop, following: Hop) -> bool:
    return following.way == "out" and split_place(hop.port)[0] == split_place(following.port)[0]


def _wire(frame: str) -> Element:
    return element("li", frame, class_="wire")


def _box(inward: Hop | None, out: Hop | None) -> Element:
    hops = [hop for hop in (inward, out) if hop is not None]
    device, first = split_place(hops[0].port)
    ports: list[Child] = [element("strong", f"{device}:"), first]
    ports += [f" → {split_place(hop.port)[1]}" for hop in hops[1:]]
    vid = next((hop.vid for hop in hops if hop.vid is not None), None)
    unsure: Child = None if all(hop.certain for hop in hops) else element("i", "unproven")
    said = element("small", f"VLAN {vid}") if vid is not None else None
    return element("li", *ports, " " if said is not None or unsure is not None else None, said, unsure, class_="box")
