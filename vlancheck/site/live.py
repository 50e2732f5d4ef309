"""Boxes with captured link states in, boxes with those that still count out, and the jacks that showed no link."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import replace

from vlancheck.dot1q.model import LINK_ASSUMED, Device, PortKind
from vlancheck.evidence import Fact, Kind, Origin, Origins


def only_valid(
    devices: Mapping[str, Device], linked: Collection[str], moved: Mapping[str, str]
) -> tuple[dict[str, Device], dict[str, Origins]]:
    """Return the boxes without link states that say nothing, and the jacks without link with the lines that show it.

    A link state counts on cords between devices and at handoffs (`linked`); a jack without link is not seen, never a
    loss, since desks are off at night.  It counts no longer where the cord changed after it was captured (`moved`:
    DEVICE:PORT -> what changed).
    """
    made: dict[str, Device] = {}
    unseen: dict[str, Origins] = {}
    for device in devices.values():
        ports = {}
        for port in device.ports.values():
            place = f"{device.name}:{port.name}"
            if port.link.value is not False or port.kind is PortKind.INSIDE:
                continue
            if place in moved:
                text = f"the link state was captured before {moved[place]}; the link is taken as up"
                ports[port.name] = replace(port, link=Fact(True, (Origin(Kind.ASSUMED, text), *port.link.origins)))
            elif place not in linked:
                unseen[place] = port.link.origins
                ports[port.name] = replace(port, link=LINK_ASSUMED)
        made[device.name] = replace(device, ports={**device.ports, **ports}) if ports else device
    return made, unseen
