"""A spanning tree as the standard's bridges find it: each sends what it believes, until nobody learns anything new.

Written from IEEE Std 802.1D-1998, 8.6 (received messages, root selection, designated ports), with whole messages and
no shortest path anywhere; it shares no code with the program.
"""

from __future__ import annotations

from dataclasses import dataclass, field

Message = tuple[tuple[int, str], int, tuple[int, str], tuple[int, int]]  # root, cost, sender, sender's port


@dataclass
class Port:
    """A port: where its cord leads, and the best message on that cord."""

    name: str
    cost: int
    identifier: tuple[int, int]  # priority and number
    best: Message | None = None  # what another end said, where that is better than what this one would say


@dataclass
class Bridge:
    """A bridge that knows of itself alone, at first."""

    identifier: tuple[int, str]  # priority and address
    ports: dict[str, Port] = field(default_factory=dict)
    root: tuple[int, str] = (0, "")
    cost: int = 0
    root_port: str = ""

    def says(self, port: Port) -> Message:
        return self.root, self.cost, self.identifier, port.identifier

    def designated(self, port: Port) -> bool:
        return port.best is None or self.says(port) < port.best

    def think(self) -> None:
        offers = [
            ((port.best[0], port.best[1] + port.cost, *port.best[2:], port.identifier), port.name)
            for port in self.ports.values()
            if port.best is not None and port.best[2] != self.identifier
        ]
        self.root, self.cost, self.root_port = self.identifier, 0, ""
        if offers and min(offers)[0][0] < self.identifier:
            vector, self.root_port = min(offers)
            self.root, self.cost = vector[0], vector[1]


def settled(bridges: dict[str, Bridge], cords: list[tuple[tuple[str, str], tuple[str, str]]]) -> dict[str, str]:
    """Return the role of each port that has a cord (bridge and port at each end), by its name."""
    far = {}
    for one, other in cords:
        far[one], far[other] = other, one
    for bridge in bridges.values():
        bridge.think()
    for _ in range(4 * len(bridges) + 4):
        sent = {
            far[name, port.name]: bridge.says(port)
            for name, bridge in bridges.items()
            for port in bridge.ports.values()
            if (name, port.name) in far and bridge.designated(port)
        }
        before = {name: (bridge.root, bridge.cost, bridge.root_port) for name, bridge in bridges.items()}
        for (name, port_name), message in sent.items():
            bridge, port = bridges[name], bridges[name].ports[port_name]
            if message < bridge.says(port):
                port.best = message
        for bridge in bridges.values():
            bridge.think()
            for port in bridge.ports.values():
                if port.best is not None and bridge.says(port) < port.best:
                    port.best = None
        after = {name: (bridge.root, bridge.cost, bridge.root_port) for name, bridge in bridges.items()}
        heard = {
            far[place]
            for place in far
            if not bridges[far[place][0]].designated(bridges[far[place][0]].ports[far[place][1]])
        }
        if before == after and len(heard) == len(cords):
            break
    else:
        raise AssertionError("the bridges never agree")
    return {
        port.name: "root" if port.name == bridge.root_port else "designated" if bridge.designated(port) else "blocked"
        for name, bridge in bridges.items()
        for port in bridge.ports.values()
        if (name, port.name) in far
    }
