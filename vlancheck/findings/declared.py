"""A survey and a port in, the declared services and VLANs that end or enter there out."""

from __future__ import annotations

from vlancheck.findings.case import Case
from vlancheck.verdicts.orders import Order


def declared_at(case: Case, place: str) -> tuple[Order, ...]:
    """Return what is declared to end, or to enter, at a port."""
    return tuple(
        order
        for order in case.orders
        if any(
            stop.place and place in (stop.place, case.ground.judged_at(stop.place))
            for stop in (*order.enters, *order.stops)
        )
    )
