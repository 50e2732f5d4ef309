"""Bridges and the cords between them in, the roles that the ports of one spanning tree can have out.

What is not known of a bridge or port is a range of values.  A port has the one role that every value in the range
gives it, or all the roles that some may (IEEE Std 802.1D-2004, 17.5 to 17.7: priority vectors and port roles).
"""

from __future__ import annotations

import heapq
from collections.abc import Iterable, Iterator, Mapping, Sequence
from enum import Enum
from typing import NamedTuple


class Role(Enum):
    """The part of a port in a tree (IEEE Std 802.1D-2004, 17.3)."""

    ROOT = "root"
    DESIGNATED = "designated"
    BLOCKED = "blocked"  # alternate or backup: it forwards nothing

    __hash__ = object.__hash__


class Span(NamedTuple):
    """A number of which only the bounds may be known."""

    low: int
    high: int


class Speaker(NamedTuple):
    """A bridge that takes part."""

    priority: Span
    address: str  # "" not known


class Jack(NamedTuple):
    """A port that takes part, at one end of a cord."""

    place: str  # unique
    bridge: str  # name of its bridge
    cost: Span  # at least 1
    priority: Span
    number: int | None  # None: not known


Cord = tuple[Jack, Jack]
Roles = frozenset[Role]
_Order = frozenset[int]  # how one vector may stand to another: -1 better, 0 the same, 1 worse
_BETTER, _SAME, _EITHER = frozenset({-1}), frozenset({0}), frozenset({-1, 1})
_FAR = 1 << 62


def roles(speakers: Mapping[str, Speaker], cords: Sequence[Cord]) -> dict[str, Roles]:
    """Return the roles that each port may have; bridges that no cord joins have trees of their own."""
    found: dict[str, Roles] = {}
    for members in connected(speakers, cords):
        mine = [cord for cord in cords if cord[0].bridge in members]
        open_ends = _on_rings(mine)
        several = {name: speakers[name] for name in sorted(members)}
        for root in possible_roots(several):
            for place, role in _Tree(several, mine, root).roles():
                found[place] = found.get(place, frozenset()) | role
            if open_ends and all(found[place] == frozenset(Role) for place in open_ends):
                break  # no other root can make anything certain
    return found


def possible_roots(speakers: Mapping[str, Speaker]) -> list[str]:
    """Return the bridges that may be the root: none is surely better (17.3.1)."""
    lowest = min(one.priority.high for one in speakers.values())
    able = [name for name, one in speakers.items() if one.priority.low <= lowest]
    return [name for name in able if not any(_bridges(speakers, other, name) == _BETTER for other in able)]


class _Tree:
    """One tree, as far as its root and the ranges of all numbers decide it."""

    def __init__(self, speakers: Mapping[str, Speaker], cords: Sequence[Cord], root: str) -> None:
        self.speakers, self.cords, self.root = speakers, cords, root
        self.steps: dict[str, list[tuple[str, Span]]] = {name: [] for name in speakers}
        self.heard: dict[str, list[tuple[Jack, Jack]]] = {name: [] for name in speakers}  # (own port, far port)
        for one, other in cords:
            if one.bridge == other.bridge:
                continue
            for mine, far in ((one, other), (other, one)):
                self.steps[far.bridge].append((mine.bridge, mine.cost))
                self.heard[mine.bridge].append((mine, far))
        self.exact = all(jack.cost.low == jack.cost.high for cord in cords for jack in cord)
        self._kept: dict[str, dict[str, Span]] = {}
        self.away = self._distances("")

    def roles(self) -> Iterator[tuple[str, Roles]]:
        """Yield the roles that each port may have."""
        rooted = {place: may for name in self.speakers for place, may in self._root_port(name)}
        for one, other in self.cords:
            order = self._designated(one, other)
            for mine, far, wins in ((one, other, -1), (other, one, 1)):
                may: set[Role] = set()
                if True in rooted.get(mine.place, (False,)):
                    may.add(Role.ROOT)
                if False in rooted.get(mine.place, (False,)):
                    far_root = rooted.get(far.place, (False,))
                    if True in far_root or wins in order:
                        may.add(Role.DESIGNATED)
                    if -wins in order and False in far_root:
                        may.add(Role.BLOCKED)
                yield mine.place, frozenset(may)

    def _root_port(self, name: str) -> Iterator[tuple[str, tuple[bool, ...]]]:
        """Yield for each port of a bridge whether it may, and may not, be the root port (17.3.1, 17.6)."""
        if name == self.root:
            return
        without = self.away if self.exact else self._distances(name)  # a way back through itself is never the best
        heard = [(mine, far) for mine, far in self.heard[name] if without[far.bridge].low < _FAR]
        for mine, far in heard:
            orders = [self._better(without, (mine, far), other) for other in heard if other[0].place != mine.place]
            may = all(-1 in order for order in orders)
            must = all(order == _BETTER for order in orders)
            yield mine.place, (True,) if must else (False, True) if may else (False,)

    def _better(self, away: Mapping[str, Span], one: tuple[Jack, Jack], other: tuple[Jack, Jack]) -> _Order:
        (mine, far), (own, beyond) = one, other
        if far.bridge == beyond.bridge:
            return _ordered((_spans(mine.cost, own.cost), _ports(far, beyond), _ports(mine, own)))
        near, distant = away[far.bridge], away[beyond.bridge]
        costs = _spans(_sum(near, mine.cost), _sum(distant, own.cost))
        return _ordered((costs, _bridges(self.speakers, far.bridge, beyond.bridge)))

    def _designated(self, one: Jack, other: Jack) -> _Order:
        """Return how the vector that one end sends may stand to the other's, while neither is a root port (17.6)."""
        if one.bridge == other.bridge:
            return _ports(one, other)
        away = _spans(self.away[one.bridge], self.away[other.bridge])
        order = _ordered((away, _bridges(self.speakers, one.bridge, other.bridge)))
        for near, far, wins in ((one, other, -1), (other, one, 1)) if len(order) > 1 else ():
            if near.bridge == self.root or self._distances(near.bridge)[far.bridge].low >= _FAR:
                return frozenset({wins})  # every way of the other's to the root leads through this one
        return order

    def _distances(self, without: str) -> dict[str, Span]:
        """Return the root path costs of all bridges by ways that do not lead through one of them."""
        if without not in self._kept:
            low = self._shortest(without, 0)
            high = low if self.exact else self._shortest(without, 1)
            self._kept[without] = {name: Span(low[name], high[name]) for name in self.speakers}
        return self._kept[without]

    def _shortest(self, without: str, end: int) -> dict[str, int]:
        found = dict.fromkeys(self.speakers, _FAR)
        if without == self.root:
            return found
        found[self.root] = 0
        queue = [(0, self.root)]
        while queue:
            cost, name = heapq.heappop(queue)
            if cost > found[name]:
                continue
            for far, step in self.steps[name]:
                if far != without and cost + step[end] < found[far]:
                    found[far] = cost + step[end]
                    heapq.heappush(queue, (found[far], far))
        return found


