"""A survey in; every exchange of two cords and every row of cords that is off by one, with what each would do, out."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import TypeVar

from vlancheck.changes.side import Side
from vlancheck.moves.compared import Compared, kind_of
from vlancheck.moves.exchange import Exchange
from vlancheck.moves.harm import Effect, Effects, Harm, Leaf
from vlancheck.moves.tangled import Tangle, Tangles
from vlancheck.places import split_place
from vlancheck.site.boxes import Boxes, Occupancy

_LAST = re.compile(r"\d+$")

_T = TypeVar("_T")


@dataclass(frozen=True, slots=True)
class Slip:
    """A row of cords that is off by one."""

    along: str  # device or panel along which it is
    first: str  # place of the first cord
    last: str  # place of the last cord
    by: int  # 1 or -1
    cords: int  # how many
    harm: Harm  # the worst of them
    words: str  # of the worst one


@dataclass(frozen=True, slots=True)
class Risk:
    """One cord, and what a mistake with it would do."""

    leaf: Leaf
    next_door: Harm  # the worst when it is exchanged with a cord beside it, at the switch or the panel
    words: str  # what becomes of it then
    lost: bool = False  # something that is needed does not get there then
    counts: Mapping[Harm, int] = field(default_factory=dict)  # over all exchanges with another cord

    @property
    def first(self) -> bool:
        """Tell whether its jack is to be tested before others: next door it leaks, or fails and nobody notices."""
        return self.next_door >= Harm.CARRIER or (self.next_door is Harm.SILENT and self.lost)

    @property
    def rank(self) -> tuple[int, ...]:
        """Return what the order of tests goes by, the most dangerous first: next door, then over all exchanges."""
        return (-self.next_door, not self.lost, *(-self.counts.get(harm, 0) for harm in sorted(Harm, reverse=True)))


@dataclass(frozen=True, slots=True)
class Mistakes:
    """What a crew could do wrong with the cords of a survey."""

    risks: tuple[Risk, ...]  # a cord each, the most dangerous first
    swaps: Mapping[Harm, int]  # how many exchanges of two cords do what
    slips: tuple[Slip, ...]  # rows off by one, the worst first
    tangles: tuple[Tangle, ...] = ()  # exchanges of a cord between boxes with another one, the worst first
    left: int = 0  # how many of these were not tried: ends at two different boxes, where there are too many

    @property
    def open(self) -> bool:
        """Tell whether of some exchange it is not known what it does."""
        return bool(self.swaps.get(Harm.UNKNOWN))


def mistakes(side: Side, boxes: Boxes) -> Mistakes:
    """Return what every exchange of two cords would do, and every row of cords that is off by one.

    Cords that lead from a switch to no other box, and the carrier's, are exchanged all with all; a cord between boxes
    with each other one, in a large site at the same box alone.
    """
    compared = Compared(side, boxes)
    leaves = tuple(_leaves(side, compared))
    exchange = _exchange(side, compared, leaves)
    effects = Effects(exchange, compared, side)
    beside = _beside(leaves)
    swaps: Counter[Harm] = Counter()
    each = {leaf.place: Counter[Harm]() for leaf in leaves}
    cells = _cells(leaves, exchange, compared)
    for mine, others in _pairs(cells):
        harm = _swapped(effects, mine[0], others[-1]).harm
        pairs = len(mine) * (len(mine) - 1) // 2 if mine is others else len(mine) * len(others)
        swaps[harm] += pairs
        for leaf in mine:
            each[leaf.place][harm] += len(others) - (mine is others)
        for leaf in others if mine is not others else ():
            each[leaf.place][harm] += len(mine)
    risks = []
    for leaf in leaves:
        worst, said = Harm.NONE, ""
        lost = False
        for other in beside[leaf.place]:
            found = effects.moved(leaf, other.place)
            theirs = effects.moved(other, leaf.place)
            both = max(found.harm, theirs.harm)
            if (both, found.lost or theirs.lost) > (worst, lost):
                told, whose = (found, leaf) if found.harm == both else (theirs, other)
                worst, lost = both, found.lost or theirs.lost
                said = f"exchanged with {other.name}; {whose.serves or whose.name}: {told.words(whose)}"
        risks.append(Risk(leaf, worst, said, lost, each[leaf.place]))
    order = {leaf.place: number for number, leaf in enumerate(leaves)}
    risks.sort(key=lambda risk: (risk.rank, order[risk.leaf.place]))
    jacks = {place for place in compared.jacks() if place in side.anchors}
    spots = {leaf.place for leaf in leaves}
    slips = sorted(_slips(leaves, effects, jacks, spots, boxes), key=lambda slip: (-slip.harm, slip.along, -slip.cords))
    between, left = Tangles(side, cells).all()
    tangles = sorted(between, key=lambda one: (-one.harm, one.port, one.other))
    for tangle in tangles:
        swaps[tangle.harm] += tangle.pairs
    return Mistakes(tuple(risks), swaps, tuple(slips), tuple(tangles), left)


def _exchange(side: Side, compared: Compared, leaves: Sequence[Leaf]) -> Exchange:
    """Return what every port sends and hears of the frames that any of the cords needs."""
    ground = side.ground
    most = 0
    for leaf in leaves:
        most |= leaf.needs
    jacks = set(compared.jacks())

    def wants(place: str) -> int:
        return side.needed.get(place, 0) if side.counts(side.anchors[place]) else 0

    return Exchange(
        ground.network,
        ground.carried.carriage,
        {place: wants(place) for place in jacks if place in side.anchors},
        lambda place: most if place in jacks else side.needed.get(place, 0),
        {*ground.held, *ground.network.handoffs},
        wants=wants,
    )


def _leaves(side: Side, compared: Compared) -> Iterator[Leaf]:
    network, chain = side.ground.network, compared.chain
    for place in compared.jacks():
        handoff = place in network.handoffs
        if place not in network.boundary or (place in network.peer and not handoff):
            continue
        if side.ground.occupancy(place).state is not Occupancy.OCCUPIED or place not in chain:
            continue
        endpoint = compared.boxes.endpoints.get(place)
        one = chain[place]
        yield Leaf(
            place,
            one.outermost(place) or place,
            one.labels[0] if one.labels else "",
            endpoint.text if endpoint else "carrier" if handoff else "",
            frozenset(endpoint.kinds) if endpoint else frozenset(),
            side.needed.get(place, 0),
            side.ground.held.get(place, ""),
        )


def _cells(leaves: Sequence[Leaf], exchange: Exchange, compared: Compared) -> list[list[Leaf]]:
    """Return the cords by cells: of two cords of a cell the same becomes, wherever they go."""
    found: dict[object, list[Leaf]] = {}
    for leaf in leaves:
        key = exchange.speaker(leaf.place), compared.number(leaf.place), leaf.kinds, leaf.needs, leaf.held
        found.setdefault(key, []).append(leaf)
    return list(found.values())


def _pairs(cells: Sequence[list[Leaf]]) -> Iterator[tuple[list[Leaf], list[Leaf]]]:
    for number, mine in enumerate(cells):
        if len(mine) > 1:
            yield mine, mine
        for others in cells[number + 1 :]:
            yield mine, others


def _swapped(effects: Effects, one: Leaf, other: Leaf) -> Effect:
    """Return the worse of what becomes of two cords that are exchanged."""
    return max(effects.moved(one, other.place), effects.moved(other, one.place), key=lambda effect: effect.harm)


def _place(leaf: Leaf) -> str:
    return leaf.place


def _name(leaf: Leaf) -> str:
    return leaf.name


def _beside(leaves: Sequence[Leaf]) -> dict[str, list[Leaf]]:
    """Return for each cord those in the ports beside it, at the switch and at the panel."""
    found: dict[str, list[Leaf]] = {leaf.place: [] for leaf in leaves}
    for rows in (_rows(leaves, _place), _rows(leaves, _name)):
        for row in rows.values():
            for number, leaf in row.items():
                for step in (-1, 1):
                    if (other := row.get(number + step)) is not None and other is not leaf:
                        found[leaf.place].append(other)
    return found


def _rows(items: Iterable[_T], place: Callable[[_T], str]) -> dict[tuple[str, str], dict[int, _T]]:
    """Return what stands in sockets by rows of these, and in each by number."""
    found: dict[tuple[str, str], dict[int, _T]] = {}
    for item in items:
        device, port = split_place(place(item))
        if (number := _LAST.search(port)) is not None:
            found.setdefault((device, kind_of(port)), {})[int(number[0])] = item
    return found


def _slips(leaves: Sequence[Leaf], effects: Effects, jacks: set[str], used: set[str], boxes: Boxes) -> Iterator[Slip]:
    """Yield rows of cords that are off by one: from any cord on to the next free port, at switch or panel."""
    by_number = _rows(sorted(jacks), str)
    for (device, kind), row in _rows(leaves, _place).items():
        ports = by_number.get((device, kind), {})
        for step in (1, -1):
            yield from _along(device, row, step, effects, {n: p for n, p in ports.items() if n in row or p not in used})
    for (panel, _), row in _rows(leaves, _name).items():
        if panel in boxes.devices:
            continue
        for step in (1, -1):
            yield from _along(panel, row, step, effects, {number: leaf.place for number, leaf in row.items()})


def _along(
    along: str, row: Mapping[int, Leaf], step: int, effects: Effects, ports: Mapping[int, str]
) -> Iterator[Slip]:
    """Yield what comes of each run of cords of a row of which each is in the port of the next one."""
    for start in sorted(row, reverse=step < 0):
        run: list[tuple[Leaf, Effect]] = []
        number = start
        while number in row and number + step in ports:
            run.append((row[number], effects.moved(row[number], ports[number + step])))
            number += step
        if not run:
            continue
        leaf, worst = max(run, key=lambda one: one[1].harm)
        said = worst.words(leaf)
        words = f"{leaf.name} ({leaf.serves}): {said}" if said else ""
        yield Slip(along, run[0][0].name, run[-1][0].name, step, len(run), worst.harm, words)
