"""Boxes and links in, one network out: what a walk runs on, with its boundary ports."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import cached_property
from types import MappingProxyType
from typing import NamedTuple

from vlancheck.dot1q.model import Bridge, BridgePort, Device, DeviceKind, End, Port, PortKind
from vlancheck.errors import SiteError
from vlancheck.evidence import UNKNOWN, Cover, Fact, Origins
from vlancheck.places import split_place

# A copy that leaves our port toward one of these is proved and judged there; what the box does with it is not known.
NOT_WALKED = frozenset({DeviceKind.UNMANAGED, DeviceKind.PHONE, DeviceKind.ACCESS_POINT})


class Link(NamedTuple):
    """Two ports joined by a cord, a chain of cords, or a bundle."""

    one: str  # DEVICE:PORT
    other: str  # DEVICE:PORT
    origins: Origins = ()  # who says so


class Network:
    """Boxes joined by links; names are `DEVICE:PORT` throughout.

    Walks start and end at its boundary: handoffs, ports without a link, ports whose far side is not walked, inside
    ports, and the ports of hosts and routers.
    """

    def __init__(
        self,
        devices: Iterable[Device],
        links: Iterable[Link | tuple[str, str]],
        *,
        handoffs: Iterable[str] = (),
        stands_for: Mapping[str, str] = MappingProxyType({}),
    ) -> None:
        """Join `devices` by `links` (pairs of places, or Link values); `stands_for` maps bundle members to bundles.

        Raises SiteError when a link names a port that does not exist, or a port has two links.
        """
        self.devices: Mapping[str, Device] = MappingProxyType({device.name: device for device in devices})
        self.links = tuple(link if isinstance(link, Link) else Link(*link) for link in links)
        self.handoffs = frozenset(handoffs)
        self.stands_for = stands_for
        self.peer: dict[str, str] = {}
        for link in self.links:
            self._join(link)
        for place in self.handoffs:
            self._known(place, Link(place, place))

    @cached_property
    def boundary(self) -> tuple[str, ...]:
        """The ports where walks start and end, sorted."""
        return tuple(sorted(place for place in self._bridging | self._ending if self.ends_at(place)))

    @cached_property
    def certain(self) -> bool:
        """Whether no fact that a walk asks for is unknown."""
        return not any(_uncertain(device) for device in self.devices.values())

    def port(self, place: str) -> Port:
        """Return the port at `place`; KeyError when there is none."""
        device, port = split_place(place)
        return self.devices[device].ports[port]

    def bridge_port(self, name: str) -> BridgePort:
        """Return the bridge port `DEVICE:NAME`."""
        device, port = split_place(name)
        return self.devices[device].bridge_ports[port]

    def end(self, name: str) -> End:
        """Return the end `DEVICE:NAME`."""
        device, port = split_place(name)
        return self.devices[device].ends[port]

    def bridge(self, device: str, bridge_port: BridgePort) -> Bridge:
        """Return the bridge that `bridge_port` of `device` belongs to."""
        return self.devices[device].bridges[bridge_port.bridge]

    def ends_at(self, place: str) -> bool:
        """Tell whether a walk ends at `place`."""
        device, port = split_place(place)
        box = self.devices[device]
        if place in self.handoffs or box.ports[port].kind is PortKind.INSIDE or self.only_ends(place):
            return True
        far = self.peer.get(place)
        return far is None or self.devices[split_place(far)[0]].kind in NOT_WALKED

    def only_ends(self, place: str) -> bool:
        """Tell whether frames end at `place` and none is bridged there."""
        return place in self._ending and place not in self._bridging

    @cached_property
    def _bridging(self) -> frozenset[str]:
        """The ports where frames are bridged."""
        boxes = self.devices.values()
        return frozenset(f"{box.name}:{found.port}" for box in boxes for found in box.bridge_ports.values())

    @cached_property
    def _ending(self) -> frozenset[str]:
        """The ports where frames end."""
        boxes = self.devices.values()
        return frozenset(f"{box.name}:{found.port}" for box in boxes for found in box.ends.values())

    def _join(self, link: Link) -> None:
        for mine, other in ((link.one, link.other), (link.other, link.one)):
            self._known(mine, link)
            if mine in self.peer and self.peer[mine] != other:
                raise _at(link, f"{mine} has two links, to {self.peer[mine]} and to {other}", "a port takes one cord")
            self.peer[mine] = other

    def _known(self, place: str, link: Link) -> None:
        device, port = split_place(place)
        if device not in self.devices:
            raise _at(link, f"there is no device {device!r}", f"known: {', '.join(sorted(self.devices)) or 'none'}")
        if port not in self.devices[device].ports:
            known = ", ".join(list(self.devices[device].ports)[:12]) or "none"
            raise _at(link, f"{device} has no port {port!r}", f"its ports: {known}")


def _at(link: Link, message: str, hint: str) -> SiteError:
    first = link.origins[0] if link.origins else None
    return SiteError(message, file=first.file if first else "", line=first.line if first else 0, hint=hint)


def _uncertain(device: Device) -> bool:
    """Tell whether any fact of the box that a walk asks for is unknown."""
    if device.kind in NOT_WALKED:
        return True
    facts: list[Fact[bool]] = [fact for port in device.ports.values() for fact in (port.up, port.link)]
    facts += [end.up for end in device.ends.values()]
    covers: list[Cover] = [cover for bridge in device.bridges.values() for cover in (bridge.exists, bridge.active)]
    for bridge_port in device.bridge_ports.values():
        if bridge_port.doubt or bridge_port.pvid.value is UNKNOWN:
            return True
        if not all(row.sure for row in (*bridge_port.entry, *bridge_port.exit)):
            return True
        facts.append(bridge_port.up)
        covers += (bridge_port.admit, bridge_port.member, bridge_port.untagged, bridge_port.forwarding)
    return any(fact.value is UNKNOWN for fact in facts) or any(cover.sure != cover.possible for cover in covers)
