"""One frame followed copy by copy through a plant, breadth first; every event keeps the event that caused it."""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass, field
from enum import StrEnum
from typing import NamedTuple

from vlancheck.dot1q.forward import ONE_TAG, EndView, Stack, View, WornTag, enter, leave, select, separated
from vlancheck.dot1q.model import Rewrite
from vlancheck.dot1q.rules import Rule
from vlancheck.dot1q.tags import Frame, Tag
from vlancheck.walk.plant import Plant


class What(StrEnum):
    """What an event is."""

    SENT = "sent"  # the frame as it was handed to the network
    ENTERS = "enters"  # a bridge port takes it and gives it a relay VID
    LEAVES = "leaves"  # a copy goes out by a bridge port
    DELIVERED = "delivered"  # a copy crosses the boundary
    LOST = "lost"
    DOUBT = "in doubt"  # the copy ends in what nobody read
    GROWING = "growing"


class Event(NamedTuple):
    """One thing that happens to one copy."""

    what: What
    parent: int  # number of the event that caused it; -1 none
    place: str  # DEVICE:PORT
    name: str  # DEVICE:NAME of the bridge port or interface; "" none takes it
    stack: Stack  # the frame on the wire; of a departure that is lost, as it was inside
    rule: Rule
    vid: int  # relay VID, or below zero when it has none
    row: Rewrite | None  # row of a rewrite table that was carried out


EVERYWHERE = "*"  # every port is watched
State = tuple[str, int, str, Stack]  # bridge port, relay VID, who put it on, tags below
LOST_OUT = frozenset(
    {Rule.NOT_MEMBER, Rule.PORT_DOWN_OUT, Rule.BLOCKED_OUT, Rule.ISOLATED, Rule.EXIT_ROW, Rule.OFF_WIRE}
)


@dataclass(slots=True)
class Flood:
    """Everything that happened to one frame in one world."""

    events: list[Event] = field(default_factory=list)  # in the order in which they happened
    delivered: dict[tuple[str, Frame, str], int] = field(default_factory=dict)  # (port, frame, interface) -> event
    states: dict[State, int] = field(default_factory=dict)  # -> the event by which it was first reached
    arcs: dict[State, list[State]] = field(default_factory=dict)  # state -> states its copies reach
    again: bool = False  # a state was reached more than once, so that there may be a cycle
    growing: bool = False  # a copy came round to get another tag each time


def flood(plant: Plant, place: str, frame: Frame, watch: str = "") -> Flood:
    """Follow `frame` from the port `place` until every copy is delivered, lost, or where it was before.

    That a copy does not leave is news toward another bridge, and at the port `watch`, or EVERYWHERE.

    A frame that grows is followed no further: nothing is listed of it but that it grows, since its copies wear ever
    more tags and come out in endlessly many forms.
    """
    run = _Run(plant, watch)
    stack = tuple(WornTag(tag.tpid, tag.vid, "") for tag in frame)
    run.result.events.append(Event(What.SENT, -1, place, "", stack, Rule.TAKEN, -1, None))
    takers = plant.takers.get(place, [])
    if takers and all(isinstance(taker, EndView) for taker in takers):
        if any(taker.up for taker in takers) and (far := plant.onward.get(place)):
            run.arrive(far, stack, 0, None)
    else:
        run.arrive(place, stack, 0, None)
    run.go()
    return run.result


