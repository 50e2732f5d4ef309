"""Two places that should hear each other in one VLAN in; changes that make a way between them carry it out.

The way is the one along which the least has to be changed; ends of a link that disagree may be made to agree in more
than one way, and each is a change of its own.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import islice, pairwise

import networkx as nx

from vlancheck.dot1q.model import DeviceKind
from vlancheck.mend.amendment import Amendment, PortChange, all_joined
from vlancheck.mend.carrying import How, bridge_at, carries_tags, how
from vlancheck.places import split_place
from vlancheck.vids import WIRE, members
from vlancheck.wiring.network import Link, Network

_WAYS = 3  # ways between two places that are looked at
_PORT, _VLAN, _RISK, _SHUT = 10, 4, 1000, 50  # what a change weighs when ways are compared: fewer devices, then ports
_NOT_OURS = frozenset({DeviceKind.CARRIER_BOX, DeviceKind.UNMANAGED, DeviceKind.PHONE, DeviceKind.ACCESS_POINT})


@dataclass(frozen=True, slots=True)
class Goal:
    """One end of a way."""

    place: str  # DEVICE:PORT, a boundary port
    frame: How | None = None  # how its frames are there; None: nobody said


class Routes:
    """Finds ways through one survey."""

    def __init__(self, network: Network, risky: frozenset[str]) -> None:
        """Take the survey, and the ports that the management of boxes depends on, which are best left alone."""
        self.network, self.risky = network, risky

    def amendments(self, one: Goal, other: Goal, vids: int) -> Iterator[Amendment]:
        """Yield changes after which the two places hear each other in `vids`, those that change least first."""
        ends = [self._bridged(goal) for goal in (one, other)]
        if ends[0] is None or ends[1] is None or not vids & WIRE:
            return
        start, goal = ends[0], ends[1]
        for way in self._ways(start.place, goal.place, vids):
            parts: list[list[Amendment]] = []
            devices = dict.fromkeys(
                [split_place(start.place)[0], *(split_place(end)[0] for link in way for end in link)]
            )
            parts.append([self._made(list(devices), [start.place, *(end for link in way for end in link)], vids)])
            for vid in members(vids & WIRE):
                parts.append(self._end(start, vid))
                parts += [self._link(one, other, vid) for one, other in way]
                parts.append(self._end(goal, vid))
            yield from _chosen(parts)

    def _bridged(self, goal: Goal) -> Goal | None:
        """Return the bridge's port at which the frames of a boundary port are bridged; None where there is none."""
        if self.network.only_ends(goal.place):
            place = self.network.peer.get(goal.place, "")
            return Goal(place, goal.frame) if place and bridge_at(self.network, place) is not None else None
        return goal if bridge_at(self.network, goal.place) is not None else None

    def _ways(self, start: str, goal: str, vids: int) -> Iterator[list[tuple[str, str]]]:
        """Yield ways as links, each with the end that is nearer to `start` first."""
        one, other = split_place(start)[0], split_place(goal)[0]
        if one == other:
            yield []
            return
        graph: nx.Graph[str] = nx.Graph()
        best: dict[frozenset[str], tuple[int, Link]] = {}
        for link in self.network.links:
            pair = frozenset(split_place(end)[0] for end in (link.one, link.other))
            weight = self._weight(link, vids)
            if weight is not None and len(pair) > 1 and (pair not in best or weight < best[pair][0]):
                best[pair] = weight, link
        for pair, (weight, _) in best.items():
            graph.add_edge(*sorted(pair), weight=weight)
        if one not in graph or other not in graph or not nx.has_path(graph, one, other):
            return
        for path in islice(nx.shortest_simple_paths(graph, one, other, weight="weight"), _WAYS):
            way = []
            for near, far in pairwise(path):
                link = best[frozenset((near, far))][1]
                first = split_place(link.one)[0] == near
                way.append((link.one, link.other) if first else (link.other, link.one))
            yield way

    def _weight(self, link: Link, vids: int) -> int | None:
        """Return what has to be changed for a link to carry some VLANs; None where no change of ours does it."""
        found = 1
        for end in (link.one, link.other):
            box = self.network.devices[split_place(end)[0]]
            bridge = bridge_at(self.network, end)
            if bridge is None or box.kind in _NOT_OURS:
                return None
            lacks = False
            for vid in members(vids & WIRE):
                here = how(self.network, end, vid)
                if here is How.OTHERWISE or self._blocked(end, vid):
                    return None
                lacks |= here is How.NOT
                found += _VLAN * (not bridge.exists.sure >> vid & 1)
            found += lacks * (_PORT + _RISK * (end in self.risky))
            found += _SHUT * (self.network.port(end).up.value is False)
        return found

    def _blocked(self, place: str, vid: int) -> bool:
        device, port = split_place(place)
        ports = self.network.devices[device].bridge_ports.values()
        return any(one.port == port and not one.forwarding.possible >> vid & 1 for one in ports)

    def _made(self, devices: Sequence[str], places: Sequence[str], vids: int) -> Amendment:
        """Return what makes the VLANs exist along a way, and turns its ports on."""
        create = set()
        for place in places:
            bridge = bridge_at(self.network, place)
            device = split_place(place)[0]
            if bridge is not None and device in devices:
                create |= {(device, vid) for vid in members(vids & WIRE & ~bridge.exists.sure)}
        shut = [place for place in places if self.network.port(place).up.value is False]
        return Amendment(frozenset(create), {place: PortChange(enable=True) for place in shut})

    def _end(self, goal: Goal, vid: int) -> list[Amendment]:
        """Return the ways in which a boundary port is made to take and send the frames of a VLAN."""
        now = how(self.network, goal.place, vid)
        wanted = goal.frame
        if now is How.OTHERWISE or now is wanted or (wanted is None and now is not How.NOT):
            return [Amendment()]
        tagged = Amendment(ports={goal.place: self._tagged(goal.place, vid)})
        bare = Amendment(ports={goal.place: PortChange(untagged=vid)})
        if wanted is not None:
            return [tagged if wanted is How.TAGGED else bare]
        return [tagged, bare] if carries_tags(self.network, goal.place) else [bare, tagged]

    def _link(self, one: str, other: str, vid: int) -> list[Amendment]:
        """Return the ways in which both ends of a link are made to carry a VLAN alike."""
        here = {end: how(self.network, end, vid) for end in (one, other)}
        if here[one] is here[other] and here[one] is not How.NOT:
            return [Amendment()]
        tagged = Amendment(ports={end: self._tagged(end, vid) for end, now in here.items() if now is not How.TAGGED})
        if How.UNTAGGED not in here.values():
            return [tagged]
        bare = Amendment(ports={end: PortChange(untagged=vid) for end, now in here.items() if now is not How.UNTAGGED})
        return [bare, tagged]

    def _tagged(self, place: str, vid: int) -> PortChange:
        moved = how(self.network, place, vid) is How.UNTAGGED
        return PortChange(add=1 << vid, untagged=None) if moved else PortChange(add=1 << vid)


def _chosen(parts: Sequence[Sequence[Amendment]]) -> Iterator[Amendment]:
    """Yield the first choice of every part, then those with one part chosen otherwise."""
    if not all(parts):
        return
    firsts = [several[0] for several in parts]
    choices = [firsts]
    for number, several in enumerate(parts):
        choices += [[*firsts[:number], other, *firsts[number + 1 :]] for other in several[1:]]
    for chosen in choices:
        joined = all_joined(chosen)
        if joined is not None and not joined.empty:
            yield joined
