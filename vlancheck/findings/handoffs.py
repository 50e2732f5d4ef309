"""A survey in, what crosses its handoffs out: what is declared, what comes from inside and from other handoffs."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, NamedTuple

from vlancheck.dot1q.model import DeviceKind
from vlancheck.dot1q.tags import C_TAG, UNTAGGED, Frame, Tag, parse_frame
from vlancheck.findings.case import Case
from vlancheck.findings.ends import plain_end
from vlancheck.site.boxes import Occupancy
from vlancheck.verdicts.orders import Batch, Order, batch_of
from vlancheck.vids import WIRE, first

_DEFAULT_VID = 1


class Inside(NamedTuple):
    """A VLAN of the inside that certainly comes out at a handoff."""

    handoff: str  # DEVICE:PORT where it comes out
    vid: int  # its VID where it was sent
    sender: str  # DEVICE:PORT from which a frame of it was followed
    frame: str  # as it comes out
    own: bool  # the sender is a switch's own interface with an address


class Heard(NamedTuple):
    """What certainly gets from one handoff to another, and no order names both for it."""

    sender: str  # DEVICE:PORT of the one
    at: str  # DEVICE:PORT of the other
    frames: int  # frames of at most one C-tag as sent, bit 4095 the untagged one; 0 where only others get there


def declared_at(case: Case, place: str) -> int | None:
    """Return the frames declared at a handoff, by their outermost VID (bit 4095: untagged); None when nothing is."""
    found = None
    for order in case.orders:
        for at, batch in _places(case, order):
            if at == place:
                shape = batch.shape
                found = (found or 0) | (shape[0].vids if shape else UNTAGGED)
    return found


def from_inside(case: Case) -> Iterator[Inside]:
    """Yield the management VLANs, and VLAN 1, that come out at a handoff where nobody declared their frame."""
    handoffs = sorted(case.network.handoffs)
    told = set()
    for sender, vid, sent, own in (*own_interfaces(case), *_default_ports(case)) if handoffs else ():
        for copy in case.ground.reasons.walk(sender, sent).deliveries:
            if copy.port not in case.network.handoffs or (copy.port, vid) in told:
                continue
            frame = parse_frame(copy.frame)
            outermost = 1 << frame[0].vid if frame else UNTAGGED
            if len(frame) < 2 and not (declared_at(case, copy.port) or 0) & outermost:
                told.add((copy.port, vid))
                yield Inside(copy.port, vid, sender, copy.frame, own)


def heard(case: Case) -> Iterator[Heard]:
    """Yield each ordered pair of handoffs of which the second certainly hears the first."""
    carried = case.ground.carried
    for sender in sorted(case.network.handoffs):
        found: dict[str, int] = {}
        for tpids in carried.carriage.forms if case.network.ends_at(sender) else ():
            sets = carried.carriage.relation(sender, tpids).sets
            for at, copies in carried.copies(sender, tpids):
                if at == sender or at not in case.network.handoffs or not copies.certain:
                    continue
                value = copies.value
                for batch in _shared(case, sender, at):
                    if batch.tpids == tpids:
                        value = sets.without(value, batch.value)
                if value:
                    found[at] = found.get(at, 0) | (int(value) if tpids == (C_TAG,) else 0)
        yield from (Heard(sender, at, frames) for at, frames in found.items())


def relay_vids(case: Case, place: str, frames: int) -> int:
    """Return the relay VIDs that frames get at a place; 0, all of them, where tags are selected or changed there."""
    end = plain_end(case, place)
    if end is None:
        return 0
    bare = 1 << end.pvid if frames & (UNTAGGED | 1) and end.pvid is not None else 0
    return frames & WIRE | bare


def _shared(case: Case, one: str, other: str) -> Iterator[Any]:
    """Yield what is declared by orders that name both of two handoffs."""
    for order in case.orders:
        several = list(_places(case, order))
        if {one, other} <= {at for at, _ in several}:
            yield from (batch for _, batch in several)


def _places(case: Case, order: Order) -> Iterator[tuple[str, Batch]]:
    """Yield where an order may be seen and the frames in which it may."""
    for stop in (*order.enters, *order.stops):
        if at := case.ground.judged_at(stop.place) if stop.place else "":
            said = not isinstance(stop.frame, str)
            entering = stop in order.enters
            for batch in (batch_of(stop.frame),) if said and not entering else (*order.batches,):
                yield at, batch
            if not said and not entering:
                yield at, batch_of(())


def own_interfaces(case: Case) -> Iterator[tuple[str, int, Frame, bool]]:
    """Yield the switches' own interfaces with an address: port, VID and the frame that it sends."""
    for device, box in case.network.devices.items():
        if box.kind is not DeviceKind.BRIDGE or box.owner:
            continue
        for port in box.bridge_ports.values():
            place = f"{device}:{port.port}"
            if not case.ground.inside(place) or not case.ground.has_address(place):
                continue
            ends = [end for end in box.ends.values() if end.port == port.port and end.address and end.select]
            for end in ends:
                vids = end.select[0].vids & WIRE
                if vids.bit_count() == 1:
                    yield place, first(vids), (Tag(C_TAG, first(vids)),), True
            if not ends and isinstance(port.pvid.value, int):
                yield place, port.pvid.value, (), True


def _default_ports(case: Case) -> Iterator[tuple[str, int, Frame, bool]]:
    """Yield one port of VLAN 1 on each bridge, with something plugged in, that is no handoff."""
    for device, box in case.network.devices.items():
        seen = set()
        for port in box.bridge_ports.values():
            place = f"{device}:{port.port}"
            if box.kind is not DeviceKind.BRIDGE or box.owner or port.pvid.value != _DEFAULT_VID:
                continue
            if port.bridge in seen or place in case.network.handoffs or not case.network.ends_at(place):
                continue
            if case.ground.inside(place) or case.ground.occupancy(place).state is Occupancy.EMPTY:
                continue
            seen.add(port.bridge)
            yield place, _DEFAULT_VID, (), False
