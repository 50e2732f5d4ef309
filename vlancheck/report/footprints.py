"""Walks in, a part of a page out on which a port and a frame are chosen and followed, without any script."""

from __future__ import annotations

import shlex
from collections.abc import Iterator, Sequence
from xml.etree.ElementTree import Element

from vlancheck.drawing.footprints import Trail
from vlancheck.following import Followed, Sent
from vlancheck.places import split_place
from vlancheck.report import walking
from vlancheck.report.draw_footprints import drawing, key
from vlancheck.report.footprint_list import listed
from vlancheck.report.footprints_style import STYLE
from vlancheck.report.markup import Child, element

_SHOWN = 40  # walks without room that are named
_Asked = list[tuple[Sent, Trail]]  # the frames of one port


def footprints(followed: Followed) -> tuple[Element, ...]:
    """Return the choice and the walks; where a browser knows no `:has`, all walks are there, one after the other."""
    ports = _ports(followed)
    parts = [element("style", STYLE)]
    parts += [_distrusted(device, why) for device, why in followed.distrusted.items()]
    if ports:
        chosen = (_port(number, asked) for number, asked in enumerate(ports, 1))
        rules = "\n".join(rule for number, asked in enumerate(ports, 1) for rule in _rules(number, asked))
        parts.append(element("style", f"@supports selector(:has(a)) {{\n{_HIDE}\n{rules}\n}}"))
        parts.append(element("div", _choice(ports), element("div", key(), *chosen), class_="follow"))
    if followed.left:
        parts.append(_left(followed))
    return tuple(parts)


_HIDE = ".follow .port, .follow .walk { display: none; }"


def _ports(followed: Followed) -> list[_Asked]:
    """Return the walks by the port where they start."""
    found: dict[str, _Asked] = {}
    for sent, trail in followed.trails:
        found.setdefault(sent.port, []).append((sent, trail))
    return list(found.values())


def _rules(number: int, asked: _Asked) -> Iterator[str]:
    """Yield what the choice of a port and of each of its frames shows."""
    yield f".follow:has(#at-{number}:checked) #port-{number} {{ display: block; }}"
    for one in range(1, len(asked) + 1):
        yield f"#port-{number}:has(#frame-{number}-{one}:checked) #walk-{number}-{one} {{ display: block; }}"


def _choice(ports: Sequence[_Asked]) -> Element:
    """Return the choice of a port, by boxes."""
    boxes: dict[str, list[Element]] = {}
    for number, asked in enumerate(ports, 1):
        boxes.setdefault(split_place(asked[0][0].port)[0], []).append(_at(number, asked))
    several = (element("fieldset", element("legend", box), *labels) for box, labels in boxes.items())
    return element("fieldset", element("legend", "The port where it is sent"), *several, class_="at")


def _at(number: int, asked: _Asked) -> Element:
    sent, trail = asked[0]
    words = trail.hangs.get(sent.port) or (sent.why if len(asked) == 1 else f"{len(asked)} frames")
    box = element("input", type="radio", name="at", id=f"at-{number}", value=sent.port)
    if number == 1:
        box.set("checked", "checked")
    return element("label", box, f" {split_place(sent.port)[1]}", element("small", f" {words}") if words else None)


def _port(number: int, asked: _Asked) -> Element:
    """Return the choice of a frame at one port, and its walks."""
    frames: list[Child] = [element("legend", f"The frame sent at {asked[0][0].port}")]
    for one, (sent, _) in enumerate(asked, 1):
        box = element("input", type="radio", name=f"frame-{number}", id=f"frame-{number}-{one}", value=sent.frame)
        if one == 1:
            box.set("checked", "checked")
        frames.append(element("label", box, f" {sent.frame}", element("small", f" {sent.why}") if sent.why else None))
    walks = (
        element("div", element("h3", called(trail, sent.why)), *walked(trail), class_="walk", id=f"walk-{number}-{one}")
        for one, (sent, trail) in enumerate(asked, 1)
    )
    return element("div", element("fieldset", *frames, class_="frame"), *walks, class_="port", id=f"port-{number}")


def called(trail: Trail, why: str = "") -> str:
    """Return what is sent where, and what is ordered there."""
    heading = f"{walking.called(trail.walk.frame)} is sent at {trail.walk.port}"
    return f"{heading}, {why}" if why else heading


def walked(trail: Trail) -> Iterator[Element]:
    """Yield one walk: the drawings with their footprints, and the same footprints in words."""
    for number, part in enumerate(trail.parts, 1):
        said = f"Footprints, drawing {number} of {len(trail.parts)}; the same numbers are told below"
        made = drawing(part, trail.treads, said)
        yield element("div", made, class_="sheet", tabindex="0", role="region", aria_label=said)
    yield from listed(trail)


def _distrusted(device: str, why: str) -> Element:
    return element("p", f"Nothing is proven at {device}: {why}. Without --before, vlancheck walk believes its capture.")


def _left(followed: Followed) -> Element:
    """Return which walks are not on the page, and how each of them is seen."""
    count = len(followed.left)
    options = f"--survey {shlex.quote(followed.survey)}"
    options += f" --before {shlex.quote(followed.before)}" if followed.before else ""
    commands = [
        f"vlancheck walk SITE {shlex.quote(sent.port)} {shlex.quote(sent.frame)} {options} -o walk.html"
        for sent in followed.left[:_SHOWN]
    ]
    more = f"and {count - _SHOWN} more, each with its own port and frame" if count > _SHOWN else None
    several = f"{count} walks more are" if count > 1 else "One walk more is"
    form = f"vlancheck walk SITE PORT FRAME {options} -o walk.html"
    return element(
        "details",
        element(
            "summary", f"{several} left out, since the page would be too large. Each is a sheet of its own: {form}"
        ),
        element("pre", "\n".join(commands)),
        element("p", more) if more else None,
        class_="left",
    )
