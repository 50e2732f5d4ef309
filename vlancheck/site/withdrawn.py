"""Boxes and names of links or devices in, the boxes with these out of service out: what hangs on them is then seen."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace

from vlancheck.dot1q.model import Device
from vlancheck.evidence import Fact, Kind, Origin
from vlancheck.places import split_place
from vlancheck.site.boxes import Boxes
from vlancheck.site.places import PlaceError


@dataclass(frozen=True, slots=True)
class Withdrawn:
    """Links and devices that are out of service for a question."""

    names: tuple[str, ...] = ()  # as people call them: a device, or both ends of a link
    ports: Mapping[str, str] = field(default_factory=dict)  # DEVICE:PORT that is down by it -> why, in words


def withdrawn(boxes: Boxes, names: Iterable[str]) -> Withdrawn:
    """Return what is out of service when devices or links are, a link named by a port, cord, jack or circuit of its.

    Raises PlaceError, with the nearest names, for a name that is neither.
    """
    told: list[str] = []
    ports: dict[str, str] = {}
    for name in names:
        device = next((one for one in boxes.devices if one.casefold() == name.strip().casefold()), None)
        if device is not None:
            places = [f"{device}:{port}" for port in boxes.devices[device].ports]
            told.append(device)
        else:
            places = _link(boxes, name)
            told.append(" - ".join(places))
        ports |= dict.fromkeys(places, f"{told[-1]} is taken out of service for this question")
    return Withdrawn(tuple(told), ports)


def out_of_service(boxes: Boxes, away: Withdrawn) -> Boxes:
    """Return the boxes with the ports down."""
    by_device: dict[str, dict[str, str]] = {}
    for place, why in away.ports.items():
        device, port = split_place(place)
        by_device.setdefault(device, {})[port] = why
    devices = {name: _down(device, by_device.get(name, {})) for name, device in boxes.devices.items()}
    return replace(boxes, devices=devices)


def links(boxes: Boxes) -> list[str]:
    """Return one port of every link between two boxes, in the order written."""
    return [cord.one for cord in boxes.cords]


def _down(device: Device, ports: Mapping[str, str]) -> Device:
    if not ports:
        return device
    made = dict(device.ports)
    for name, why in ports.items():
        made[name] = replace(made[name], up=Fact(False, (Origin(Kind.ASSUMED, why),)))
    return replace(device, ports=made)


def _link(boxes: Boxes, name: str) -> list[str]:
    far = {end: other for cord in boxes.cords for end, other in ((cord.one, cord.other), (cord.other, cord.one))}
    places: dict[str, None] = {}
    for spot in boxes.spots.find(name):
        for place in spot.places:
            places[place] = None
            device, port = split_place(place)
            members = [f"{device}:{one}" for one in boxes.devices[device].members(port)]
            for end in (place, *members):
                places |= dict.fromkeys(one for one in (end, far.get(end, "")) if one)
    if not places:
        raise PlaceError(f"nothing is patched at {name}", "name a device, or a port or cord of a link")
    return list(places)