# ---- vectors -----------------------------------------------------------------------------------------------------


def _ordered(parts: Iterable[_Order]) -> _Order:
    """Return how vectors may stand to each other whose parts, the first before the second, may stand so."""
    found: set[int] = set()
    for part in parts:
        found |= part - _SAME
        if 0 not in part:
            return frozenset(found)
    return frozenset(found | {0})


def _spans(one: Span, other: Span) -> _Order:
    found = set()
    if one.low < other.high:
        found.add(-1)
    if one.high > other.low:
        found.add(1)
    if one.low <= other.high and other.low <= one.high:
        found.add(0)
    return frozenset(found)


def _sum(one: Span, other: Span) -> Span:
    return Span(one.low + other.low, one.high + other.high)


def _bridges(speakers: Mapping[str, Speaker], one: str, other: str) -> _Order:
    """Return how the identifiers of two bridges may stand to each other (9.2.5)."""
    if one == other:
        return _SAME
    mine, theirs = speakers[one], speakers[other]
    known = mine.address and theirs.address and mine.address != theirs.address
    address = _EITHER if not known else frozenset({-1 if mine.address < theirs.address else 1})
    return _ordered((_spans(mine.priority, theirs.priority), address))


def _ports(one: Jack, other: Jack) -> _Order:
    """Return how the identifiers of two ports of one bridge may stand to each other (9.2.7)."""
    if one.place == other.place:
        return _SAME
    known = one.number is not None and other.number is not None and one.number != other.number
    number = _EITHER if not known else frozenset({-1 if (one.number or 0) < (other.number or 0) else 1})
    return _ordered((_spans(one.priority, other.priority), number))


# ---- the shape of the cords --------------------------------------------------------------------------------------


def connected(speakers: Iterable[str], cords: Sequence[Cord]) -> list[set[str]]:
    """Return the bridges that hang together; each part has a root of its own."""
    import networkx as nx

    graph: nx.Graph[str] = nx.Graph()
    graph.add_nodes_from(speakers)
    graph.add_edges_from((one.bridge, other.bridge) for one, other in cords)
    return list(nx.connected_components(graph))


def _on_rings(cords: Sequence[Cord]) -> list[str]:
    """Return the ports of all cords that lie on a ring."""
    import networkx as nx

    graph: nx.MultiGraph[str] = nx.MultiGraph()
    graph.add_edges_from((one.bridge, other.bridge, number) for number, (one, other) in enumerate(cords))
    alone = {frozenset(pair) for pair in nx.bridges(graph)}
    return [jack.place for cord in cords if frozenset(one.bridge for one in cord) not in alone for jack in cord]
