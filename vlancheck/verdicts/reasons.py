"""A frame, where it was sent and where it was due in; the place and the line that keep it from there out."""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise

import networkx as nx

from vlancheck.dot1q.rules import Rule
from vlancheck.dot1q.tags import Frame
from vlancheck.evidence import Origins
from vlancheck.places import split_place
from vlancheck.walk.flood import EVERYWHERE, What
from vlancheck.walk.walk import Loss, Step, Walk, entry_vid, walk
from vlancheck.wiring.network import Network


@dataclass(frozen=True, slots=True)
class Reason:
    """Why a frame does not arrive as it should, or why nobody can tell."""

    words: str  # in one sentence
    place: str = ""  # DEVICE:PORT where it is decided; "" when no place is
    rule: Rule | None = None  # by which a copy is lost there
    vid: int | None = None  # relay VID it has there; None when it has none
    frame: str = ""  # the frame as it stands there
    evidence: Origins = ()  # lines, defaults and assumptions behind it
    settled_by: str = ""  # of what nobody can tell: what would decide it


@dataclass(frozen=True, slots=True)
class Hop:
    """One port that a copy passes."""

    port: str  # DEVICE:PORT
    way: str  # `in` or `out`
    frame: str  # on the wire
    vid: int | None  # relay VID inside; None where there is none
    certain: bool  # it passes whatever the unread parts do
    evidence: Origins = ()  # what made the port so


class Reasons:
    """Finds out why, and keeps what it worked out."""

    def __init__(self, network: Network) -> None:
        """Take the network that is judged."""
        self.network = network
        self._walks: dict[tuple[str, Frame, str], Walk] = {}
        self._near: dict[str, dict[str, int]] = {}

    def walk(self, sender: str, frame: Frame, watch: str = "") -> Walk:
        """Return the walk of a frame, with what happens at the port `watch`, or EVERYWHERE."""
        key = sender, frame, watch
        if key not in self._walks:
            self._walks[key] = walk(self.network, sender, frame, watch)
        return self._walks[key]

    def lost(self, sender: str, frame: Frame, at: str) -> Reason:
        """Return why a frame from `sender` does not arrive at `at`: the loss that is nearest to it."""
        walked = self.walk(sender, frame, EVERYWHERE)
        if not self._at(walked, sender) and not walked.losses_at(at):
            return Reason(f"nothing takes {_called(walked.frame)} at {sender}", sender, frame=walked.frame)
        if sender not in self.distances(at):
            return self._gap(sender, at)
        if (loss := self._nearest(walked, at)) is None:
            return Reason(f"{_called(walked.frame)} from {sender} never comes near {at}", sender, frame=walked.frame)
        vid = self._vid(walked, loss)
        return Reason(_told(loss, vid), loss.port, loss.rule, vid, loss.frame, loss.evidence)

    def otherwise(self, sender: str, frame: Frame, at: str, arrives: str) -> Reason:
        """Return why a frame from `sender` arrives at `at` in another shape."""
        walked = self.walk(sender, frame)
        words = f"it arrives as {arrives}"
        step = next((one for one in walked.steps if _arrives(one, at, arrives)), None)
        while step is not None and step.what is not What.LEAVES and step.number > 1:
            step = walked.steps[step.parent - 1]
        if step is None or step.what is not What.LEAVES:
            return Reason(words, at, frame=arrives)
        return Reason(f"{words} from {step.port}", step.port, None, step.vid, arrives, step.evidence)

    def undecided(self, sender: str, frame: Frame, at: str) -> Reason:
        """Return why nobody can tell whether a frame from `sender` arrives at `at`."""
        walked = self.walk(sender, frame)
        near = self.distances(at)
        found = [one for one in walked.unproven if one.port == at] or sorted(
            walked.unproven, key=lambda one: near.get(one.port, len(near))
        )
        if not found:
            return Reason("it may get another tag each time it comes round", sender, frame=walked.frame)
        first = found[0]
        return Reason(first.reason, first.port, None, None, first.frame, first.evidence, first.settled_by)

    def path(self, sender: str, frame: Frame, at: str) -> tuple[Hop, ...]:
        """Return the ports that the first copy to arrive at `at` passes; else those one passes until it is lost."""
        walked = self.walk(sender, frame)
        step = next((one for one in walked.steps if one.what is What.DELIVERED and one.port == at), None)
        if step is None:
            walked = self.walk(sender, frame, EVERYWHERE)
            loss = self._nearest(walked, at)
            step = next((one for one in walked.steps if loss is not None and _same(one, loss)), None)
        if step is None:
            return ()
        hops: list[Hop] = []
        while step.number > 1:
            if step.what in (What.ENTERS, What.LEAVES) or (step.what is What.DELIVERED and not hops and step.name):
                way = "out" if step.what is What.LEAVES else "in"
                hops.append(Hop(step.port, way, step.frame, step.vid, step.certain, step.evidence))
            step = walked.steps[step.parent - 1]
        return tuple(reversed(hops))

    def first_vid(self, sender: str, frame: Frame) -> int | None:
        """Return the relay VID a frame gets where it is sent; None when none takes it there."""
        return entry_vid(self.network, sender, frame)

    def distances(self, at: str) -> dict[str, int]:
        """Return how many cords and boxes every port is away from `at`."""
        if at not in self._near:
            self._near[at] = _distances(self.network, at)
        return self._near[at]

    def _at(self, walked: Walk, place: str) -> bool:
        return any(step.port == place and step.what is not What.SENT for step in walked.steps) or self._leads_on(place)

    def _leads_on(self, place: str) -> bool:
        return self.network.only_ends(place) and place in self.network.peer

    def _gap(self, sender: str, at: str) -> Reason:
        """Return the port at which the cords from `sender` to `at` lead on and no frame is bridged, if there is one."""
        graph: nx.Graph[str] = nx.Graph()
        cords: dict[frozenset[str], list[tuple[str, str]]] = {}
        for one, other in self.network.peer.items():
            ends = split_place(one)[0], split_place(other)[0]
            graph.add_edge(*ends)
            cords.setdefault(frozenset(ends), []).append((one, other))
        start, goal = split_place(sender)[0], split_place(at)[0]
        if start in graph and goal in graph and nx.has_path(graph, start, goal):
            for pair in pairwise(nx.shortest_path(graph, start, goal)):
                closed = [[end for end in cord if not self._bridges(end)] for cord in cords[frozenset(pair)]]
                if all(closed):
                    place = closed[0][0]
                    return Reason(f"no frame is bridged at {place}", place, evidence=self.network.port(place).origins)
        return Reason(f"no cord leads from {sender} to {at}")

    def _bridges(self, place: str) -> bool:
        device, port = split_place(place)
        return any(one.port == port for one in self.network.devices[device].bridge_ports.values())

    def _nearest(self, walked: Walk, at: str) -> Loss | None:
        """Return the loss that is nearest to `at`; None when none lies on a way there."""
        near = self.distances(at)
        reached = [loss for loss in walked.losses_at(at) if loss.port in near]

        def rank(one: Loss) -> tuple[int, bool, bool]:
            # Of two that are as near, the one whose far end would go on: there the way is only half broken.
            return near[one.port], one.rule is Rule.NOWHERE, not self._goes_on(walked, one)

        return min(reached, key=rank, default=None)

    def _goes_on(self, walked: Walk, loss: Loss) -> bool:
        """Tell whether the port at the other end of the cord carries the VLAN in which a copy is lost."""
        far, vid = self.network.peer.get(loss.port), self._vid(walked, loss)
        if far is None or vid is None:
            return False
        device, port = split_place(far)
        several = self.network.devices[device].bridge_ports.values()
        return any(one.port == port and bool(one.member.possible >> vid & 1) for one in several)

    def _vid(self, walked: Walk, loss: Loss) -> int | None:
        step = next((one for one in walked.steps if _same(one, loss)), None)
        return step.vid if step else None


