"""Boxes that nobody captures, built from what is declared: hosts, converters, unmanaged switches, carrier boxes."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from vlancheck.dot1q.model import (
    NO_TAG,
    Bridge,
    BridgePort,
    Device,
    DeviceKind,
    End,
    Port,
    PortKind,
    Push,
    Rewrite,
    TagMatch,
)
from vlancheck.dot1q.tags import Frame
from vlancheck.evidence import UNKNOWN, Cover, Fact, Kind, Origin, Origins, State, join
from vlancheck.vids import EVERY

_ABSENT = TagMatch(vids=1 << NO_TAG)
_UNTAGGED_VID = 1  # relay VID of a bridge that knows no VLANs; its number never shows on a wire


def host(name: str, ports: Iterable[str], origins: Origins, frames: Sequence[Frame] | None = None) -> Device:
    """Return a host that takes `frames` at every port, or any frame when none are said."""
    ports = list(ports)
    ends = [end for port in ports for end in _host_ends(port, frames, origins)]
    return Device(
        name=name,
        kind=DeviceKind.HOST,
        ports={port: Port(name=port, origins=origins) for port in ports},
        ends={end.name: end for end in ends},
    )


def uncaptured(name: str, kind: DeviceKind, ports: Iterable[str], origins: Origins) -> Device:
    """Return a router or firewall without a capture: whether it takes a frame is not known."""
    why = Origin(Kind.ASSUMED, f"{name} was not captured", settle=f"a capture of {name}")
    ports = list(ports)
    ends = {port: End(name=port, port=port, up=Fact(UNKNOWN, (why,)), origins=origins) for port in ports}
    return Device(name=name, kind=kind, ports={port: Port(name=port, origins=origins) for port in ports}, ends=ends)


def unaware(name: str, kind: DeviceKind, ports: Iterable[str], origins: Origins) -> Device:
    """Return a box that passes every frame and knows no tag: a media converter, an unmanaged switch, a phone.

    A media converter (kind THROUGH) must have exactly two ports: ValueError else.
    """
    ports = list(ports)
    if kind is DeviceKind.THROUGH and len(ports) != 2:
        raise ValueError(f"{name} is a media converter with {len(ports)} ports; it has exactly two")
    one = Cover.of(1 << _UNTAGGED_VID, origins)
    bridge_ports = {
        port: BridgePort(
            name=port,
            port=port,
            pvid=Fact(_UNTAGGED_VID, origins),
            admit=Cover.of(0, origins),
            member=one,
            untagged=one,
            tpids=frozenset(),
            tpid_origins=origins,
        )
        for port in ports
    }
    return Device(
        name=name,
        kind=kind,
        bridges={"": Bridge(exists=Cover.of(EVERY, origins))},
        ports={port: Port(name=port, origins=origins) for port in ports},
        bridge_ports=bridge_ports,
    )


@dataclass(frozen=True, slots=True)
class CarrierPort:
    """What is declared of one customer port of a carrier's box."""

    service: str  # name of the carrier's side
    rows: Mapping[int, int]  # carrier's VID -> VID at the customer port
    origins: Origins  # the letter, capture or test that says so


def carrier_box(name: str, ports: Mapping[str, CarrierPort | None], origins: Origins) -> Device:
    """Return a carrier's box: declared tags pass with their translation, all else is unproven.

    No path leads from one customer port to another.  Each customer port has a carrier's side of its own, named after
    its service (and its port, where a service has several).
    """
    shared = [port.service for port in ports.values() if port]
    made_ports: dict[str, Port] = {}
    bridges: dict[str, Bridge] = {}
    bridge_ports: dict[str, BridgePort] = {}
    for port, declared in ports.items():
        service = declared.service if declared else "carrier"
        inner = service if shared.count(service) == 1 else f"{service}/{port}"
        made_ports[port] = Port(name=port, origins=origins)
        made_ports[inner] = Port(name=inner, kind=PortKind.INSIDE, origins=origins)
        bridges[port] = Bridge(name=port, exists=Cover.of(EVERY, origins))
        for bridge_port in _carrier_sides(name, port, inner, declared, origins):
            bridge_ports[bridge_port.name] = bridge_port
    return Device(
        name=name,
        kind=DeviceKind.CARRIER_BOX,
        owner="carrier",
        bridges=bridges,
        ports=made_ports,
        bridge_ports=bridge_ports,
    )


def _host_ends(port: str, frames: Sequence[Frame] | None, origins: Origins) -> list[End]:
    if frames is None:
        return [End(name=port, port=port, origins=origins)]
    ends = []
    for frame in frames:
        levels = tuple(TagMatch(1 << tag.vid, frozenset({tag.tpid})) for tag in frame)
        name = ".".join([port, *(str(tag.vid) for tag in frame)])
        tpids = frozenset(tag.tpid for tag in frame)
        ends.append(End(name=name, port=port, select=(*levels, _ABSENT), tpids=tpids, origins=origins))
    return ends


def _carrier_sides(
    name: str, port: str, inner: str, declared: CarrierPort | None, origins: Origins
) -> tuple[BridgePort, BridgePort]:
    settle = f"the carrier's letter: which tags {name} passes at {port}"
    unknown = (Origin(Kind.ASSUMED, f"nothing is declared of other tags at {port} of {name}", settle=settle),)
    rows = declared.rows if declared else {}
    said = join(declared.origins, origins) if declared else origins
    carried = Cover.unknown(unknown)
    for vid in rows.values():
        carried = carried.write(1 << vid, State.IN, said)
    kept = Cover.of(0, said)
    outside = BridgePort(
        name=port, port=port, bridge=port, pvid=Fact(UNKNOWN, unknown), admit=carried, member=carried, untagged=kept
    )
    changed = {theirs: ours for theirs, ours in rows.items() if theirs != ours}
    inside = BridgePort(
        name=inner,
        port=inner,
        bridge=port,
        pvid=Fact(UNKNOWN, unknown),
        admit=carried,
        member=carried,
        untagged=kept,
        entry=(
            *(_translation(theirs, ours, said) for theirs, ours in changed.items()),
            # Nothing says that the carrier's side takes our number for the tag: not certain, not excluded.
            *(
                Rewrite(match=(TagMatch(1 << ours),), drop=True, sure=False, origins=unknown)
                for ours in changed.values()
                if ours not in rows
            ),
        ),
        exit=tuple(_translation(ours, theirs, said) for theirs, ours in changed.items()),
    )
    return outside, inside


def _translation(arrives: int, becomes: int, origins: Origins) -> Rewrite:
    return Rewrite(match=(TagMatch(1 << arrives),), pop=1, push=(Push(becomes),), origins=origins)
