"""A survey in, the VLANs out in which what was declared is at the switches: inside ones, and those of carriers."""

from __future__ import annotations

from dataclasses import dataclass

from vlancheck.dot1q.tags import UNTAGGED, Frame, format_frame
from vlancheck.findings.case import Case
from vlancheck.findings.ends import plain_end
from vlancheck.findings.handoffs import relay_vids
from vlancheck.places import split_place
from vlancheck.verdicts.orders import Order, Stop
from vlancheck.vids import first


@dataclass(frozen=True, slots=True)
class Side:
    """Something declared at a place, with the switch port before it."""

    order: Order  # the service or the VLAN
    place: str  # DEVICE:PORT where it enters or must come out
    facing: str  # DEVICE:PORT of the bridge before it; the place itself where a bridge has it
    frame: Frame  # as it crosses there
    vid: int  # VID that the bridge gives it

    @property
    def device(self) -> str:
        """Return the box with the place."""
        return split_place(self.place)[0]


def sides(case: Case, order: Order) -> tuple[Side, ...]:
    """Return the endings of an order whose VID at the switch port before them is certain."""
    return tuple(side for stop in order.stops if (side := _side(case, order, stop)) is not None)


def ways_in(case: Case, order: Order) -> tuple[Side, ...]:
    """Return the places where a service enters without a tag, with the VID that it gets there."""
    if not any(not batch.shape for batch in order.batches):
        return ()
    entering = (Stop(stop.name, stop.place, (), stop.origins) for stop in order.enters)
    return tuple(side for stop in entering if (side := _side(case, order, stop)) is not None)


def hears(case: Case, one: Side, other: Side) -> bool:
    """Tell whether the frame of one side certainly arrives at another as its own frame."""
    text = format_frame(other.frame)
    walked = case.ground.reasons.walk(one.place, one.frame)
    return any(copy.port == other.place and copy.frame == text for copy in walked.deliveries)


def _side(case: Case, order: Order, stop: Stop) -> Side | None:
    at = case.ground.judged_at(stop.place) if stop.place else ""
    facing = case.network.peer.get(at, "") if at and case.network.only_ends(at) else at
    end = plain_end(case, facing) if facing and case.relays(facing) else None
    if end is None:
        return None
    if isinstance(stop.frame, str):
        frame: Frame = ()  # nobody said: without a tag, where the switch port has no other
        if not end.access:
            return None
    else:
        frame = stop.frame
    if len(frame) > 1:
        return None
    vids = relay_vids(case, facing, 1 << frame[0].vid if frame else UNTAGGED)
    taken = not frame or end.port.admit.sure >> frame[0].vid & 1
    return Side(order, at, facing, frame, first(vids)) if taken and vids.bit_count() == 1 else None
