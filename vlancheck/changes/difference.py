"""The carriage of two surveys in, every frame that reaches an anchor in one and not in the other out."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from vlancheck.changes.change import Difference
from vlancheck.changes.side import Side
from vlancheck.dot1q.tags import Frame
from vlancheck.site.anchors import Anchor
from vlancheck.walk.framesets import PAIR, SINGLE, FrameSets

Reached = dict[tuple[Anchor, Frame], Any]  # (receiver, frame as it arrives) -> set of sent frames


def differences(before: Side, after: Side) -> Iterator[Difference]:
    """Yield every difference between anchors that both surveys have, and those that one of them lost.

    What is not proven in one of the surveys is no difference, nor is a frame that comes back to where it was sent: that
    is a loop, and told as one.
    """
    forms = dict.fromkeys((*before.ground.carried.carriage.forms, *after.ground.carried.carriage.forms))
    shared = [anchor for anchor in before.place if anchor in after.place]
    known = _comparable(before, after)
    for sender in sorted({*shared, *known}, key=lambda one: (one.kind, one.key)):
        for tpids in forms:
            yield from _of_sender(before, after, sender, tpids, known)


def undecided(before: Side, after: Side) -> Iterator[tuple[Anchor, str]]:
    """Yield the anchors of which one survey does not say where they are, and why."""
    for mine, other in ((before, after), (after, before)):
        for anchor in mine.place:
            if anchor not in other.place and mine.counts(anchor) and (why := other.gone(anchor)):
                yield anchor, why


def _comparable(before: Side, after: Side) -> set[Anchor]:
    """Return the anchors that count in one survey and are known to be nowhere in the other."""
    found = set()
    for mine, other in ((before, after), (after, before)):
        for anchor in mine.place:
            if anchor not in other.place and mine.counts(anchor) and not other.gone(anchor):
                found.add(anchor)
    return found


def _of_sender(
    before: Side, after: Side, sender: Anchor, tpids: tuple[int, ...], alone: set[Anchor]
) -> Iterator[Difference]:
    sets: FrameSets[Any] = SINGLE if len(tpids) == 1 else PAIR
    was, was_open = _reached(before, sender, tpids, sets)
    now, now_open = _reached(after, sender, tpids, sets)
    lost: Reached = {}
    gained: Reached = {}
    for mine, other, open_, other_side, out in (
        (was, now, now_open, after, lost),
        (now, was, was_open, before, gained),
    ):
        for (receiver, frame), value in mine.items():
            if receiver == sender or (receiver not in other_side.place and receiver not in alone):
                continue
            left = sets.without(value, other.get((receiver, frame), sets.none))
            left = sets.without(left, open_.get(receiver, sets.none))
            if left:
                out[receiver, frame] = left
    yield from _paired(sender, tpids, sets, lost, gained)


def _paired(
    sender: Anchor, tpids: tuple[int, ...], sets: FrameSets[Any], lost: Reached, gained: Reached
) -> Iterator[Difference]:
    """Yield lost and gained frames, and as one difference those that arrive at the same place in other tags."""
    left = dict(gained)
    for (receiver, frame), value in lost.items():
        for (other, now), their in list(left.items()):
            if other == receiver and (both := sets.meet(value, their)):
                yield Difference(sender, receiver, tpids, both, frame, now)
                value = sets.without(value, both)
                left[other, now] = sets.without(their, both)
        if value:
            yield Difference(sender, receiver, tpids, value, frame, None)
    for (receiver, frame), value in left.items():
        if value:
            yield Difference(sender, receiver, tpids, value, None, frame)


def _reached(
    side: Side, sender: Anchor, tpids: tuple[int, ...], sets: FrameSets[Any]
) -> tuple[Reached, dict[Anchor, Any]]:
    """Return what frames of an anchor certainly reach, and by receiver those of which it is open."""
    place = side.place.get(sender)
    if place is None:
        return {}, {}
    certain: Reached = {}
    open_: dict[Anchor, Any] = {}
    for at, copies in side.ground.carried.copies(place, tpids):
        receiver = side.anchors.get(at)
        if receiver is None:
            continue
        if copies.certain:
            key = receiver, copies.frame
            certain[key] = sets.join(certain.get(key, sets.none), copies.value)
        else:
            open_[receiver] = sets.join(open_.get(receiver, sets.none), copies.value)
    return certain, open_
