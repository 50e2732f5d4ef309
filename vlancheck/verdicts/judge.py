"""An order and a survey in, its verdict out: every ending in both directions, and every leak."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import replace

from vlancheck.dot1q.tags import Frame, format_frame, parse_frame
from vlancheck.places import split_place
from vlancheck.verdicts.arriving import Arriving, lowest
from vlancheck.verdicts.ground import Ground
from vlancheck.verdicts.leaks import leaks
from vlancheck.verdicts.orders import Batch, Order, OrderKind, Same, Shape, Stop, batch_of, turned, wanted
from vlancheck.verdicts.reasons import Reason
from vlancheck.verdicts.verdict import Certainty, Direction, EndingVerdict, Leak, State, Translation, Verdict, Way

_WORST = (Way.REFUTED, Way.OTHERWISE, Way.UNKNOWN, Way.PROVED)


def judge(ground: Ground, order: Order, others: Sequence[Order] = ()) -> Verdict:
    """Return the verdict on `order`; `others` are the other orders of the site, whose endings a leak may reach."""
    endings = _service(ground, order) if order.kind is OrderKind.SERVICE else _vlan(ground, order)
    apart = frozenset(one.at for one in endings if _cut_off(one)) if order.kind is OrderKind.SERVICE else frozenset()
    found = leaks(ground, order, others, apart)
    proper = tuple(leak for leak in found if leak.certainty is not Certainty.EMPTY)
    notes = tuple(leak for leak in found if leak.certainty is Certainty.EMPTY)
    questions = _questions(ground, order)
    state = _state(endings, proper, questions)
    headline = _headline(endings, proper, questions)
    return Verdict(order, state, headline, tuple(endings), proper, notes, questions, _translations(ground, order))


def summed(verdict: Verdict, endings: Sequence[EndingVerdict]) -> Verdict:
    """Return a verdict with other states of its endings, and the state and headline that come of them."""
    state = _state(endings, verdict.leaks, verdict.questions)
    headline = _headline(endings, verdict.leaks, verdict.questions)
    return replace(verdict, endings=tuple(endings), state=state, headline=headline)


def judged_between(ground: Ground, other: tuple[Stop, str], ending: tuple[Stop, str]) -> EndingVerdict:
    """Return the verdict on an ending of a VLAN, against another one; of each its stop, and where that is judged."""
    inward, back = _between(ground, other, ending), _between(ground, ending, other)
    return replace(_ending(ground, *ending, inward, back), start=other[0].name)


def _cut_off(ending: EndingVerdict) -> bool:
    """Tell whether an ending is lost in both directions: what is heard there belongs to something else."""
    ways = (ending.inward, ending.back)
    return all(way is not None and way.way is Way.REFUTED for way in ways)


def _service(ground: Ground, order: Order) -> list[EndingVerdict]:
    enters = [(stop, ground.judged_at(stop.place)) for stop in order.enters if stop.place]
    made = []
    for stop in order.stops:
        at = ground.judged_at(stop.place) if stop.place else ""
        if (open_ := _nowhere(stop, at) or _no_entry(order, enters)) is not None:
            made.append(open_)
            continue
        ways = [_both(ground, order, enter, stop, at) for _, enter in enters]
        inward, back = _worst(way for way, _ in ways), _worst(way for _, way in ways)
        start = next(one.name for one, enter in enters if enter == inward.sender)
        made.append(replace(_ending(ground, stop, at, inward, back), start=start))
    return made


def _vlan(ground: Ground, order: Order) -> list[EndingVerdict]:
    """Judge the endings of a VLAN against the one that hears most of the others."""
    placed = [(stop, ground.judged_at(stop.place) if stop.place else "") for stop in order.stops]
    usable = [(stop, at) for stop, at in placed if at]
    hub = _hub(ground, usable)
    made = []
    for stop, at in placed:
        if (open_ := _nowhere(stop, at)) is not None:
            made.append(open_)
            continue
        other = hub if hub and (stop, at) != hub else next((one for one in usable if one != (stop, at)), None)
        if hub == (stop, at) and other is not None:
            other = next((one for one in usable if one != hub and _hear(ground, hub, one)), other)
        if other is None:
            made.append(_alone(ground, stop, at))
            continue
        made.append(judged_between(ground, other, (stop, at)))
    return made


def _hub(ground: Ground, usable: list[tuple[Stop, str]]) -> tuple[Stop, str] | None:
    """Return the ending that hears most of the others; the first of them that hears at least half is good enough."""
    best, most = None, -1
    for one in usable:
        heard = sum(_hear(ground, one, other) for other in usable if other != one)
        if heard > most:
            best, most = one, heard
        if most * 2 >= len(usable) - 1:
            break
    return best


def _hear(ground: Ground, one: tuple[Stop, str], other: tuple[Stop, str]) -> bool:
    ways = (_between(ground, one, other), _between(ground, other, one))
    return all(way.way is Way.PROVED for way in ways)


def _between(ground: Ground, sender: tuple[Stop, str], to: tuple[Stop, str]) -> Direction:
    batch, due = batch_of(sender[0].frame), batch_of(to[0].frame)
    free = tuple(level._replace(symbol=None) for level in due.shape)
    return _direction(ground, sender[1], batch, to[1], (free,))


def _alone(ground: Ground, stop: Stop, at: str) -> EndingVerdict:
    """Judge the only ending of a VLAN: its frame must be taken where it is sent."""
    batch = batch_of(stop.frame)
    frame = lowest(batch, batch.value)
    walked = ground.reasons.walk(at, frame)
    here = [loss for loss in walked.losses if loss.port == at]
    taken = ground.reasons.first_vid(at, frame) is not None or ground.network.only_ends(at)
    reason: Reason | None = None
    if here or not (taken or walked.unproven):
        way, reason = Way.REFUTED, ground.reasons.lost(at, frame, at)
    elif taken and not _opaque(ground, at):
        way = Way.PROVED
    else:
        way, reason = Way.UNKNOWN, ground.reasons.undecided(at, frame, at)
    found = Direction(way, at, format_frame(frame), at, reason=reason)
    return _ending(ground, stop, at, found, found)


def _opaque(ground: Ground, at: str) -> bool:
    """Tell whether unread lines leave open what becomes of frames at a port."""
    device, port = split_place(at)
    box = ground.network.devices[device]
    return any(one.port == port and bool(one.doubt) for one in box.bridge_ports.values())


def _both(ground: Ground, order: Order, enter: str, stop: Stop, at: str) -> tuple[Direction, Direction]:
    """Return what is known of an ending in from one place and back out to it."""
    inward, back = [], []
    for batch in order.batches:
        due = wanted(batch, stop.frame)
        there = _direction(ground, enter, batch, at, due)
        inward.append(there)
        tried = [_direction(ground, at, *_back(batch, shape, enter)) for shape in due]
        best = max(tried, key=lambda way: _WORST.index(way.way))
        if best.way is not Way.PROVED and there.way is Way.OTHERWISE:
            best = _as_it_came(ground, order, batch, there, best)
        back.append(best)
    return _worst(inward), _worst(back)


def _worst(ways: Iterable[Direction]) -> Direction:
    return min(ways, key=lambda way: _WORST.index(way.way))


def _back(batch: Batch, shape: Shape, enter: str) -> tuple[Batch, str, tuple[Shape, ...]]:
    sent, due = turned(batch, shape)
    return sent, enter, (due,)


def _as_it_came(ground: Ground, order: Order, batch: Batch, there: Direction, best: Direction) -> Direction:
    """Return what becomes of the frame that really crosses the ending, sent back; `best` unless it arrives."""
    came = batch_of(parse_frame(there.arrives))
    due = tuple(level._replace(symbol=None) for level in batch.shape)
    found = _direction(ground, there.at, came, there.sender, (due,))
    if found.way is not Way.PROVED:
        return best
    reason = Reason(f"it gets back only as {there.arrives}", there.at, frame=there.arrives)
    return Direction(Way.OTHERWISE, found.sender, found.frame, found.at, found.arrives, reason)


def _direction(ground: Ground, sender: str, batch: Batch, at: str, due: tuple[Shape, ...]) -> Direction:
    found: Arriving = ground.carried.arriving(sender, batch, at, due)
    if found.lost:
        frame = lowest(batch, found.lost)
        reason = ground.reasons.lost(sender, frame, at)
        return Direction(Way.REFUTED, sender, format_frame(frame), at, reason=reason)
    if found.other:
        frame, arrives = lowest(batch, found.other), format_frame(found.shown[0])
        reason = ground.reasons.otherwise(sender, frame, at, arrives)
        return Direction(Way.OTHERWISE, sender, format_frame(frame), at, arrives, reason)
    if found.maybe:
        frame = lowest(batch, found.maybe)
        reason = ground.reasons.undecided(sender, frame, at)
        return Direction(Way.UNKNOWN, sender, format_frame(frame), at, reason=reason)
    arrives = "" if found.came is None else format_frame(found.came)
    return Direction(Way.PROVED, sender, format_frame(lowest(batch, found.right)), at, arrives)


def _nowhere(stop: Stop, at: str) -> EndingVerdict | None:
    """Return the verdict on an ending that is at no boundary port; None for one that is."""
    if at:
        return None
    frame = _called(stop.frame)
    if stop.place:
        words = f"the cord at {stop.place} leads on to another switch; name the port where the frames end"
        return EndingVerdict(stop, "", frame, State.UNPROVEN, None, None, Reason(words, stop.place))
    if stop.doubt:
        reason = Reason(
            f"the sheet is not sure what is patched at {stop.name}", evidence=stop.doubt, settled_by="trace the cord"
        )
        return EndingVerdict(stop, "", frame, State.UNPROVEN, None, None, reason)
    if stop.absent:
        settle = f"a capture or a patch sheet of this survey that names {stop.name}"
        reason = Reason(f"this survey does not say where {stop.name} is", evidence=stop.origins, settled_by=settle)
        return EndingVerdict(stop, "", frame, State.UNPROVEN, None, None, reason)
    reason = Reason(f"nothing is patched at {stop.name}", evidence=stop.origins)
    return EndingVerdict(stop, "", frame, State.DROPPED, None, None, reason)


def _no_entry(order: Order, enters: list[tuple[Stop, str]]) -> EndingVerdict | None:
    if enters and all(at for _, at in enters):
        return None
    stop = next((one for one, at in enters if not at), order.enters[0])
    missing = _nowhere(stop, "")
    assert missing is not None, "a place without a port has a verdict"
    return missing


def _ending(ground: Ground, stop: Stop, at: str, inward: Direction, back: Direction) -> EndingVerdict:
    ways = inward.way, back.way
    if Way.REFUTED in ways:
        state = State.DROPPED
    elif Way.UNKNOWN in ways:
        state = State.UNPROVEN
    elif Way.OTHERWISE in ways:
        state = State.MISMATCHED
    else:
        state = State.CARRIED
    bad = next((way for way in _WORST if way in ways), Way.PROVED)
    chosen = inward if inward.way is bad else back
    path = ground.reasons.path(inward.sender, parse_frame(inward.frame), at)
    frame = inward.arrives if stop.frame is Same.ANY and inward.arrives else _called(stop.frame)
    return EndingVerdict(stop, at, frame, state, inward, back, chosen.reason, path)


def _called(frame: Frame | Same) -> str:
    return frame.value if isinstance(frame, Same) else format_frame(frame)


def _questions(ground: Ground, order: Order) -> tuple[Reason, ...]:
    """Return what nobody can tell of a carrier's box beyond the places where the order enters."""
    found = []
    for stop in order.enters:
        box = ground.carriers.get(ground.judged_at(stop.place)) if stop.place else None
        if box is None:
            continue
        for level in (batch.shape[0] for batch in order.batches if batch.shape):
            if not any(level.vids >> vid & 1 for vid in box.rows.values()):
                words = f"nothing says which of the carrier's tags {box.device} turns into {order.tag}"
                settle = f"ask the carrier which tag {box.device} maps to {order.tag}, or see it in a capture or a test"
                found.append(Reason(words, stop.place, evidence=box.origins, settled_by=settle))
                break
    return tuple(found)


