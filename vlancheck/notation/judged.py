"""A text in jot in, the case that checks look at out: its network, the verdicts on what it orders, holds, endpoints."""

from __future__ import annotations

from vlancheck.evidence import assumed
from vlancheck.findings.case import Case
from vlancheck.notation.parsing import Notation
from vlancheck.site.boxes import Occupancy, Occupied
from vlancheck.site.endpoints import endpoint_kinds
from vlancheck.site.sheet import Endpoint
from vlancheck.verdicts.ground import Ground
from vlancheck.verdicts.judge import judge
from vlancheck.wiring import Link, wire


def case(notation: Notation) -> Case:
    """Return the survey that `notation` describes, judged."""
    links = tuple(Link(one, other) for one, other in notation.links)
    network = wire(notation.devices, links, handoffs=notation.handoffs)
    ordered = notation.ordered
    unknown = assumed("nobody says whether something is plugged in")

    def occupancy(place: str) -> Occupied:
        if place in ordered.empty:
            return Occupied(Occupancy.EMPTY, assumed("nothing is plugged in"))
        if place in ordered.unknown:
            return Occupied(Occupancy.UNKNOWN, unknown)
        return Occupied(Occupancy.OCCUPIED, ())

    ground = Ground(network, occupancy, ordered.holds)
    orders = tuple(ordered.orders.values())
    verdicts = tuple(judge(ground, order, tuple(one for one in orders if one is not order)) for order in orders)
    endpoints = {
        place: Endpoint(place, text, endpoint_kinds(text), assumed(f"{text} hangs at {place}"))
        for place, text in ordered.endpoints.items()
    }
    devices = {device.name: device for device in notation.devices}
    return Case(ground, devices, links, verdicts, endpoints)
