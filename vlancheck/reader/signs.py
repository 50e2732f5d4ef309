"""Parts of two devices come in, whether they say the same goes out: what a walk sees of them, not who decided it."""

from __future__ import annotations

from dataclasses import replace

from vlancheck.dot1q.model import BridgePort, Device, End, Port, Rewrite


def port_sign(port: Port) -> object:
    """Return what a port is, without who said so."""
    return port.kind, port.up.value, port.bundle, port.bundle_mode, port.negotiation and port.negotiation.mode


def port_signs(device: Device) -> dict[str, object]:
    """Return what each port of a box and everything on it is, as its lines ask, without who said so."""
    on: dict[str, dict[object, object]] = {name: {} for name in device.ports}
    for key, bridge_port in device.bridge_ports.items():
        on.setdefault(bridge_port.port, {})["bridge port", key] = bridge_port_sign(bridge_port)
    for key, end in device.ends.items():
        on.setdefault(end.port, {})["end", key] = end_sign(end)
    return {name: (name in device.ports and port_sign(device.ports[name]), sign) for name, sign in on.items()}


def end_sign(end: End) -> object:
    """Return what an end is, without who said so."""
    return end.port, end.select, end.tpids, end.up.value, end.address


def bridge_port_sign(port: BridgePort) -> object:
    """Return how a bridge port classifies and tags, without who said so."""
    untagged = port.untagged & port.member  # of a VID that never leaves, nothing is seen
    covers = (port.admit, port.member, untagged, port.forwarding)
    rows = tuple(tuple(_row_sign(row) for row in rows) for rows in (port.entry, port.exit))
    private = port.private and replace(port.private, origins=())
    return (
        *((cover.sure, cover.possible) for cover in covers),
        *(port.port, port.bridge, port.pvid.value, port.select, rows, port.tpids, port.sends, port.foreign),
        *(port.up.value, private, port.isolation, bool(port.doubt)),
    )


def _row_sign(row: Rewrite) -> object:
    return row.match, row.pop, row.push, row.drop, row.sure