def _translations(ground: Ground, order: Order) -> tuple[Translation, ...]:
    """Return which of the carrier's tags become those of the order, as far as site.yaml says."""
    found = []
    for stop in order.enters:
        box = ground.carriers.get(ground.judged_at(stop.place)) if stop.place else None
        for theirs, ours in box.rows.items() if box else ():
            if any(batch.shape and batch.shape[0].vids >> ours & 1 for batch in order.batches):
                found.append(Translation(box.device if box else "", theirs, ours, box.said if box else ""))
    return tuple(dict.fromkeys(found))


def _state(endings: Iterable[EndingVerdict], found: tuple[Leak, ...], questions: tuple[Reason, ...]) -> State:
    states = {ending.state for ending in endings}
    sure = {leak.certainty for leak in found}
    if sure:
        states.add(State.LEAKED if Certainty.PROVED in sure else State.UNPROVEN)
    if questions:
        states.add(State.UNPROVEN)
    return next(state for state in State if state in states or state is State.CARRIED)


def _headline(endings: Sequence[EndingVerdict], found: Sequence[Leak], questions: Sequence[Reason]) -> str:
    """Return everything that applies, worst first: a leak to a handoff, a hold or another service before all."""
    counted = Counter(ending.state for ending in endings)
    sure = [leak for leak in found if leak.certainty is Certainty.PROVED]
    worst = [leak for leak in sure if leak.what]
    parts = [f"leaks to {_places(worst)}"] if worst else []
    for state in (State.DROPPED, State.MISMATCHED):
        parts += [f"{counted[state]} {state}"] if counted[state] else []
    if rest := [leak for leak in sure if not leak.what]:
        parts.append(f"leaks to {_places(rest)}")
    if maybe := len(found) - len(sure):
        parts.append(f"{maybe} possible leak{'s' if maybe > 1 else ''}")
    if counted[State.UNPROVEN] or questions:
        count = counted[State.UNPROVEN]
        parts.append(f"{count} unproven" if count else "unproven beyond the handoff")
    if counted[State.NOT_YET]:
        parts.append(f"{counted[State.NOT_YET]} not yet done")
    if counted[State.CARRIED]:
        parts.append(f"{counted[State.CARRIED]} carried")
    return ", ".join(parts) or "nothing to judge"


def _places(found: Sequence[Leak]) -> str:
    named = [f"{leak.at} ({leak.what})" if leak.what else leak.at for leak in found]
    return ", ".join(named[:3]) + (f" and {len(named) - 3} more" if len(named) > 3 else "")
