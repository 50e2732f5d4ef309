"""The walk of one frame: what is delivered, lost and unproven, with the steps that lead there."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from vlancheck.dot1q.forward import ONE_TAG, EndView, Stack, View, World, WornTag, enter, select
from vlancheck.dot1q.rules import Rule
from vlancheck.dot1q.tags import Frame, Tag, format_frame, parse_frame
from vlancheck.errors import UsageError
from vlancheck.evidence import Origins
from vlancheck.walk.cycles import cycles
from vlancheck.walk.flood import LOST_OUT, Event, Flood, State, What, flood
from vlancheck.walk.plant import Plant
from vlancheck.walk.why import doubt, evidence, named_rule
from vlancheck.wiring.network import Network


@dataclass(frozen=True, slots=True, order=True)
class Delivery:
    """A copy that crosses the boundary."""

    port: str  # DEVICE:PORT
    frame: str  # as it crosses
    interface: str | None = None  # the router's or host's interface that takes it


@dataclass(frozen=True, slots=True)
class Loss:
    """A copy that dies."""

    port: str  # DEVICE:PORT where it dies
    frame: str  # as it stands there; of one that does not leave, with its relay VID as the tag
    rule: Rule  # by which it dies
    evidence: Origins  # what made the port so


@dataclass(frozen=True, slots=True)
class Unproven:
    """A copy whose fate something unknown decides."""

    port: str  # DEVICE:PORT it may reach, or where its fate is not known
    frame: str  # as it would cross there
    reason: str  # what is not known, in one sentence
    settled_by: str  # what would decide it
    evidence: Origins  # the unread line or the unknown fact


@dataclass(frozen=True, slots=True)
class Loop:
    """A cycle of states that a copy never leaves."""

    ports: tuple[str, ...]  # the ports it goes round by, in order
    vid: int  # relay VID at the first of them
    growing: bool  # it gets another tag each time round
    certain: bool  # it is there whatever the unknown facts are


@dataclass(frozen=True, slots=True)
class Step:
    """One thing that happens to one copy, for people to follow."""

    number: int  # 1-based
    parent: int  # number of the step that caused it; 0 none
    what: What  # what happens
    port: str  # DEVICE:PORT
    name: str  # DEVICE:NAME of the bridge port or interface, where one takes the frame; else ""
    frame: str  # the frame on the wire, or as it stands inside
    vid: int | None  # relay VID, where there is one
    rule: Rule  # that decided
    evidence: Origins  # that made it so
    certain: bool  # it happens whatever the unknown facts are
    rewritten: bool  # a row of the port's entry or exit table was carried out


class Walk:
    """Where one frame goes from one port, every copy of it."""

    def __init__(self, network: Network, port: str, frame: Frame, sure: Flood, possible: Flood) -> None:
        """Hold both floods; everything that needs evidence is worked out when it is asked for."""
        self._network, self._sure, self._possible = network, sure, possible
        self.port = port
        self.frame = format_frame(frame)

    @cached_property
    def deliveries(self) -> tuple[Delivery, ...]:
        """Copies that certainly cross the boundary, sorted, one for each port, frame and interface."""
        if self._sure.growing:
            return ()
        found = [_delivery(key) for key in self._sure.delivered]
        return tuple(sorted(found, key=lambda delivery: (delivery.port, delivery.frame, delivery.interface or "")))

    @cached_property
    def losses(self) -> tuple[Loss, ...]:
        """Copies that certainly arrive at a place and certainly die there, in the order of the walk.

        None of a frame that grows, or may grow.
        """
        return tuple(dict.fromkeys(loss for loss, _ in self._lost))

    def losses_at(self, watch: str) -> tuple[Loss, ...]:
        """Return the losses of a walk that watches one port (DEVICE:PORT), of one that watches everywhere."""
        uplinks = plant(self._network, World.POSSIBLE).uplinks
        return tuple(
            dict.fromkeys(
                loss for loss, refused in self._lost if not refused or loss.port == watch or loss.port in uplinks
            )
        )

    @cached_property
    def _lost(self) -> tuple[tuple[Loss, bool], ...]:
        """Certain losses, and whether each is of a copy that its bridge does not send on."""
        if self._possible.growing:
            return ()
        certain = {_death(event) for event in self._sure.events if event.what is What.LOST}
        return tuple(
            (
                Loss(event.place, _text(event.stack), self._named(event), evidence(self._network, event)),
                event.rule in LOST_OUT,
            )
            for event in self._possible.events
            if event.what is What.LOST and _death(event) in certain
        )

    @cached_property
    def unproven(self) -> tuple[Unproven, ...]:
        """Copies that may cross the boundary or may be lost, sorted by port and frame.

        A frame that may grow, and does not for certain, is listed once, at the port where it was sent.
        """
        if self._possible.growing:
            return () if self._sure.growing else (self._may_grow(),)
        found: dict[tuple[str, str], Unproven] = {}
        for number, event in enumerate(self._possible.events):
            key = event.place, _frame(event.stack), event.name
            if event.what is What.DOUBT or (event.what is What.DELIVERED and key not in self._sure.delivered):
                found.setdefault((event.place, _text(event.stack)), self._unproven(number))
        return tuple(found[key] for key in sorted(found))

    @cached_property
    def loops(self) -> tuple[Loop, ...]:
        """Cycles met by a copy, and the place where it would get another tag each time round.

        Of a frame that grows only that is said.
        """
        sure = {self._loop(cycle, True) for cycle in _rounds(self._sure)}
        known = {(loop.ports, loop.vid) for loop in sure}
        possible = set() if self._possible is self._sure else {self._loop(c, False) for c in _rounds(self._possible)}
        found = sure | {loop for loop in possible if (loop.ports, loop.vid) not in known}
        if self._possible.growing:
            grows = self._sure if self._sure.growing else self._possible
            place = next(event.place for event in grows.events if event.what is What.GROWING)
            found.add(Loop((place,), -1, True, self._sure.growing))
        return tuple(sorted(found, key=lambda loop: (not loop.growing, loop.ports, loop.vid)))

    @property
    def complete(self) -> bool:
        """False where something is unproven or growing, so that the deliveries are not the whole truth."""
        return not (self._sure.growing or self._possible.growing or self.unproven)

    @property
    def length(self) -> int:
        """How many steps there are; these need no evidence to be counted."""
        return len(self._possible.events)

    @cached_property
    def steps(self) -> tuple[Step, ...]:
        """Everything that happens or may happen, in order, each with the step that caused it."""
        return tuple(
            Step(
                number=number,
                parent=event.parent + 1,
                what=event.what,
                port=event.place,
                name=event.name,
                frame=_text(event.stack),
                vid=event.vid if event.vid >= 0 else None,
                rule=self._named(event),
                evidence=evidence(self._network, event) if event.what is not What.SENT else (),
                certain=_happening(event) in self._certain,
                rewritten=event.row is not None,
            )
            for number, event in enumerate(self._possible.events, 1)
        )

    @cached_property
    def most_tags(self) -> dict[str, int]:
        """Return how many tags a copy wears at most on the cord at each port (DEVICE:PORT) that it may pass."""
        found: dict[str, int] = {}
        for event in self._possible.events:
            if event.what is not What.LOST and event.what is not What.GROWING:
                found[event.place] = max(found.get(event.place, 0), len(event.stack))
        return found

    @cached_property
    def _certain(self) -> set[tuple[object, ...]]:
        """What happens whatever the unknown facts are."""
        return {_happening(event) for event in self._sure.events}

    def _named(self, event: Event) -> Rule:
        return named_rule(self._network, event)

    def _loop(self, states: list[State], certain: bool) -> Loop:
        places = [_place(self._network, state) for state in states]
        start = places.index(min(places))
        return Loop(tuple(places[start:] + places[:start]), states[start][1], False, certain)

    def _may_grow(self) -> Unproven:
        number = next(n for n, event in enumerate(self._possible.events) if event.what is What.GROWING)
        why = self._unproven(number)
        reason = f"it may get another tag each time it comes round to {why.port}: {why.reason}"
        return Unproven(self.port, self.frame, reason, why.settled_by, why.evidence)

    def _unproven(self, number: int) -> Unproven:
        event = self._possible.events[number]
        chain = [event]
        while chain[-1].parent >= 0:
            chain.append(self._possible.events[chain[-1].parent])
        opened = [e for e in reversed(chain) if _happening(e) not in self._certain] or [event]
        origins = next((found for e in opened if (found := doubt(self._network, e))), ())
        reason, settled_by = _doubt_words(self._network, opened[0], origins)
        return Unproven(event.place, _text(event.stack), reason, settled_by, origins)


def walk(network: Network, port: str, frame: str | Frame, watch: str = "") -> Walk:
    """Follow `frame` from `port` (DEVICE:PORT), every copy of it, until each is delivered, lost or unproven.

    A copy that its bridge does not send on is a loss toward another bridge, and at the port `watch`, or EVERYWHERE.

    Raises UsageError when there is no such port or the frame cannot be read.
    """
    port, sent = question(network, port, frame)
    possible = flood(plant(network, World.POSSIBLE), port, sent, watch)
    sure = possible if network.certain else flood(plant(network, World.SURE), port, sent, watch)
    return Walk(network, port, sent, sure, possible)


def entry_vid(network: Network, port: str, frame: Frame) -> int | None:
    """Return the relay VID that a frame from `port` gets first, where it may be taken; None where it gets none."""
    laid = plant(network, World.POSSIBLE)
    takers = laid.takers.get(port, [])
    if takers and all(isinstance(taker, EndView) for taker in takers):
        takers = laid.takers.get(laid.onward.get(port, ""), [])
    stack = tuple(WornTag(tag.tpid, tag.vid, "") for tag in frame)
    for taker, _ in select(takers, stack, 1, ONE_TAG)[0]:
        for arrival in enter(taker, stack, 1, ONE_TAG) if isinstance(taker, View) else ():
            if arrival.rule in (Rule.PVID_IN, Rule.TAGGED_IN):
                return arrival.vid
    return None


def question(network: Network, port: str, frame: str | Frame) -> tuple[str, Frame]:
    """Return the port that acts for `port` and the frame as tags; UsageError as `walk` says."""
    port = network.stands_for.get(port, port)
    device, _, name = port.partition(":")
    if device not in network.devices or name not in network.devices[device].ports:
        raise UsageError(f"there is no port {port!r}", hint="write it as DEVICE:PORT")
    return port, as_frame(frame)


def as_frame(frame: str | Frame) -> Frame:
    """Return a frame as tags; UsageError when the text is none."""
    try:
        return parse_frame(frame) if isinstance(frame, str) else frame
    except ValueError as error:
        raise UsageError(str(error)) from error


def plant(network: Network, world: World) -> Plant:
    """Return `network` laid out as `world` sees it, made once."""
    made: dict[World, Plant] = network.__dict__.setdefault("_plants", {})
    if world not in made:
        made[world] = Plant(network, world)
    return made[world]


def _rounds(found: Flood) -> list[list[State]]:
    return [] if found.growing else cycles(found)


def _happening(event: Event) -> tuple[object, ...]:
    """Return what two floods call by the same name, whatever led there."""
    return event.what, event.place, event.name, event.stack, event.vid


def _delivery(key: tuple[str, Frame, str]) -> Delivery:
    place, frame, name = key
    return Delivery(place, format_frame(frame), name.partition(":")[2] or None)


def _death(event: Event) -> tuple[str, str, Stack, bool, bool]:
    """Return what makes two losses the same copy's: the two worlds may name different rules, but not the other side."""
    return event.place, event.name, event.stack, event.rule in LOST_OUT, event.rule is Rule.NOWHERE


def _frame(stack: Stack) -> Frame:
    return tuple(Tag(tag.tpid, tag.vid) for tag in stack)


def _text(stack: Stack) -> str:
    return format_frame(_frame(stack))


def _place(network: Network, state: State) -> str:
    device, name = state[0].split(":", 1)
    return f"{device}:{network.devices[device].bridge_ports[name].port}"


def _doubt_words(network: Network, event: Event, origins: Origins) -> tuple[str, str]:
    device = event.place.partition(":")[0]
    kind = network.devices[device].kind
    if not origins:
        reason = f"{device} is a box of kind {kind} that nobody can read; what it does with the frame is not known"
        return reason, f"a test at the far side of {device}"
    first = origins[0]
    settle = first.settle or (f"reading {first.file}:{first.line}" if first.file else "a capture that states it")
    return f"{event.place}: {first.text}", settle
