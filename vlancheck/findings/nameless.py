"""A device in, the lines out that put its ports in use into a VLAN by a name that none of its VLANs has."""

from __future__ import annotations

from vlancheck.dot1q.model import Unread
from vlancheck.findings.case import Case
from vlancheck.site.boxes import Occupancy
from vlancheck.vids import WIRE


def nameless(case: Case, device: str) -> list[Unread]:
    """Return such lines; none where the table of VLANs is not known as a whole."""
    box = case.network.devices[device]
    if any(bridge.exists.possible & WIRE == WIRE for bridge in box.bridges.values()):
        return []
    return [one for one in box.unread if one.absent and one.port in box.ports and _used(case, f"{device}:{one.port}")]


def _used(case: Case, place: str) -> bool:
    at = case.network.stands_for.get(place, place)
    return bool(case.needed_frames.get(at, 0)) or case.ground.occupancy(at).state is Occupancy.OCCUPIED
