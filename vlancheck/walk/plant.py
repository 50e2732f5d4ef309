"""A network as one world sees it: plain sets and tables, laid out for floods."""

from __future__ import annotations

from vlancheck.dot1q.forward import EndView, View, World, see, see_end
from vlancheck.places import split_place
from vlancheck.wiring.network import NOT_WALKED, Network


class Plant:
    """What a flood asks of a network: who takes a frame at a port, who shares its bridge, where links lead."""

    def __init__(self, network: Network, world: World) -> None:
        """Lay out `network` as `world` sees it."""
        self.world = world
        self.takers: dict[str, list[View | EndView]] = {}  # port -> from the most particular selection to the rest
        self.place: dict[str, str] = {}  # name of a bridge port -> its port
        self.bridge: dict[str, list[View]] = {}  # name of a bridge port -> all bridge ports of its bridge
        self.stops = frozenset(network.boundary)  # ports where copies are delivered
        self.onward: dict[str, str] = {}  # port -> where a copy that leaves there arrives
        for device in network.devices.values():
            self._lay_out(network, device.name)
        for takers in self.takers.values():
            takers.sort(key=_particular)
        for place, far in network.peer.items():
            unread = network.devices[split_place(far)[0]].kind in NOT_WALKED  # nothing is certain to get through it
            if place in network.handoffs or (unread and world is World.SURE):
                continue
            self.onward[place] = far
        self.uplinks = frozenset(
            place
            for place, far in self.onward.items()
            if any(isinstance(taker, View) for taker in self.takers.get(far, ()))
        )  # ports whose far side relays: that a frame does not leave there is news

    def _lay_out(self, network: Network, name: str) -> None:
        device = network.devices[name]
        shared: dict[str, list[View]] = {}
        for bridge_port in device.bridge_ports.values():
            port, bridge = device.ports[bridge_port.port], device.bridges[bridge_port.bridge]
            view = see(bridge_port, port, bridge, name, self.world)
            self._put(f"{name}:{port.name}", view)
            self.bridge[view.name] = shared.setdefault(bridge.name, [])
            self.bridge[view.name].append(view)
        for end in device.ends.values():
            self._put(f"{name}:{end.port}", see_end(end, device.ports[end.port], name, self.world))

    def _put(self, place: str, view: View | EndView) -> None:
        self.takers.setdefault(place, []).append(view)
        self.place[view.name] = place


def _particular(view: View | EndView) -> tuple[int, tuple[int, ...], str]:
    """Order selections: the longest first, then the one that names fewer VIDs, then by name."""
    sizes = tuple(level.vids.bit_count() if level.vids >= 0 else 1 << 16 for level in view.select)
    return -len(view.select), sizes, view.name
