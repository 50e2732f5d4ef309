"""Random wirings with many ports that are alike, for what is taken together and what must not be."""

from __future__ import annotations

from dataclasses import replace
from random import Random

from wiring.boxes import SAID, access, bridge_port

from vlancheck.dot1q.model import Bridge, BridgePort, Device, Port
from vlancheck.dot1q.tags import C_TAG, Frame, Tag
from vlancheck.evidence import UNKNOWN, Cover, Fact, State
from vlancheck.vids import EVERY
from vlancheck.wiring import Network

VLANS = (10, 20, 30)
FRAMES: tuple[Frame, ...] = ((), *(((Tag(C_TAG, vid)),) for vid in (0, 7, *VLANS)))


def network(rng: Random, *, unknowns: bool = False) -> Network:
    """Draw up to five switches, each with two or three sorts of access ports, joined by trunks, loops included."""
    count = rng.randint(1, 5)
    ports: list[list[BridgePort]] = [[] for _ in range(count)]
    links = []
    for number in range(rng.randint(0, count + 2)):
        ends = rng.randrange(count), rng.randrange(count)
        names = f"t{number}a", f"t{number}b"
        for switch, name in zip(ends, names, strict=True):
            ports[switch].append(_trunk(rng, name))
        links.append((f"S{ends[0]}:{names[0]}", f"S{ends[1]}:{names[1]}"))
    for switch in range(count):
        for sort in range(rng.randint(1, 3)):
            port = _edge(rng, unknowns)
            for copy in range(rng.choice((1, 2, 3))):
                name = f"e{sort}{copy}"
                ports[switch].append(replace(port, name=name, port=name))
        rng.shuffle(ports[switch])
    boxes = [
        Device(
            name=f"S{switch}",
            bridges={
                "": Bridge(exists=Cover.of(EVERY if rng.random() < 0.8 else sum(1 << v for v in VLANS[:2]), SAID))
            },
            ports={port.port: Port(name=port.port) for port in mine},
            bridge_ports={port.name: port for port in mine},
        )
        for switch, mine in enumerate(ports)
    ]
    return Network(boxes, links)


def _edge(rng: Random, unknowns: bool) -> BridgePort:
    kind = rng.randrange(4)
    port = access("e", rng.choice(VLANS))
    if kind == 1:
        port = replace(port, admit=Cover.of(0, SAID))
    elif kind == 2:
        port = bridge_port("e", pvid=rng.choice((None, 10)), member="10,20", untagged=rng.choice(("none", "10")))
    if rng.random() < 0.25:
        port = replace(port, isolation=frozenset({rng.choice("ab")}))
    if unknowns and rng.random() < 0.4:
        change = rng.randrange(3)
        if change == 0:
            port = replace(port, member=port.member.write(1 << rng.choice(VLANS), State.UNKNOWN, SAID))
        elif change == 1:
            port = replace(port, pvid=Fact(UNKNOWN, SAID))
        else:
            port = replace(port, doubt=SAID)
    return port


def _trunk(rng: Random, name: str) -> BridgePort:
    native = rng.choice((None, None, 10, 20))
    allowed = ",".join(str(vid) for vid in VLANS if rng.random() < 0.7) or "none"
    port = bridge_port(name, pvid=native, member=allowed, untagged="none" if native is None else str(native))
    if rng.random() < 0.1:
        port = replace(port, isolation=frozenset({"a"}))
    if rng.random() < 0.1:
        port = replace(port, forwarding=Cover.of(~(1 << rng.choice(VLANS)), SAID))
    return port
