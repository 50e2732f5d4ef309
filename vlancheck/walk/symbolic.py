"""All frames of one shape from one port, flooded at once: what every one of them comes to.

A frame under way is a stack whose VIDs may be symbols ("as it was sent"); the value that travels with it is the set of
sent frames it stands for.  Only frames new to a state go on from it, and a set is split only where a port tells its
frames apart, by the rules of `forward`, which a single frame's walk obeys too.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Generic, NamedTuple, TypeVar

from vlancheck.dot1q.forward import EndView, Stack, View, enter, leave, select, separated
from vlancheck.dot1q.rules import Rule
from vlancheck.dot1q.tags import Frame, Tag
from vlancheck.walk.flood import State, What
from vlancheck.walk.framesets import FrameSets
from vlancheck.walk.layout import Exit, Group, Layout

V = TypeVar("V")


class Among(StrEnum):
    """Which places of a group a copy is at."""

    ALL = "all"
    OTHERS = "others"  # all but the sender, which is one of them
    SENDER = "sender"  # the sender alone


class Copy(NamedTuple):
    """A copy at the boundary, or where its fate is not known."""

    what: What  # DELIVERED, DOUBT or GROWING
    group: Group  # where
    among: Among  # at which of its places
    frame: Frame  # as it stands there; VIDs may be OUTER or INNER: as sent
    interface: str  # DEVICE:NAME of the interface that takes it; "" none


class Entered(NamedTuple, Generic[V]):
    """A bridge port took a frame and gave it a relay VID."""

    state: State
    view: View
    value: V


@dataclass(slots=True)
class Outcome(Generic[V]):
    """What the frames of one sender come to in one world, every set a set of sent frames."""

    copies: dict[Copy, V]  # of frames that grow, no deliveries
    growing: V  # frames of which a copy comes round to get another tag each time
    looping: V  # of the others, frames of which a copy comes round to a state it was in
    states: int = 0  # how many states the flood met


Start = tuple[Stack, V]  # a symbolic frame and the sent frames it stands for


def outcome(layout: Layout, place: str, starts: Iterable[Start[V]], sets: FrameSets[V]) -> Outcome[V]:
    """Flood all frames of `starts` from the port `place`; a frame that grows is followed no further."""
    run = _Run(layout, sets)
    at = sender(layout, place)
    for stack, value in starts if at else ():
        run.arrive(at, stack, value, None)
    run.go()
    return run.result()


def sender(layout: Layout, place: str) -> str:
    """Return the port where frames sent at `place` arrive: itself, or for a host or router the far end; "" nowhere."""
    takers = layout.plant.takers.get(place, [])
    if takers and all(isinstance(taker, EndView) for taker in takers):
        return layout.plant.onward.get(place, "") if any(taker.up for taker in takers) else ""
    return place


def arrive(
    layout: Layout, place: str, stack: Stack, value: V, sets: FrameSets[V]
) -> Iterator[Entered[V] | tuple[Copy, V]]:
    """Yield what becomes of frames that arrive at a port; losses are not told."""
    takers = layout.plant.takers.get(place, ())
    taken: list[tuple[View | EndView, V]]
    if len(takers) == 1 and not takers[0].select:
        taken = [(takers[0], value)]
    else:
        taken, _ = select(takers, stack, value, sets)
    group = layout.at(place)
    among = Among.SENDER if len(group.places) > 1 else Among.ALL  # nothing but its own frames arrives at such a port
    for taker, part in taken:
        if isinstance(taker, EndView):
            if taker.up:
                yield Copy(What.DELIVERED, group, among, _frame(stack), taker.name), part
            continue
        for rule, vid, by, below, got, _ in enter(taker, stack, part, sets):
            if rule is Rule.PVID_IN or rule is Rule.TAGGED_IN:
                yield Entered((taker.name, vid, by, below), taker, got)
            elif rule is Rule.GROWING or rule is Rule.IN_DOUBT:
                yield Copy(_FATE[rule], group, among, _frame(stack), ""), got


def depart(
    layout: Layout, way: Exit, among: Among, tag: tuple[int, str], below: Stack, value: V, sets: FrameSets[V]
) -> Iterator[Entered[V] | tuple[Copy, V]]:
    """Yield what becomes of frames of relay VID and owner `tag` that leave by `way`; losses are not told."""
    vid, by = tag
    for rule, stack, part, _ in leave(way.view, vid, by, below, value, sets):
        if rule is Rule.TAGGED_OUT or rule is Rule.UNTAGGED_OUT:
            if way.stops:
                yield Copy(What.DELIVERED, way.group, among, _frame(stack), ""), part
            if way.onward:
                yield from arrive(layout, way.onward, stack, part, sets)
        elif rule is Rule.GROWING or rule is Rule.IN_DOUBT:
            yield Copy(_FATE[rule], way.group, among, _frame(stack), ""), part


_FATE = {Rule.GROWING: What.GROWING, Rule.IN_DOUBT: What.DOUBT}


@dataclass(slots=True)
class _Run(Generic[V]):
    """A flood under way."""

    layout: Layout
    sets: FrameSets[V]
    growing: V = field(init=False)  # frames that were found to grow
    copies: dict[Copy, V] = field(default_factory=dict)
    reach: dict[State, V] = field(default_factory=dict)
    arcs: dict[tuple[State, State], V] = field(default_factory=dict)
    again: V = field(init=False)  # frames that came to a state more than once
    waiting: dict[State, tuple[View, V]] = field(default_factory=dict)  # frames new to a state
    turn: deque[State] = field(default_factory=deque)  # states in the order in which they go on

    def __post_init__(self) -> None:
        self.growing = self.again = self.sets.none

    def arrive(self, place: str, stack: Stack, value: V, before: State | None) -> None:
        self.take(arrive(self.layout, place, stack, value, self.sets), before)

    def take(self, found: Iterator[Entered[V] | tuple[Copy, V]], before: State | None) -> None:
        sets = self.sets
        for item in found:
            if isinstance(item, Entered):
                state, view, value = item
                if self.growing:
                    value = sets.without(value, self.growing)
                if value:
                    self.reached(state, view, value, before)
                continue
            copy, value = item
            if copy.what is What.GROWING:
                self.growing = sets.join(self.growing, value)
            known = self.copies.get(copy)
            self.copies[copy] = value if known is None else sets.join(known, value)

    def reached(self, state: State, view: View, value: V, before: State | None) -> None:
        sets = self.sets
        if before is not None:
            arc = self.arcs.get((before, state))
            self.arcs[before, state] = value if arc is None else sets.join(arc, value)
        known = self.reach.get(state)
        if known is None:
            self.reach[state] = value
        else:
            if twice := sets.meet(known, value):
                self.again = sets.join(self.again, twice)
                value = sets.without(value, known)
                if not value:
                    return
            self.reach[state] = sets.join(known, value)
        if state in self.waiting:
            self.waiting[state] = (view, sets.join(self.waiting[state][1], value))
            return
        self.waiting[state] = (view, value)
        # A frame that grows soon wears many tags: the deepest stacks go first, so that it is known early.
        (self.turn.appendleft if state[3] else self.turn.append)(state)

    def go(self) -> None:
        sets, layout = self.sets, self.layout
        while self.turn:
            state = self.turn.popleft()
            view, value = self.waiting.pop(state)
            if self.growing:
                value = sets.without(value, self.growing)
                if not value:
                    continue
            _, vid, by, below = state
            for way in layout.exits[layout.bridge[view.name]]:
                other = way.view
                if other is view and len(way.group.places) == 1:
                    continue
                if vid < 0:
                    goes = sets.restrict(value, vid, other.member)
                    if not goes:
                        continue
                elif other.member >> vid & 1:
                    goes = value
                else:
                    continue
                if other.isolation and separated(view, other):
                    continue
                among = Among.OTHERS if other is view else Among.ALL
                self.take(depart(layout, way, among, (vid, by), below, goes, sets), state)

    def result(self) -> Outcome[V]:
        sets, copies = self.sets, self.copies
        if self.growing:
            left = {}
            for copy, value in copies.items():
                if copy.what is What.DELIVERED:
                    value = sets.without(value, self.growing)
                if value:
                    left[copy] = value
            copies = left
        again = sets.without(self.again, self.growing) if self.growing else self.again
        looping = around(self.reach, self.arcs, again, sets) if again else again
        return Outcome(copies, self.growing, looping, len(self.reach))


S = TypeVar("S", bound=object)


def around(reach: Mapping[S, V], arcs: Mapping[tuple[S, S], V], again: V, sets: FrameSets[V]) -> V:
    """Return which frames of `again` go round in a cycle of states.

    The greatest fixpoint: a frame stays at a state only while an arc brings it there from a state where it stays.
    """
    stays = {state: sets.meet(value, again) for state, value in reach.items()}
    fed: dict[S, list[tuple[S, V]]] = {state: [] for state in reach}
    feeds: dict[S, list[S]] = {state: [] for state in reach}
    for (one, other), value in arcs.items():
        fed[other].append((one, value))
        feeds[one].append(other)
    waiting = dict.fromkeys(state for state, value in stays.items() if value)
    while waiting:
        state = next(iter(waiting))
        del waiting[state]
        brought = sets.none
        for one, value in fed[state]:
            brought = sets.join(brought, sets.meet(stays[one], value))
        kept = sets.meet(stays[state], brought)
        if kept != stays[state]:
            stays[state] = kept
            waiting.update((other, None) for other in feeds[state] if stays[other])
    found = sets.none
    for value in stays.values():
        found = sets.join(found, value)
    return found


def _frame(stack: Stack) -> Frame:
    return tuple(Tag(tag.tpid, tag.vid) for tag in stack)
