"""A port whose cord was moved in, why somebody must sign for it out."""

from __future__ import annotations

from collections.abc import Mapping

from vlancheck.dot1q.properties import Property
from vlancheck.places import split_place
from vlancheck.site.endpoints import EndpointKind
from vlancheck.site.sheet import Endpoint
from vlancheck.verdicts.ground import Ground


def must_sign(ground: Ground, endpoints: Mapping[str, Endpoint], place: str) -> str:
    """Return why somebody must sign when the cord at a port (DEVICE:PORT) was moved away; "" when nobody must.

    A hold has an owner, a handoff's port may be the carrier's choice, a phone's location may hang on its port, and a
    learned address may shut the new port (common practice, no source).
    """
    if place in ground.held:
        return f"hold: {ground.held[place]}"
    if place in ground.network.handoffs:
        return "handoff"
    endpoint = endpoints.get(place)
    if endpoint is not None and EndpointKind.PHONE in endpoint.kinds:
        return "phone"
    device, port = split_place(place)
    sticky = ground.network.devices[device].ports[port].properties.get(Property.STICKY_MAC)
    return "sticky MAC" if sticky is not None and sticky.value != "no" else ""
