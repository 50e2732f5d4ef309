"""A survey in, the ports that logging in to its boxes depends on out, and how a change is weighed against others."""

from __future__ import annotations

from typing import NamedTuple

from vlancheck.dot1q.model import DeviceKind
from vlancheck.findings.case import Case
from vlancheck.mend.amendment import KEEP, Amendment
from vlancheck.walk.flood import What


class Weight(NamedTuple):
    """What a change risks and costs; the least comes first."""

    management: int  # ports on the way to a box's own address at which more is done than to add a VLAN
    touched: int  # ports on that way that are touched at all
    cords: int  # cords that are moved, 0 before 1: a port that is right stays as it is
    devices: int  # boxes at which something is typed
    left: int  # things that are wrong and stay so
    ports: int  # ports
    lines: int  # lines
    turn: int  # of those that are alike so far, the one that was thought of first


def management_ports(case: Case) -> frozenset[str]:
    """Return the ports that frames from boxes' own addresses pass, and those addresses' own interfaces."""
    found: set[str] = set()
    for device, box in case.network.devices.items():
        if box.kind is not DeviceKind.BRIDGE or box.owner:
            continue
        for one in box.bridge_ports.values():
            place = f"{device}:{one.port}"
            if case.ground.inside(place) and case.ground.has_address(place):
                walked = case.ground.reasons.walk(place, ())
                crossed = {step.port for step in walked.steps if step.what in (What.ENTERS, What.LEAVES)}
                found |= {place, *(port for port in crossed if port in case.network.peer)}
    return frozenset(found)


def weight(amendment: Amendment, management: frozenset[str], *, left: int, lines: int, turn: int) -> Weight:
    """Return what a change risks and costs; `left` things stay wrong, and `turn` says how early it was thought of."""
    touched = [place for place in amendment.ports if place in management]
    more = [place for place in touched if amendment.ports[place].drop or amendment.ports[place].untagged != KEEP]
    return Weight(
        len(more),
        len(touched),
        0 if amendment.cords and not (amendment.ports or amendment.create) else 1,
        len(amendment.devices),
        left,
        len(amendment.ports),
        lines,
        turn,
    )
