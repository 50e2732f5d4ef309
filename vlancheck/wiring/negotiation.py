"""Ports whose mode is settled with their neighbour: the pair table is dialect data, the neighbour is the wiring's."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from vlancheck.dot1q.model import Device, Negotiation
from vlancheck.evidence import Fact, join
from vlancheck.places import split_place
from vlancheck.wiring.network import Link


def settle_negotiations(devices: Iterable[Device], links: Sequence[Link]) -> tuple[Device, ...]:
    """Return the boxes with every negotiating port in the mode that it and its neighbour come to."""
    boxes = {device.name: device for device in devices}
    far = {end: other for link in links for end, other in ((link.one, link.other), (link.other, link.one))}
    return tuple(_settled(device, boxes, far) for device in boxes.values())


def outcome(mine: Negotiation, theirs: Negotiation | None) -> str:
    """Return the variant that `mine` comes to; `theirs` is None when the neighbour is unknown or says nothing."""
    if theirs is None or theirs.protocol != mine.protocol:
        return mine.alone
    return mine.outcomes.get(theirs.mode, mine.alone)


def _settled(device: Device, boxes: dict[str, Device], far: dict[str, str]) -> Device:
    bridge_ports = dict(device.bridge_ports)
    for port in device.ports.values():
        if port.negotiation is None:
            continue
        theirs = _negotiation(boxes, far.get(f"{device.name}:{port.name}"))
        bridge_port = port.negotiation.variants[outcome(port.negotiation, theirs)]
        if bridge_port.name not in bridge_ports:
            continue
        why = join(port.negotiation.origins, theirs.origins if theirs else ())
        bridge_ports[bridge_port.name] = replace(
            bridge_port,
            pvid=Fact(bridge_port.pvid.value, join(bridge_port.pvid.origins, why)),
            admit=bridge_port.admit.because(why),
            member=bridge_port.member.because(why),
            untagged=bridge_port.untagged.because(why),
            doubt=join(bridge_ports[bridge_port.name].doubt, bridge_port.doubt),
        )
    return replace(device, bridge_ports=bridge_ports)


def _negotiation(boxes: dict[str, Device], place: str | None) -> Negotiation | None:
    if place is None:
        return None
    device, port = split_place(place)
    return boxes[device].ports[port].negotiation
