"""The ports that a frame passes in, a strip of boxes joined by wires out, each wire with the stack of tags on it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from xml.etree.ElementTree import Element

from vlancheck.places import split_place
from vlancheck.report.markup import Child, element
from vlancheck.verdicts.reasons import Hop

_UNTAGGED = "untagged"


def strip(
    path: Sequence[Hop], start: str = "", end: Element | None = None, *, sent: str = "", turns: str = ""
) -> Element:
    """Return the way of a frame as a list: what sends it, wires and boxes in turn, and last what becomes of it.

    `sent` is the frame at its start, drawn where it passes no port; at the port `turns` it gets tags it should not.
    """
    first = element("li", *name(start), class_="start") if start else None
    parts = _parts(path, turns) if path or not sent else (_wire(sent),)
    return element("ol", first, *parts, end, class_="strip")


def name(place: str) -> tuple[Child, ...]:
    """Return the name of a place, which may be broken after its device."""
    device, colon, port = place.partition(":")
    return (f"{device}:", element("wbr"), port) if colon else (place,)


def stack(frame: str) -> Element:
    """Return the tags of a frame, one a box, the outermost first, each with the letter of its sort."""
    if frame == _UNTAGGED:
        return element("span", frame, class_="bare")
    tags = [part for one in frame.split(".") for part in (" ", _tag(one))]
    return element("span", *tags[1:], class_="stack")


def _tag(written: str) -> Element:
    vid, _, tpid = written.partition("@")
    if tpid:
        return element("span", f"{tpid} {vid}", class_="tag odd")
    if vid.startswith("s"):
        return element("span", f"S {vid[1:]}", class_="tag outer")
    return element("span", f"C {vid}", class_="tag")


def _parts(path: Sequence[Hop], turns: str) -> Iterator[Element]:
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
            yield _wire(out.frame, other=out.port == turns)
            wire = out.frame
        number += 2 if inward is not None and out is not None else 1


def _passes(hop: Hop, following: Hop) -> bool:
    return following.way == "out" and split_place(hop.port)[0] == split_place(following.port)[0]


def _wire(frame: str, *, other: bool = False) -> Element:
    told = element("small", "other tags") if other else None
    return element("li", stack(frame), " " if other else None, told, class_="wire turns" if other else "wire")


def _box(inward: Hop | None, out: Hop | None) -> Element:
    """Return a box: its name and the VLAN inside, where the frame came in, where it leaves."""
    hops = [hop for hop in (inward, out) if hop is not None]
    vid = next((hop.vid for hop in hops if hop.vid is not None), None)
    first: list[Child] = [element("strong", split_place(hops[0].port)[0])]
    if vid is not None:
        first += [" ", element("small", f"VLAN {vid}")]
    if not all(hop.certain for hop in hops):
        first += [" ", element("i", "unproven")]
    lines = [element("span", *first)]
    lines += [element("span", element("small", hop.way), f" {split_place(hop.port)[1]}") for hop in hops]
    return element("li", *(part for line in lines for part in (line, " ")), class_="box")
