"""Boxes and cords in, a network out: bundles joined, negotiated modes settled, rings left to their spanning tree."""

from __future__ import annotations

from collections.abc import Iterable

from vlancheck.dot1q.model import Device
from vlancheck.wiring.bundles import settle_bundles
from vlancheck.wiring.negotiation import settle_negotiations
from vlancheck.wiring.network import Link, Network
from vlancheck.wiring.spanning import settle_spanning


def wire(devices: Iterable[Device], links: Iterable[Link], *, handoffs: Iterable[str] = ()) -> Network:
    """Return the network that the boxes and links make.

    A member of a bundle may be named wherever its bundle acts for it.  Raises SiteError for a link to no port, and for
    a port with two links.
    """
    devices, links = tuple(devices), tuple(links)
    Network(devices, links, handoffs=handoffs)  # refuses what cannot be, in the words of the cords as they were given
    bundled = settle_bundles(devices, links)
    settled = settle_negotiations(bundled.devices, bundled.links)
    settled = settle_spanning(settled, bundled.links)
    places = {bundled.stands_for.get(place, place) for place in handoffs}
    return Network(settled, bundled.links, handoffs=places, stands_for=bundled.stands_for)
