"""A port whose cord was moved in, why somebody must sign for it out."""

from __future__ import annotations

from collections.abc import Mapping

from vlancheck.dot1q.properties import Property
from vlancheck.places import split_place
from vlancheck.site.endpoints import EndpointKind
from vlancheck.site.sheet import Endpoint
from vlancheck.verdicts.ground import Ground

# What a port keeps of the box that hangs there, or tells of it to others.
_KEPT = {
    Property.STICKY_MAC: "sticky MAC",
    Property.STATIC_MAC: "fixed MAC",
    Property.OPTION_82: "DHCP option 82",
}


def must_sign(ground: Ground, endpoints: Mapping[str, Endpoint], place: str) -> str:
    """Return why somebody must sign when the cord at a port (DEVICE:PORT) was moved away; "" when nobody must.

    A hold has an owner, a handoff's port may be the carrier's choice, a phone's location may hang on its port, a kept
    address may shut the new port, and a server may know a box by the port it asks from (RFC 3046; the others are common
    practice, no source).
    """
    if place in ground.held:
        return f"hold: {ground.held[place]}"
    if place in ground.network.handoffs:
        return "handoff"
    endpoint = endpoints.get(place)
    if endpoint is not None and EndpointKind.PHONE in endpoint.kinds:
        return "phone"
    device, port = split_place(place)
    properties = ground.network.devices[device].ports[port].properties
    for prop, why in _KEPT.items():
        found = properties.get(prop)
        if found is not None and found.value != "no":
            return why
    return ""
