"""What captures show behind ports in; which ports are in use, and the port at which an address hangs, out."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from vlancheck.dot1q.model import Device, DeviceKind
from vlancheck.evidence import Origins, join
from vlancheck.places import split_place


def sightings(devices: Iterable[Device]) -> dict[str, Origins]:
    """Return the ports (DEVICE:PORT) at which a capture shows a MAC or a neighbour, with the lines that show it."""
    return {
        f"{device.name}:{port.name}": join(*(one.origins for one in port.seen))
        for device in devices
        for port in device.ports.values()
        if port.seen
    }


class Addresses:
    """Finds the ports at which addresses were learned."""

    def __init__(self, devices: Mapping[str, Device], cords: Iterable[Sequence[str]]) -> None:
        """Take the boxes and the ports (DEVICE:PORT) that cords join; a cord of less than two is passed over."""
        self._devices = devices
        self._peers: dict[str, str] = {}
        for ports in cords:
            if len(ports) == 2:
                one, other = ports
                self._peers |= {one: other, other: one}
        self._switches = {name.casefold() for name, box in devices.items() if box.kind is DeviceKind.BRIDGE}
        self._places: dict[str, dict[str, Origins]] = {}
        for name, box in devices.items():
            for port in box.ports.values():
                place = f"{name}:{port.name}"
                for shown in port.seen:
                    if shown.mac:
                        found = self._places.setdefault(shown.mac, {})
                        found[place] = join(found.get(place, ()), shown.origins)

    @property
    def known(self) -> Sequence[str]:
        """Return every address that was learned somewhere."""
        return list(self._places)

    def places(self, mac: str) -> tuple[dict[str, Origins], dict[str, Origins]]:
        """Return the ports at which an address hangs, and those that only lead to another switch, with the lines."""
        here: dict[str, Origins] = {}
        leading: dict[str, Origins] = {}
        for place, origins in self._places.get(mac, {}).items():
            (leading if self.leads_on(place) else here)[place] = origins
        return here, leading

    def leads_on(self, place: str) -> bool:
        """Tell whether a port, or a member of the bundle that it is, leads to another switch."""
        name, port = split_place(place)
        members = self._devices[name].members(port)
        return any(self._to_switch(f"{name}:{one}") or self._hears_switch(name, one) for one in (port, *members))

    def _to_switch(self, place: str) -> bool:
        """Tell whether the cord at a port leads to a switch, also through boxes that every frame passes."""
        passed = {place}
        while far := self._peers.get(place, ""):
            name, port = split_place(far)
            box = self._devices[name]
            if box.kind is not DeviceKind.THROUGH:
                return box.kind is DeviceKind.BRIDGE
            others = [f"{name}:{one}" for one in box.ports if one != port]
            if len(others) != 1 or others[0] in passed:
                return False
            place = others[0]
            passed.add(place)
        return False

    def _hears_switch(self, name: str, port: str) -> bool:
        """Tell whether the neighbour that speaks at a port is a switch of this survey, with or without its domain."""
        heard = {one.neighbour.casefold() for one in self._devices[name].ports[port].seen if one.neighbour}
        return not self._switches.isdisjoint(heard | {one.partition(".")[0] for one in heard})
