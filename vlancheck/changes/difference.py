"""The carriage of two surveys in, every frame that reaches an anchor in one and not in the other out."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
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
    # Of senders that every bridge of both surveys treats alike one is looked at: the others differ as it does.
    looked: dict[tuple[tuple[str, ...], ...], Anchor] = {}
    found: dict[tuple[Anchor, tuple[int, ...]], list[Difference]] = {}
    for sender in sorted({*shared, *known}, key=lambda one: (one.kind, one.key)):
        first = sender
        if sender not in known:
            first = looked.setdefault(tuple(side.speakers(sender) for side in (before, after)), sender)
        for tpids in forms:
            if first is sender:
                found[sender, tpids] = list(_of_sender(before, after, sender, tpids, known))
                yield from found[sender, tpids]
            else:
                yield from (_exchanged(one, first, sender) for one in found[first, tpids])


def _exchanged(difference: Difference, one: Anchor, other: Anchor) -> Difference:
    """Return what a difference is with two anchors exchanged that are alike: `one` sends in it, `other` then does."""
    return replace(difference, sender=other, receiver=one if difference.receiver == other else difference.receiver)


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
    was, now = (_reached(side, sender, tpids, sets) for side in (before, after))
    lost = _missing(was, now, after, sender, tpids, sets, alone)
    gained = _missing(now, was, before, sender, tpids, sets, alone)
    yield from _paired(sender, tpids, sets, lost, gained)


def _missing(
    mine: Reached,
    theirs: Reached,
    other: Side,
    sender: Anchor,
    tpids: tuple[int, ...],
    sets: FrameSets[Any],
    alone: set[Anchor],
) -> Reached:
    """Return what is reached in one survey and certainly not in the `other`."""
    found: Reached = {}
    place = other.place.get(sender)
    for (receiver, frame), value in mine.items():
        at = other.place.get(receiver)
        if receiver == sender or (at is None and receiver not in alone):
            continue
        left = sets.without(value, theirs.get((receiver, frame), sets.none))
        if left and place is not None and at is not None:
            left = sets.without(left, other.ground.carried.open_at(place, tpids, at))
        if left:
            found[receiver, frame] = left
    return found


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


def _reached(side: Side, sender: Anchor, tpids: tuple[int, ...], sets: FrameSets[Any]) -> Reached:
    """Return what frames of an anchor certainly reach."""
    found: Reached = {}
    place = side.place.get(sender)
    for at, copies in side.ground.carried.copies(place, tpids) if place is not None else ():
        receiver = side.anchors.get(at)
        if receiver is not None and copies.certain:
            key = receiver, copies.frame
            found[key] = sets.join(found.get(key, sets.none), copies.value)
    return found
