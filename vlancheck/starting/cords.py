"""Boxes come in, the cords between them go out as far as neighbours and descriptions tell, each with who says so."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass

from vlancheck.dot1q.model import Device, Port, PortKind
from vlancheck.evidence import Origin

Canonical = Callable[[str, str], str]  # (device, port as somebody writes it) -> its name


@dataclass(frozen=True, slots=True)
class Guess:
    """A cord that captures speak of."""

    one: str  # DEVICE:PORT
    other: str  # DEVICE:PORT; DEVICE alone where the port is not told
    said: tuple[str, ...]  # who says so, each with file and line
    sure: bool  # a neighbour said it; else only a description
    known: bool = True  # both boxes are captured


def guessed_cords(devices: Iterable[Device], canonical: Canonical) -> tuple[Guess, ...]:
    """Return the cords that neighbours name, then those that descriptions name, each once."""
    boxes = {device.name: device for device in devices}
    found: dict[frozenset[str], Guess] = {}
    for device in boxes.values():
        for port in device.ports.values():
            for one in port.seen:
                if one.neighbour:
                    far = _far(boxes, one.neighbour, one.neighbour_port, canonical)
                    said = f"neighbour seen at {device.name}{_at(one.origins)}"
                    _add(found, f"{device.name}:{port.name}", far, said, sure=True, boxes=boxes)
    taken = {place for guess in found.values() for place in (guess.one, guess.other)}
    for device in boxes.values():
        for port in device.ports.values():
            place = f"{device.name}:{port.name}"
            if port.description and port.kind is PortKind.JACK and place not in taken:
                far = _named(boxes, device, port, canonical)
                if far and far not in taken:
                    said = f'description at {place}: "{port.description}"'
                    _add(found, place, far, said, sure=False, boxes=boxes)
    return tuple(_one_port_each(found.values()))


def _far(boxes: Mapping[str, Device], neighbour: str, port: str, canonical: Canonical) -> str:
    """Return the far end as our captures call it, or as the neighbour does."""
    short = neighbour.partition(".")[0]
    name = next((one for one in boxes if one.casefold() in (neighbour.casefold(), short.casefold())), "")
    if not name:
        return f"{neighbour}:{port}" if port else neighbour
    return f"{name}:{canonical(name, port)}" if port else name


def _named(boxes: Mapping[str, Device], device: Device, port: Port, canonical: Canonical) -> str:
    """Return the box, and its port where it is told, that a description names."""
    words = re.findall(r"[\w./:-]+", port.description)
    for name, box in boxes.items():
        if name == device.name:
            continue
        for at, word in enumerate(words):
            if word.casefold() == name.casefold():
                rest = [canonical(name, after) for after in words[at + 1 : at + 3]]
                return next((f"{name}:{after}" for after in rest if after in box.ports), name)
    return ""


def _add(
    found: dict[frozenset[str], Guess], one: str, other: str, said: str, *, sure: bool, boxes: Mapping[str, Device]
) -> None:
    known = other.partition(":")[0] in boxes
    whole = next((key for key in found if one in key and any(_same(end, other) for end in key - {one})), None)
    back = next((key for key in found if other in key and any(_same(end, one) for end in key - {other})), None)
    if (key := whole or back) is not None:
        old = found.pop(key)
        ends = sorted({_fuller(old.one, one, other), _fuller(old.other, other, one)}) if known else [old.one, old.other]
        if len(ends) == 2:
            found[frozenset(ends)] = Guess(ends[0], ends[1], (*old.said, said), old.sure or sure, known)
            return
        found[key] = old
        return
    ends = sorted((one, other)) if known else [one, other]
    found[frozenset(ends)] = Guess(ends[0], ends[1], (said,), sure, known)


def _same(end: str, other: str) -> bool:
    """Tell whether two ways of naming an end are of one box, and of one port where both tell it."""
    if end == other:
        return True
    box, _, port = end.partition(":")
    far_box, _, far_port = other.partition(":")
    return box == far_box and not (port and far_port)


def _fuller(old: str, *new: str) -> str:
    """Return the fullest name of an end."""
    return max((old, *(one for one in new if _same(old, one))), key=len)


def _one_port_each(guesses: Iterable[Guess]) -> Iterable[Guess]:
    """Leave out a description's guess whose port another cord has."""
    taken: set[str] = set()
    for guess in sorted(guesses, key=lambda one: (not one.sure, one.one, one.other)):
        ends = {guess.one, guess.other}
        if guess.sure or not ends & taken:
            taken |= ends
            yield guess


def _at(origins: Iterable[Origin]) -> str:
    return next((f" ({one.file}:{one.line})" for one in origins if one.file), "")
