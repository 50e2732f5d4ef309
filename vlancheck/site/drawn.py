"""Boxes and ports that no capture shows in, devices of the model out: declared, absent, or assumed to be there."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace

from vlancheck.dot1q.boxes import CarrierPort, carrier_box, host, unaware, uncaptured
from vlancheck.dot1q.model import Bridge, BridgePort, Device, DeviceKind, End, Port
from vlancheck.evidence import UNKNOWN, Cover, Fact, Kind, Origin, Origins, join
from vlancheck.site.devices import DeclaredDevice


def declared_box(declared: DeclaredDevice, kind: DeviceKind, ports: Sequence[str]) -> Device:
    """Return a box that site.yaml declares, with the ports that links, sheets and handoffs name.

    Raises SiteError for a media converter that has not exactly two, and for a bridge, which needs a capture.
    """
    origins = declared.at.origins
    match kind:
        case DeviceKind.HOST:
            device = host(declared.name, ports, origins, declared.frames)
        case DeviceKind.ROUTER | DeviceKind.FIREWALL:
            device = uncaptured(declared.name, kind, ports, origins)
        case DeviceKind.CARRIER_BOX:
            rows = {port: declared.carrier_ports.get(port) for port in ports}
            made = {
                port: CarrierPort(row.service, row.rows, row.origins) if row else None for port, row in rows.items()
            }
            device = carrier_box(declared.name, made, origins)
        case DeviceKind.THROUGH | DeviceKind.UNMANAGED | DeviceKind.PHONE | DeviceKind.ACCESS_POINT:
            try:
                device = unaware(declared.name, kind, ports, origins)
            except ValueError as error:
                hint = "name both of its ports in `links` or in the patch sheet"
                raise declared.at.error(str(error), hint) from error
        case DeviceKind.PANEL | DeviceKind.BRIDGE:
            raise declared.at.error(
                f"{declared.name} cannot be built from its declaration alone",
                "a bridge needs a capture; a panel's cords come from a patch sheet",
            )
    return replace(device, owner=declared.owner or device.owner)


def overridden(device: Device, declared: DeclaredDevice) -> Device:
    """Return a captured box with what the declaration knows better."""
    changed = replace(device, owner=declared.owner or device.owner)
    return replace(changed, kind=declared.kind) if declared.kind else changed


def absent_box(name: str, kind: DeviceKind | None, ports: Sequence[str], origins: Origins) -> Device:
    """Return a box of which this survey has no capture: whether it takes a frame, or passes it on, is not known."""
    if kind in (None, DeviceKind.BRIDGE):
        why = Origin(Kind.ASSUMED, f"{name} was not captured", settle=f"a capture of {name}")
        return _unread_bridge(name, ports, join((why,), origins))
    device = uncaptured(name, kind, ports, origins)
    ends = {end.name: replace(end, up=Fact(UNKNOWN, join(end.up.origins, origins))) for end in device.ends.values()}
    return replace(device, ends=ends)


def _unread_bridge(name: str, ports: Sequence[str], why: Origins) -> Device:
    """Return a bridge of which nothing is known but its ports."""
    unknown = Cover.unknown(why)
    bridge_ports = {
        port: BridgePort(
            name=port, port=port, pvid=Fact(UNKNOWN, why), admit=unknown, member=unknown, untagged=unknown, doubt=why
        )
        for port in ports
    }
    return Device(
        name=name,
        bridges={"": Bridge(exists=unknown)},
        ports={port: Port(name=port, origins=why) for port in ports},
        bridge_ports=bridge_ports,
    )


def with_assumed_port(device: Device, name: str) -> Device:
    """Return the box with a port that no capture prints: it is assumed to be there, and nothing of it is proven."""
    why = Origin(
        Kind.ASSUMED,
        f"no capture prints {name} of {device.name}; it is called like its other ports and assumed to be there",
        settle=f"a capture of {device.name} that prints {name}",
    )
    ports = {**device.ports, name: Port(name=name, origins=(why,))}
    if not device.bridges:
        end = End(name=name, port=name, up=Fact(UNKNOWN, (why,)), origins=(why,))
        return replace(device, ports=ports, ends={**device.ends, name: end})
    unknown = Cover.unknown((why,))
    bridge_port = BridgePort(
        name=name,
        port=name,
        bridge=_usual_bridge(device),
        pvid=Fact(UNKNOWN, (why,)),
        admit=unknown,
        member=unknown,
        untagged=unknown,
        doubt=(why,),
    )
    return replace(device, ports=ports, bridge_ports={**device.bridge_ports, name: bridge_port})


def with_doubted_port(device: Device, port: str, origins: Origins) -> Device:
    """Return the box with nothing proven at `port`, since what is plugged into it is contradicted."""
    bridge_ports = {
        name: replace(one, doubt=join(one.doubt, origins)) if one.port == port else one
        for name, one in device.bridge_ports.items()
    }
    ends = {
        name: replace(one, up=Fact(UNKNOWN, join(one.up.origins, origins))) if one.port == port else one
        for name, one in device.ends.items()
    }
    return replace(device, bridge_ports=bridge_ports, ends=ends)


def with_doubt(device: Device, origins: Origins) -> Device:
    """Return the box with nothing proven at any of its ports."""
    for port in device.ports:
        device = with_doubted_port(device, port, origins)
    return device


def _usual_bridge(device: Device) -> str:
    used = Counter(bridge_port.bridge for bridge_port in device.bridge_ports.values())
    return used.most_common(1)[0][0] if used else next(iter(device.bridges))
