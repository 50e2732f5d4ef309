"""A bridge in, the VLANs that its table must have for what is needed across it and at its ports out."""

from __future__ import annotations

from vlancheck.dot1q.model import BridgePort
from vlancheck.dot1q.tags import UNTAGGED
from vlancheck.evidence import Kind, State
from vlancheck.findings.case import Case
from vlancheck.site.boxes import Occupancy
from vlancheck.vids import WIRE
from vlancheck.wiring.network import Link


def needed_through(case: Case, device: str, port: BridgePort) -> int:
    """Return the VIDs that a port surely carries and that are needed beyond it."""
    place = f"{device}:{port.port}"
    if port.select or port.entry or port.exit:
        return 0
    far = case.network.peer.get(place)
    if not case.network.ends_at(place) and far is not None and case.relays(far):
        return case.needed_across(Link(place, far)) & port.member.sure & WIRE
    frames = case.needed_frames.get(place, 0) | (case.needed_frames.get(far, 0) if far else 0)
    bare = port.pvid.value if frames & UNTAGGED else None
    tagged = frames & port.admit.sure & port.member.sure & ~port.untagged.possible & WIRE
    return tagged | (1 << bare & port.member.sure if isinstance(bare, int) else 0)


def needed_in(case: Case, device: str, bridge: str) -> int:
    """Return the VIDs that are needed at any port of a bridge, and those of its access ports that are in use."""
    found = 0
    for port in case.network.devices[device].bridge_ports.values():
        if port.bridge == bridge:
            found |= needed_through(case, device, port) | _in_use(case, device, port)
    return found


def not_captured(case: Case, device: str, bridge: str) -> int:
    """Return the needed VIDs of which no captured line says whether a bridge has them.

    What a line leaves open, and two captures that disagree, are other doubts.
    """
    found = 0
    for bits, state, origins in case.network.devices[device].bridges[bridge].exists.parts:
        if state is State.UNKNOWN and not any(one.kind in (Kind.LINE, Kind.SHOW) for one in origins):
            found |= bits
    return found & WIRE & needed_in(case, device, bridge) if found & WIRE else 0


def _in_use(case: Case, device: str, port: BridgePort) -> int:
    """Return the VID of an access port into which something is plugged."""
    place, vid = f"{device}:{port.port}", port.pvid.value
    if not isinstance(vid, int) or port.member.possible & ~port.untagged.sure & WIRE:
        return 0
    if port.select or not case.network.ends_at(place) or case.ground.inside(place):
        return 0
    return 1 << vid & WIRE if case.ground.occupancy(place).state is Occupancy.OCCUPIED else 0
