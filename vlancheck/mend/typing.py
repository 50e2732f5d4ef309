"""A change and the facts of the boxes in; the lines of each box with their undo, step by step, and the boxes then out.

VLANs are made before ports carry them, the far end of a link is typed before the near one, and what logging in
depends on comes last.  A box whose family has no phrase for a change gets it in words, and nobody types it for sure.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from vlancheck.dot1q.model import BridgePort, Device
from vlancheck.evidence import Cover, Fact, State, assumed
from vlancheck.mend.amendment import Amendment, CordChange
from vlancheck.places import natural
from vlancheck.reader import Gathered, with_what_was_shown
from vlancheck.writer import PortPlan, Wish, WriteError, edit, edited

_TO_BE = assumed("as it is to be set by hand")


@dataclass(frozen=True, slots=True)
class Step:
    """One thing to be done: lines at one box, words for one, or a cord."""

    device: str = ""  # where it is typed; "" for a cord
    lines: tuple[str, ...] = ()  # to be typed; () for a cord, and where the family has no phrases
    undo: tuple[str, ...] = ()  # what takes the lines back
    exact: bool = True  # the undo gives back all that is known of the box
    words: tuple[str, ...] = ()  # what it does
    cord: CordChange | None = None  # the cord to be moved
    first: tuple[str, ...] = ()  # typed before: it takes everything back by itself unless somebody says it stays
    force: tuple[str, ...] = ()  # typed after the lines, so that they count
    keep: tuple[str, ...] = ()  # typed when all is well: the change stays
    restarts: bool = False  # what takes it back restarts the box, which is an outage
    save: tuple[str, ...] = ()  # keeps the change over a restart
    management: bool = False  # logging in to a box depends on a port that it changes


@dataclass(frozen=True)
class Typed:
    """A change written down."""

    steps: tuple[Step, ...]  # in the order of the work
    boxes: Mapping[str, Device] = field(default_factory=dict)  # as they are afterwards
    facts: Mapping[str, Gathered] = field(default_factory=dict)  # what is known of them then
    states: tuple[Mapping[str, Device], ...] = ()  # the boxes changed so far, after each step at a box

    @property
    def lines(self) -> int:
        """Return how many lines are typed."""
        return sum(len(step.lines) or len(step.words) for step in self.steps if step.cord is None)


@dataclass(frozen=True)
class Desk:
    """What is known of the boxes of a survey, for typing."""

    boxes: Mapping[str, Device]  # as they are walked: modes settled
    read: Mapping[str, Device]  # as they were read
    facts: Mapping[str, Gathered]  # of those that lines can be typed at
    distance: Mapping[str, int]  # how many boxes away from where the site is entered
    management: frozenset[str]  # DEVICE:PORT that logging in depends on

    def typed(self, amendment: Amendment) -> Typed:
        """Return a change written down; WriteError where a port is no plain one."""
        order = sorted(amendment.devices, key=lambda name: (-self.distance.get(name, 0), natural(name)))
        rounds = [(name, Wish(create=amendment.vlans(name))) for name in order if amendment.vlans(name)]
        wishes = {name: amendment.wish(self.boxes[name]) for name in order}
        last = sorted(order, key=lambda name: self._on_the_way(amendment, name))
        rounds += [(name, replace(wishes[name], create=0)) for name in last if amendment.ports_of(name)]
        boxes: dict[str, Device] = {}
        facts: dict[str, Gathered] = {}
        steps: list[Step] = []
        states: list[Mapping[str, Device]] = []
        for name, wish in rounds:
            words = _words(amendment, name, wish)
            step = self._step(name, wish, words, boxes, facts, risky=self._on_the_way(amendment, name))
            steps.append(step)
            states.append(dict(boxes))
        steps += [Step(cord=cord) for cord in amendment.cords]
        return Typed(tuple(steps), boxes, facts, tuple(states))

    def _on_the_way(self, amendment: Amendment, name: str) -> bool:
        return any(f"{name}:{port}" in self.management for port in amendment.ports_of(name))

    def _step(
        self,
        name: str,
        wish: Wish,
        words: tuple[str, ...],
        boxes: dict[str, Device],
        facts: dict[str, Gathered],
        *,
        risky: bool,
    ) -> Step:
        """Return one step, and note what becomes of the box."""
        risky = risky and not wish.create
        known = facts.get(name, self.facts.get(name))
        before = boxes.get(name, self.read.get(name, self.boxes[name]))
        if known is not None:
            try:
                made = edit(known, name, wish)
            except WriteError:
                known = None
        if known is None:
            boxes[name] = modelled(before, wish)
            return Step(name, words=words, exact=False, management=risky)
        boxes[name], facts[name] = with_what_was_shown(before, made.after), made.facts
        phrases = known.dialect.phrases
        timed = phrases if risky else {}
        return Step(
            name,
            made.lines,
            made.undo,
            made.exact,
            words,
            first=timed.get("guard", ()),
            force=timed.get("guarded", phrases.get("commit", ())),
            keep=timed.get("keep", ()),
            restarts=bool(timed.get("restarts")),
            save=phrases.get("save", ()),
            management=risky,
        )


def modelled(device: Device, wish: Wish) -> Device:
    """Return a box as a wish would make it, whatever is typed at it for that."""
    bridges = {
        name: replace(bridge, exists=bridge.exists.write(wish.create, State.IN, _TO_BE))
        for name, bridge in device.bridges.items()
    }
    ports, bridge_ports = dict(device.ports), dict(device.bridge_ports)
    for plan in wish.ports:
        mine = [one for one in bridge_ports.values() if one.port == plan.port]
        if len(mine) != 1:
            raise WriteError(f"{plan.port} of {device.name} is not one bridge port")
        bridge_ports[mine[0].name] = _planned(mine[0], plan)
        up = ports[plan.port].up if plan.up is None else Fact(plan.up, _TO_BE)
        ports[plan.port] = replace(ports[plan.port], up=up, negotiation=None, shown=None)
    for one in wish.edits:
        bridge_ports |= {name: edited(bp, one) for name, bp in bridge_ports.items() if bp.port == one.port}
    return replace(device, bridges=bridges, ports=ports, bridge_ports=bridge_ports)


def _planned(port: BridgePort, plan: PortPlan) -> BridgePort:
    bare = 0 if plan.untagged is None else 1 << plan.untagged
    return replace(
        port,
        pvid=Fact(plan.untagged, _TO_BE),
        admit=Cover.of(plan.tagged, _TO_BE),
        member=Cover.of(plan.tagged | bare, _TO_BE),
        untagged=Cover.of(bare, _TO_BE),
    )


def _words(amendment: Amendment, name: str, wish: Wish) -> tuple[str, ...]:
    """Return what one step does: it makes VLANs, or it changes ports."""
    alone = Amendment(amendment.create) if wish.create else Amendment(ports=amendment.ports)
    return alone.words(name)
