"""An order and a survey in, its leaks out: every other boundary port where its frames come out or can be put in."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from vlancheck.dot1q.tags import format_frame
from vlancheck.site.boxes import Occupancy
from vlancheck.verdicts.arriving import lowest
from vlancheck.verdicts.ground import Ground
from vlancheck.verdicts.orders import Batch, Order, OrderKind, Shape, batch_of, turned, wanted
from vlancheck.verdicts.verdict import Certainty, Leak

Source = tuple[str, Batch]  # DEVICE:PORT and the frames that belong to the order there
Sink = tuple[str, tuple[Shape, ...]]  # DEVICE:PORT and the shapes of the order's frames there


def leaks(
    ground: Ground, order: Order, others: Sequence[Order] = (), apart: frozenset[str] = frozenset()
) -> tuple[Leak, ...]:
    """Return the leaks of `order`, sorted by port; those at ports with nothing plugged in among them.

    At endings in `apart`, which its frames do not reach, what others put in is none of its leaks.
    """
    sources, sinks = _sides(ground, order)
    own = {place for place, _ in (*sources, *sinks)}
    sinks = [(place, due) for place, due in sinks if place not in apart]
    if order.kind is OrderKind.VLAN and not order.only:
        watched: Iterable[str] = _forbidden(ground, order)
    else:
        watched = ground.network.boundary
    watched = [place for place in watched if place not in own and not ground.beyond_sight(place)]
    found: dict[str, Leak] = {}
    for place in watched:
        for source, batch in sources:
            for frame, sent, certain in ground.carried.coming_out(source, batch, place):
                _keep(found, Leak(place, format_frame(frame), "out", _sure(certain), "", source, sent, place))
        for at, due in sinks:
            for sent, certain in ground.carried.put_in(place, at, due):
                _keep(found, Leak(place, format_frame(sent), "in", _sure(certain), "", place, sent, at))
    named = {ground.judged_at(stop.place): other for other in others for stop in other.stops if stop.place}
    made = [leak for place in sorted(found) if (leak := _weighed(ground, order, found[place], named)) is not None]
    return (*made, *_together(ground, order))


def _sides(ground: Ground, order: Order) -> tuple[list[Source], list[Sink]]:
    """Return where the order's frames may be sent and where they may arrive, of those places that exist."""
    sources: list[Source] = []
    sinks: list[Sink] = []
    for stop in order.enters:
        if at := ground.judged_at(stop.place) if stop.place else "":
            sources += [(at, batch) for batch in order.batches]
            sinks.append((at, tuple(batch.shape for batch in order.batches)))
    for stop in order.stops:
        if at := ground.judged_at(stop.place) if stop.place else "":
            if order.kind is OrderKind.VLAN:
                batch = batch_of(stop.frame)
                sources.append((at, batch))
                sinks.append((at, (batch.shape,)))
            else:
                shapes = [shape for batch in order.batches for shape in wanted(batch, stop.frame)]
                sinks.append((at, tuple(dict.fromkeys(shapes))))
    return sources, sinks


def _forbidden(ground: Ground, order: Order) -> list[str]:
    """Return what a VLAN must not touch: what it names, every handoff, every hold."""
    named = [ground.judged_at(stop.place) for stop in order.never if stop.place]
    held = [ground.judged_at(place) for place in ground.held]
    places = dict.fromkeys([*named, *sorted(ground.network.handoffs), *held])
    return [place for place in places if place]


def _keep(found: dict[str, Leak], leak: Leak) -> None:
    """Keep one leak a port: the surest, and in both directions where there are both."""
    known = found.get(leak.at)
    if known is None:
        found[leak.at] = leak
        return
    direction = known.direction if known.direction == leak.direction else "both"
    surest = known if known.certainty is Certainty.PROVED or leak.certainty is not Certainty.PROVED else leak
    found[leak.at] = replace(surest, direction=direction)


def _weighed(ground: Ground, order: Order, leak: Leak, named: dict[str, Order]) -> Leak | None:
    """Return the leak with what is there and how sure it is; None for one that is no leak."""
    place = leak.at
    what = ""
    if ground.inside(place):
        if not ground.has_address(place):
            return None
        what = "interface"
        if order.kind is OrderKind.VLAN and place not in {stop.place for stop in order.never}:
            return replace(leak, what=what, certainty=Certainty.EMPTY)
    elif place in ground.network.handoffs:
        what = "handoff"
    elif place in ground.held:
        what = "hold"
    elif place in named:
        what = f"{named[place].kind} {named[place].name}"
    plugged = ground.occupancy(place)
    certainty = leak.certainty
    if plugged.state is Occupancy.EMPTY:
        certainty = Certainty.EMPTY
    elif plugged.state is Occupancy.UNKNOWN:
        certainty = Certainty.POSSIBLE
    reason = leak.reason
    if certainty is Certainty.POSSIBLE:
        reason = ground.open_leak(leak.sender, leak.sent, leak.to, plugged)
    return replace(leak, what=what, certainty=certainty, reason=reason)


def _together(ground: Ground, order: Order) -> Iterator[Leak]:
    """Yield a leak for every ending that hears another one, where the order keeps them apart."""
    if not order.apart:
        return
    sides: dict[str, tuple[list[Batch], tuple[Shape, ...]]] = {}
    for stop in order.stops:
        if at := ground.judged_at(stop.place) if stop.place else "":
            pairs = [(batch, shape) for batch in order.batches for shape in wanted(batch, stop.frame)]
            due = tuple(tuple(level._replace(symbol=None) for level in shape) for _, shape in pairs)
            sides[at] = [turned(batch, shape)[0] for batch, shape in pairs], due
    for place, (sent, _) in sides.items():
        for other, (_, due) in sides.items():
            if other != place and (leak := _heard(ground, place, sent, other, due)) is not None:
                yield leak


def _heard(ground: Ground, place: str, sent: list[Batch], other: str, due: tuple[Shape, ...]) -> Leak | None:
    """Return the leak at `other` of what is sent from another ending; None when it hears nothing of it."""
    for batch in sent:
        found = ground.carried.arriving(place, batch, other, due)
        for value, certainty in ((found.right, Certainty.PROVED), (found.maybe, Certainty.POSSIBLE)):
            if value:
                frame = lowest(batch, value)
                return Leak(other, format_frame(frame), "out", certainty, f"hears {place}", place, frame, other)
    return None


def _sure(certain: bool) -> Certainty:
    return Certainty.PROVED if certain else Certainty.POSSIBLE
