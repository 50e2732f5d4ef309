"""Cords and rows in, strands with their sides out: what goes into which side of a panel port, and which rows clash."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from vlancheck.dot1q.model import DeviceKind
from vlancheck.evidence import Origins, join
from vlancheck.site.clashes import Clashes
from vlancheck.site.ends import End, EndSort, Side
from vlancheck.site.mislabelled import Labelled, mislabelled
from vlancheck.site.sheet import Clash, Contradiction, LooseRow, Sheet, SheetCord
from vlancheck.site.strands import SIDED, Names, Node, Strand, panel_key

_PERMANENT = re.compile(r"\b(?:permanent|fixed|installed|horizontal|backbone|tie|riser|trunk cable)\b", re.IGNORECASE)
_NETWORK = (DeviceKind.BRIDGE, DeviceKind.ROUTER, DeviceKind.FIREWALL, None)


@dataclass(slots=True)
class Strung:
    """Strands with their sides settled, and what is wrong with them."""

    strands: list[Strand]  # each cord once, in the order stated
    broken: set[Node]  # sockets that more than one cord goes into
    contradictions: list[Contradiction]  # rows that cannot all be right
    jack_of: dict[str, str]  # panel port -> outlet on its jack side
    doubted: dict[tuple[EndSort, str], Origins]  # port, panel port or jack -> the rows that put its cord in doubt


class Stringer:
    """Collects cords and rows and strings them."""

    def __init__(self, names: Names, port: Callable[[End], str | None]) -> None:
        """Take names and a function that returns the `DEVICE:PORT` of a device's end, or None for one that is none."""
        self.names, self.port = names, port
        self.spelled: dict[str, str] = {}
        self.nodes: dict[End, Node | None] = {}
        self.jack_rows: dict[str, dict[str, Origins]] = {}
        self.panel_of: dict[str, str] = {}
        self.free: list[tuple[Node, Origins]] = []
        self.strands: list[Strand] = []

    def panel_name(self, end: End) -> str:
        """Return the name of a panel port as first spelled; leading zeros and case do not tell two apart."""
        return self.spelled.setdefault(panel_key(end.name), end.name)

    def learn_jacks(self, sheet: Sheet) -> None:
        """Note which outlets the panel ports of a sheet are wired to, so that their names can be used."""
        for row in sheet.rows:
            self._jack_of_row(row)

    def add_rows(self, sheet: Sheet) -> None:
        """Take the cords of a sheet, and the ports that it calls free."""
        for cord in sheet.cords:
            if _is_wiring(self.names.classed(cord.one), self.names.classed(cord.other)):
                continue
            one, other = self.node(cord.one), self.node(cord.other)
            if one is None or other is None:
                continue
            if _PERMANENT.search(cord.kind):
                one, other = _behind(one), _behind(other)
            self.strands.append(Strand(one, other, cord.label, cord.origins, (cord,)))
        for row in sheet.loose:
            if row.free and (node := self.node(row.end)) is not None:
                self.free.append((node, row.origins))

    def node(self, end: End) -> Node | None:
        """Return the socket of an end; None for a port that its device has not."""
        if end not in self.nodes:
            self.nodes[end] = self._node(self.names.classed(end))
        return self.nodes[end]

    def _node(self, classed: End) -> Node | None:
        match classed.sort:
            case EndSort.PORT:
                place = self.port(classed)
                return Node(EndSort.PORT, place) if place is not None else None
            case EndSort.PANEL:
                return Node(EndSort.PANEL, self.panel_name(classed), classed.side)
            case EndSort.JACK:
                panel = self.panel_of.get(classed.name.casefold())
                return Node(EndSort.PANEL, panel, Side.JACK) if panel else Node(EndSort.JACK, classed.name)
            case EndSort.THING | EndSort.UNSAID:
                return Node(EndSort.THING, classed.name)

    def strung(self) -> Strung:
        """Return the strands with sides settled and every contradiction found."""
        strands, clashes = _merged(self.strands)
        strands = _with_sides(strands, self._class)
        used: dict[Node, list[Strand]] = {}
        for strand in strands:
            for node in strand.nodes:
                if node.sort is not EndSort.THING:
                    used.setdefault(node, []).append(strand)
        broken = {node for node, several in used.items() if len(several) > 1}
        found = Clashes(strands)
        found.made += clashes
        found.ports(used)
        found.labels()
        found.free(used, self.free)
        found.jacks(self.jack_rows)
        jack_of = {panel: jack for jack, rows in self.jack_rows.items() for panel in rows}
        found.made += mislabelled(list(self._labelled()), jack_of)
        return Strung(strands, broken, found.made, jack_of, found.doubted)

    def _labelled(self) -> Iterator[Labelled]:
        """Yield every row that has become a cord, with its ends as they are first spelled."""
        for strand in self.strands:
            places = tuple(node.name for node in strand.nodes if node.sort is EndSort.PORT)
            for cord in strand.cords:
                yield cord, [self.names.classed(end) for end in cord.ends], places

    def _jack_of_row(self, row: SheetCord | LooseRow) -> None:
        """Note which panel port an outlet is wired to: it is the port's jack side."""
        classed = [self.names.classed(end) for end in row.ends]
        panels = [end for end in classed if end.sort is EndSort.PANEL]
        jacks = [end.name for end in classed if end.sort is EndSort.JACK]
        jack = row.jack or (jacks[0] if jacks else "")
        if jack and len(panels) == 1:
            panel = self.panel_name(panels[0])
            rows = self.jack_rows.setdefault(jack, {})
            rows[panel] = join(rows.get(panel, ()), row.origins)
            self.panel_of.setdefault(jack.casefold(), panel)

    def _class(self, node: Node) -> int:
        """Return what sort of thing a socket belongs to: 0 network, 1 other devices, 2 panels, 3 jacks and things."""
        if node.sort is EndSort.PORT:
            kind = self.names.devices.get(node.name.partition(":")[0])
            return 0 if kind in _NETWORK else 1
        return 2 if node.sort is EndSort.PANEL else 3


