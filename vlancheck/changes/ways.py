"""What is said of a later survey in, the same out beside an earlier one: every way before, and every way now."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from vlancheck.changes.change import Change, Comparison, Move, Sample
from vlancheck.changes.side import Side, told_first
from vlancheck.dot1q.tags import C_TAG, TAGS, UNTAGGED, Frame, Tag
from vlancheck.site.anchors import Anchor
from vlancheck.verdicts.course import Course, course
from vlancheck.verdicts.judge import judged_between
from vlancheck.verdicts.orders import OrderKind
from vlancheck.verdicts.verdict import Before, Certainty, EndingVerdict, Leak, Verdict
from vlancheck.vids import first


def beside(before: Side, earlier: Sequence[Verdict], after: Side, verdicts: Iterable[Verdict]) -> Iterator[Verdict]:
    """Yield verdicts with what became of each ending in the earlier survey.

    Of a VLAN an ending is judged there against the same other ending, so that the two ways have the same start.
    """
    left = list(earlier)
    for verdict in verdicts:
        order = verdict.order
        then = next((one for one in left if (one.order.kind, one.order.name) == (order.kind, order.name)), None)
        if then is None:
            yield verdict
            continue
        left.remove(then)
        endings = (replace(one, was=_was(before, then, after, one)) for one in verdict.endings)
        leaks = (replace(one, was=_leaked(before, then, after, one)) for one in verdict.leaks)
        yield replace(verdict, endings=tuple(endings), leaks=tuple(leaks))


def _was(before: Side, verdict: Verdict, after: Side, ending: EndingVerdict) -> EndingVerdict | None:
    """Return what became of an ending in the earlier survey; None when it has no such ending."""
    then = _same(before, verdict, after, ending)
    if then is None or verdict.order.kind is OrderKind.SERVICE or ending.inward is None or then.inward is None:
        return then
    sender = _place_before(before, after, ending.inward.sender)
    other = next((one for one in verdict.endings if one.at == sender != then.at), None)
    if other is None or sender == then.inward.sender:
        return then
    return judged_between(before.ground, (other.stop, other.at), (then.stop, then.at))


def _leaked(before: Side, verdict: Verdict, after: Side, leak: Leak) -> Before | None:
    """Return whether a leak was there in the earlier survey; None where its place is not there, or nobody can tell."""
    place = _place_before(before, after, leak.at)
    found = [one for one in (*verdict.leaks, *verdict.notes) if one.at == place]
    if place and not found:
        return Before.NOT_THERE
    proved = any(one.certainty is Certainty.PROVED and one.direction in (leak.direction, "both") for one in found)
    return Before.THERE if proved else None


def _same(before: Side, verdict: Verdict, after: Side, ending: EndingVerdict) -> EndingVerdict | None:
    """Return the ending of the earlier survey that has the name of this one, had it, or is the same place."""
    names = (ending.stop.name, after.was(ending.stop.name))
    for name in names:
        found = [one for one in verdict.endings if one.stop.name.casefold() == name.casefold()]
        if len(found) == 1:
            return found[0]
    place = _place_before(before, after, ending.at)
    return next((one for one in verdict.endings if one.at == place and one.at), None)


def _place_before(before: Side, after: Side, place: str) -> str:
    """Return where in the earlier survey is what is at a port now; "" when that is nowhere."""
    anchor = after.anchors.get(place)
    return before.place.get(anchor, "") if anchor is not None else ""


def with_ways(comparison: Comparison, before: Side, after: Side) -> Comparison:
    """Return a comparison in which every change and every moved cord has the ways of one of its frames."""
    causes = (
        replace(cause, changes=tuple(_change(row, before, after) for row in cause.changes))
        for cause in comparison.causes
    )
    moves = (_move(move, before, after) for move in comparison.moves)
    return replace(comparison, causes=tuple(causes), moves=tuple(moves))


def _change(row: Change, before: Side, after: Side) -> Change:
    if row.sample is None:
        return row
    return replace(row, was=_course(before, row.sample), now=_course(after, row.sample))


def _move(move: Move, before: Side, after: Side) -> Move:
    sample = _heard(move.anchor, before, after)
    if sample is None:
        return move
    return replace(move, sample=sample, was=_course(before, sample), now=_course(after, sample))


def _course(side: Side, sample: Sample) -> Course | None:
    """Return how a frame goes in one survey; None where one of its ends is not there."""
    sender, to = side.place.get(sample.sender), side.place.get(sample.receiver)
    return None if sender is None or to is None else course(side.ground, sender, sample.sent, to)


def _heard(anchor: Anchor, before: Side, after: Side) -> Sample | None:
    """Return a frame that a place needs, and who hears it: in both surveys where there is one, and no jack."""
    needed = before.needed.get(before.place[anchor], 0) | after.needed.get(after.place[anchor], 0)
    sent: Frame = () if needed & UNTAGGED or not needed & TAGS else (Tag(C_TAG, first(needed & TAGS)),)
    heard = [_receivers(side, anchor, sent) for side in (before, after)]
    found = (heard[0] & heard[1]) or heard[0] or heard[1]
    if not found:
        return None
    receiver = min(found, key=lambda one: told_first(one, before, after))
    return Sample(anchor, receiver, sent)


def _receivers(side: Side, anchor: Anchor, sent: Frame) -> set[Anchor]:
    walked = side.ground.reasons.walk(side.place[anchor], sent)
    return {side.anchors[one.port] for one in walked.deliveries if one.port in side.anchors} - {anchor}
