"""One survey in, where its captures show each address and neighbour out, as far as that tells cords apart.

Ports that lead to other switches, addresses of groups and of several routers at once, and what one survey shows at
several ports at once say nothing about a cord.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Iterator, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import NamedTuple

from vlancheck.changes.side import Side
from vlancheck.dot1q.model import Device, DeviceKind, PortKind, Seen
from vlancheck.evidence import Origin, Origins, join
from vlancheck.places import split_place
from vlancheck.site.endpoints import EndpointKind
from vlancheck.site.places import PlaceError, find_port
from vlancheck.site.sheet import Endpoint
from vlancheck.site.sightings import Addresses
from vlancheck.wiring import Link

# Groups (the lowest bit of the first byte, IEEE Std 802-2014, 8.2), and addresses that go from router to router:
# VRRP (RFC 9568, 7.3); the other two from memory.
_NOBODY = re.compile(r".[13579bdf]:|00:00:00:00:00:00|00:00:5e:00:0[12]:|00:00:0c:07:ac:|00:00:0c:9f:f")
_TELLING = re.compile(r"\d")  # a neighbour whose name has no number may be one of many (common practice, no source)


def _no_time(_: Origin) -> str:
    return ""


class Row(NamedTuple):
    """A row of a patch sheet that leads to a port."""

    name: str  # panel port, jack or DEVICE:PORT it names
    places: tuple[str, ...]  # DEVICE:PORT it leads to: one, or both ends of a cord between two devices
    origins: Origins  # the row


class Heard(NamedTuple):
    """A box of the survey that speaks at a port."""

    place: str  # DEVICE:PORT where it was heard
    device: str  # name of the box
    port: str  # its own port; "" where it names none that the box has
    origins: Origins  # the lines


@dataclass(frozen=True)
class Sighted:
    """A survey, as evidence about cords asks for it."""

    side: Side  # network, anchors, needed frames
    devices: Mapping[str, Device]  # by name, members of bundles with ports of their own
    cords: tuple[Link, ...] = ()  # every cord between two boxes
    rows: tuple[Row, ...] = ()  # rows of the sheet that lead to a port
    endpoints: Mapping[str, Endpoint] = field(default_factory=dict)  # DEVICE:PORT -> what hangs there
    distrusted: Collection[str] = ()  # boxes of whose captures nothing is proven
    taken: Callable[[Origin], str] = _no_time  # when the capture with a line was taken; "" when nobody says
    unlinked: Mapping[str, Origins] = field(default_factory=dict)  # DEVICE:PORT -> lines that show it without a link

    @cached_property
    def peers(self) -> Mapping[str, str]:
        """The far end of every cord between two boxes."""
        return {mine: far for one, other, _ in self.cords for mine, far in ((one, other), (other, one))}

    def acting(self, place: str) -> str:
        """Return the bundle that acts for a port, or the port itself."""
        return self.side.ground.network.stands_for.get(place, place)

    def at_switch(self, place: str) -> str:
        """Return the port at the near end of the cord of a box that is an endpoint itself; any other port as it is."""
        network = self.side.ground.network
        return network.peer.get(place, place) if network.only_ends(place) else place

    def roams(self, place: str) -> bool:
        """Tell whether what is behind a port goes from one such port to another by itself: stations of radio cells."""
        endpoint = self.endpoints.get(place)
        return endpoint is not None and EndpointKind.ACCESS_POINT in endpoint.kinds


class Index:
    """Everything that the captures of one survey show, by what was seen and by port."""

    def __init__(self, survey: Sighted) -> None:
        """Go through all ports once."""
        self.survey = survey
        self.places: dict[str, dict[str, Origins]] = {}  # address, or `~` and a name -> DEVICE:PORT -> lines
        self.at: dict[str, dict[str, Origins]] = {}  # DEVICE:PORT -> what is seen there -> lines
        self.passing: set[str] = set()  # what is seen at ports that lead to other switches
        self.heard: list[Heard] = []  # boxes of the survey that speak
        self.tables: dict[str, set[str]] = {}  # box -> times of its tables of addresses; "" for one of unknown time
        self._named = {
            name.casefold(): name for name, box in survey.devices.items() if box.kind is not DeviceKind.PANEL
        }
        addresses = Addresses(survey.devices, ((cord.one, cord.other) for cord in survey.cords))
        for name, box in survey.devices.items():
            if box.kind is not DeviceKind.BRIDGE or name in survey.distrusted:
                continue  # what a router or a host knows is what is beyond its cord, not what hangs at it
            for port in box.ports.values():
                if port.seen and port.kind is not PortKind.INSIDE:
                    leads = addresses.leads_on(f"{name}:{port.name}")
                    for one in port.seen:
                        self._take(name, port.name, one, leads)

    def _take(self, device: str, port: str, one: Seen, leads: bool) -> None:
        place = f"{device}:{port}"
        if one.mac:
            self.tables.setdefault(device, set()).update(map(self.survey.taken, one.origins[:1]))
        for token in self._tokens(place, one):
            if leads:
                self.passing.add(token)
                continue
            acting = self.survey.acting(place)
            for found, key in ((self.places.setdefault(token, {}), acting), (self.at.setdefault(acting, {}), token)):
                found[key] = join(found.get(key, ()), one.origins)

    def _tokens(self, place: str, one: Seen) -> Iterator[str]:
        """Yield what tells whoever was seen from all others, and keep a bridge of the survey that speaks."""
        if one.mac and not _NOBODY.match(one.mac):
            yield one.mac
        if not one.neighbour:
            return
        name = one.neighbour.casefold()
        known = self._named.get(name) or self._named.get(name.partition(".")[0])
        if known is None:
            if _TELLING.search(name):
                yield f"~{name}"
            return
        port = self._port(known, one.neighbour_port)
        if self.survey.devices[known].kind is DeviceKind.BRIDGE:
            self.heard.append(Heard(place, known, port, one.origins))
        else:
            yield box_token(known, port)

    def _port(self, device: str, text: str) -> str:
        box = self.survey.devices[device]
        if not text or (text.isdecimal() and text not in box.ports):  # a bare number may be an index
            return ""
        try:
            return find_port(box, text)
        except PlaceError:
            return ""

    def alone(self, token: str) -> tuple[str, Origins] | None:
        """Return the only port at which something is seen, with the lines; None when there are none or several."""
        found = self.places.get(token, {})
        return next(iter(found.items())) if len(found) == 1 else None

    def last(self, token: str) -> dict[str, Origins]:
        """Return the ports at which something is seen; of several with known times, those of the last capture."""
        found = self.places.get(token, {})
        if len(found) < 2:
            return found
        times = {place: max(map(self.survey.taken, origins)) for place, origins in found.items()}
        if not all(times.values()) or len({written[19:] for written in times.values()}) > 1:
            return found
        last = max(times.values())
        return {place: found[place] for place in found if times[place] == last}


def box_token(device: str, port: str) -> str:
    """Return what a box of the survey that is an endpoint is known by."""
    return f"~{device}:{port}".casefold() if port else f"~{device}".casefold()


def of_box(place: str) -> tuple[str, str]:
    """Return what the box with a port DEVICE:PORT is known by, with and without the port."""
    device, port = split_place(place)
    return box_token(device, port), box_token(device, "")