class _Run:
    """A flood under way."""

    def __init__(self, plant: Plant, watch: str) -> None:
        self.plant, self.watch = plant, watch
        self.result = Flood()
        self.waiting: deque[tuple[State, View, int]] = deque()

    def note(
        self,
        what: What,
        parent: int,
        place: str,
        name: str,
        stack: Stack,
        rule: Rule,
        *,
        vid: int = -1,
        row: Rewrite | None = None,
    ) -> int:
        """Keep an event and return its number."""
        self.result.events.append(Event(what, parent, place, name, stack, rule, vid, row))
        return len(self.result.events) - 1

    def arrive(self, place: str, stack: Stack, parent: int, before: State | None) -> None:
        """Let a copy arrive at a port."""
        takers = self.plant.takers.get(place, ())
        if len(takers) == 1 and not takers[0].select:
            taken: list[tuple[View | EndView, int]] = [(takers[0], 1)]
        else:
            taken, rest = select(takers, stack, 1, ONE_TAG)
            if rest:
                self.note(What.LOST, parent, place, "", stack, Rule.NOT_TAKEN)
        for taker, _ in taken:
            if isinstance(taker, EndView):
                if taker.up:
                    self.deliver(place, taker.name, stack, parent)
                else:
                    self.note(What.LOST, parent, place, taker.name, stack, Rule.PORT_DOWN)
            else:
                self.enter(taker, place, stack, parent, before)

    def enter(self, view: View, place: str, stack: Stack, parent: int, before: State | None) -> None:
        """Let a bridge port classify a copy."""
        for rule, vid, by, below, _, row in enter(view, stack, 1, ONE_TAG):
            if rule is Rule.PVID_IN or rule is Rule.TAGGED_IN:
                state = (view.name, vid, by, below)
                if before is not None:
                    self.result.arcs.setdefault(before, []).append(state)
                if state in self.result.states:
                    self.result.again = True
                    continue
                number = self.note(What.ENTERS, parent, place, view.name, stack, rule, vid=vid, row=row)
                self.result.states[state] = number
                self.waiting.append((state, view, number))
            elif rule is Rule.GROWING:
                self.result.growing = True
                self.note(What.GROWING, parent, place, view.name, stack, rule, row=row)
            elif rule is Rule.IN_DOUBT:
                self.note(What.DOUBT, parent, place, view.name, stack, rule, row=row)
            else:
                self.note(What.LOST, parent, place, view.name, stack, rule, vid=vid, row=row)

    def go(self) -> None:
        """Relay every waiting copy to the other bridge ports of its bridge."""
        while self.waiting and not self.result.growing:
            state, view, parent = self.waiting.popleft()
            _, vid, by, below = state
            carried = False
            for other in self.plant.bridge[view.name]:
                if other is view or not other.member >> vid & 1:
                    if other is not view:
                        self.refuse(other, Rule.NOT_MEMBER, (WornTag(other.sends, vid, by), *below), parent, vid)
                elif other.isolation and separated(view, other):
                    self.refuse(other, Rule.ISOLATED, (WornTag(other.sends, vid, by), *below), parent, vid)
                else:
                    carried |= self.leave(other, state, parent)
            if not carried:
                place = self.plant.place[view.name]
                stack = (WornTag(view.sends, vid, by), *below)
                self.note(What.LOST, parent, place, view.name, stack, Rule.NOWHERE, vid=vid)

    def leave(self, view: View, state: State, parent: int) -> bool:
        """Let a copy leave by a bridge port; tell whether it did, or may have."""
        _, vid, by, below = state
        place, carried = self.plant.place[view.name], False
        for rule, stack, _, row in leave(view, vid, by, below, 1, ONE_TAG):
            if rule is Rule.TAGGED_OUT or rule is Rule.UNTAGGED_OUT:
                number = self.note(What.LEAVES, parent, place, view.name, stack, rule, vid=vid, row=row)
                carried = True
                if place in self.plant.stops:
                    self.deliver(place, "", stack, number)
                if far := self.plant.onward.get(place):
                    self.arrive(far, stack, number, state)
            elif rule is Rule.GROWING:
                self.result.growing = carried = True
                self.note(What.GROWING, parent, place, view.name, stack, rule, vid=vid, row=row)
            elif rule is Rule.IN_DOUBT:
                carried = True
                self.note(What.DOUBT, parent, place, view.name, stack, rule, vid=vid, row=row)
            else:
                self.refuse(view, rule, stack, parent, vid, row)
        return carried

    def refuse(self, view: View, rule: Rule, stack: Stack, parent: int, vid: int, row: Rewrite | None = None) -> None:
        """Note that a copy does not leave where that is news."""
        place = self.plant.place[view.name]
        if place in self.plant.uplinks or self.watch in (place, EVERYWHERE):
            self.note(What.LOST, parent, place, view.name, stack, rule, vid=vid, row=row)

    def deliver(self, place: str, name: str, stack: Stack, parent: int) -> None:
        """Note that a copy crosses the boundary."""
        frame = tuple(Tag(tag.tpid, tag.vid) for tag in stack)
        if (place, frame, name) not in self.result.delivered:
            number = self.note(What.DELIVERED, parent, place, name, stack, Rule.TAKEN)
            self.result.delivered[place, frame, name] = number