def _is_wiring(one: End, other: End) -> bool:
    """Tell whether a row only says which outlet a panel port is wired to."""
    return {one.sort, other.sort} == {EndSort.PANEL, EndSort.JACK}


def _behind(node: Node) -> Node:
    return node._replace(side=Side.JACK) if node.sort is EndSort.PANEL and node.side is Side.UNSAID else node


def _merged(strands: Iterable[Strand]) -> tuple[list[Strand], list[Contradiction]]:
    """Return each cord once: two rows with the same ends are the same cord; two labels of it are a contradiction."""
    made: dict[object, Strand] = {}
    clashes: list[Contradiction] = []
    for number, strand in enumerate(strands):
        key: object = frozenset(node.whole for node in strand.nodes)
        first = made.get(key)
        if first is None or not _compatible(first, strand):
            made[key if first is None else number] = strand
            continue
        if first.label and strand.label and first.label.casefold() != strand.label.casefold():
            what = f"{first.one.name} to {first.other.name}"
            message = f"the cord from {what} is labelled {first.label} in one row and {strand.label} in another"
            clashes.append(Contradiction(Clash.TWO_LABELS, what, message, (first.origins, strand.origins)))
        made[key] = replace(
            first,
            one=_more_said(first.one, strand),
            other=_more_said(first.other, strand),
            label=first.label or strand.label,
            origins=join(first.origins, strand.origins),
            cords=(*first.cords, *strand.cords),
            at=first.at or strand.at,
        )
    return list(made.values()), clashes


def _compatible(first: Strand, strand: Strand) -> bool:
    """Tell whether no socket is said to be on one side in one row and on the other in the other."""
    for node in first.nodes:
        twin = _twin(node, strand)
        if Side.UNSAID not in (node.side, twin.side) and node.side is not twin.side:
            return False
    return True


def _twin(node: Node, strand: Strand) -> Node:
    return next(other for other in strand.nodes if other.whole == node.whole)


def _more_said(node: Node, strand: Strand) -> Node:
    return _twin(node, strand) if node.side is Side.UNSAID else node


def _with_sides(strands: Sequence[Strand], sort: Callable[[Node], int]) -> list[Strand]:
    """Return the strands with the side of every panel port and jack settled.

    Two rows of a panel port that say no side are its two sides when they lead to different sorts of things (network
    devices, other devices, panels, jacks); else both are on the switch side, where a port takes one cord.
    """
    at: dict[tuple[EndSort, str], list[tuple[int, int]]] = {}
    for number, strand in enumerate(strands):
        for place, node in enumerate(strand.nodes):
            if node.sort in SIDED:
                at.setdefault(node.whole, []).append((number, place))
    nodes = [list(strand.nodes) for strand in strands]
    for ends in at.values():
        unsaid = [end for end in ends if nodes[end[0]][end[1]].side is Side.UNSAID]
        said = {nodes[number][place].side for number, place in ends} - {Side.UNSAID}
        ranks = [sort(strands[number].nodes[1 - place]) for number, place in unsaid]
        if len(unsaid) == 1 and len(said) == 1:
            sides = [Side.JACK if Side.SWITCH in said else Side.SWITCH]
        elif len(unsaid) == 1 and not said:
            sides = [Side.JACK if ranks[0] == 3 else Side.SWITCH]
        elif len(unsaid) == 2 and not said and ranks[0] != ranks[1]:
            sides = [Side.SWITCH if rank == min(ranks) else Side.JACK for rank in ranks]
        else:
            sides = [Side.SWITCH] * len(unsaid)
        for (number, place), side in zip(unsaid, sides, strict=True):
            nodes[number][place] = nodes[number][place]._replace(side=side)
    return [replace(strand, one=one, other=other) for strand, (one, other) in zip(strands, nodes, strict=True)]