def _arrives(step: Step, at: str, frame: str) -> bool:
    return step.what is What.DELIVERED and (step.port, step.frame) == (at, frame)


def _same(step: Step, loss: Loss) -> bool:
    return step.what is What.LOST and (step.port, step.frame, step.rule) == (loss.port, loss.frame, loss.rule)


def _told(loss: Loss, vid: int | None) -> str:
    where = loss.port
    match loss.rule:
        case Rule.NOT_MEMBER:
            return f"{where} is not in VLAN {vid}"
        case Rule.NOT_ADMITTED:
            return f"{where} does not accept the tag {loss.frame}"
        case Rule.VLAN_ABSENT:
            return f"{split_place(where)[0]} does not have VLAN {vid}"
        case Rule.VLAN_SUSPENDED:
            return f"VLAN {vid} is suspended or shut down on {split_place(where)[0]}"
        case Rule.PORT_DOWN | Rule.PORT_DOWN_OUT:
            return f"{where} is shut or has no link"
        case Rule.BLOCKED_IN | Rule.BLOCKED_OUT:
            return f"spanning tree does not forward VLAN {vid} at {where}"
        case Rule.NO_PVID:
            return f"{where} takes no untagged frame"
        case Rule.NOT_TAKEN:
            return f"no interface at {where} takes {_called(loss.frame)}"
        case Rule.NOWHERE:
            return f"no other port of {split_place(where)[0]} carries VLAN {vid}"
        case _:
            return f"{where}: {loss.rule.sentence}"


def _called(frame: str) -> str:
    return "an untagged frame" if frame == "untagged" else f"the tag {frame}"


def _distances(network: Network, at: str) -> dict[str, int]:
    found = {at: 0}
    waiting = deque([at])
    passed: set[str] = set()  # boxes of which all ports are found
    while waiting:
        place = waiting.popleft()
        for other in _beside(network, place, passed):
            if other not in found:
                found[other] = found[place] + 1
                waiting.append(other)
    return found


def _beside(network: Network, place: str, passed: set[str]) -> Iterable[str]:
    """Yield the port at the other end of a cord, and the other ports of a box that passes frames on, once for a box."""
    if (far := network.peer.get(place)) is not None:
        yield far
    device, port = split_place(place)
    if device in passed:
        return
    bridging = dict.fromkeys(one.port for one in network.devices[device].bridge_ports.values())
    if port in bridging:
        passed.add(device)
        yield from (f"{device}:{one}" for one in bridging)
