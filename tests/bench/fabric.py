"""Large random fabrics for the benchmarks: switches in a connected mesh of uplinks, each with access ports."""

from __future__ import annotations

from random import Random
from typing import NamedTuple

from vlancheck.dot1q.model import Bridge, BridgePort, Device, Port
from vlancheck.evidence import Cover, Fact, Origins, assumed
from vlancheck.vids import of, span
from vlancheck.wiring import Network

WHY: Origins = assumed("drawn at random")


class Fabric(NamedTuple):
    """A network and its plain form."""

    network: Network
    uplinks: list[tuple[int, int, int]]  # switch, switch, VIDs allowed at both ends
    vlans: int  # bitset of all VIDs
    access: list[list[int]]  # by switch: VID of each access port


def fabric(
    seed: int, *, switches: int, access: int, uplinks: int, vlans: int, share: float, used: int | None = None
) -> Fabric:
    """Return a fabric in which each uplink carries each VLAN with probability `share`.

    Access ports of a switch use `used` VLANs, drawn for each switch; None: any of all.
    """
    rng = Random(seed)
    every = span(2, vlans + 1)
    pairs = [(rng.randrange(switch), switch) for switch in range(1, switches)]
    while len(pairs) < uplinks:
        one, other = rng.randrange(switches), rng.randrange(switches)
        if one != other:
            pairs.append((one, other))
    joined = [(one, other, of(v for v in range(2, vlans + 2) if rng.random() < share)) for one, other in pairs]
    ports: list[dict[str, BridgePort]] = [{} for _ in range(switches)]
    links = []
    for one, other, carried in joined:
        names = []
        for switch in (one, other):
            name = f"u{len(ports[switch]) + 1}"
            ports[switch][name] = _trunk(name, carried)
            names.append(f"S{switch}:{name}")
        links.append((names[0], names[1]))
    chosen = []
    for switch in range(switches):
        pool = [rng.randrange(2, vlans + 2) for _ in range(used)] if used else range(2, vlans + 2)
        chosen.append([rng.choice(pool) for _ in range(access)])
        for number, vid in enumerate(chosen[-1], 1):
            ports[switch][f"e{number}"] = _access(f"e{number}", vid)
    exists = Cover.of(every, WHY)
    devices = [
        Device(
            name=f"S{switch}",
            bridges={"": Bridge(exists=exists)},
            ports={name: Port(name=name) for name in mine},
            bridge_ports=mine,
        )
        for switch, mine in enumerate(ports)
    ]
    return Fabric(Network(devices, links), joined, every, chosen)


def _trunk(name: str, carried: int) -> BridgePort:
    cover = Cover.of(carried, WHY)
    return BridgePort(name=name, port=name, pvid=Fact(None, WHY), admit=cover, member=cover, untagged=Cover.of(0, WHY))


def _access(name: str, vid: int) -> BridgePort:
    cover = Cover.of(1 << vid, WHY)
    return BridgePort(name=name, port=name, pvid=Fact(vid, WHY), admit=Cover.of(0, WHY), member=cover, untagged=cover)
