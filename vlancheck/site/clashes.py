"""Strands in, the rows out that cannot all be right, and the ports whose cords they put in doubt."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from vlancheck.evidence import Origins, join
from vlancheck.site.ends import EndSort, Side
from vlancheck.site.sheet import Clash, Contradiction
from vlancheck.site.strands import SIDED, Node, Strand

_ONE_CORD = "a port takes one cord"


class Clashes:
    """Finds the rows that cannot all be right, and the ports whose cords are in doubt by them."""

    def __init__(self, strands: Sequence[Strand]) -> None:
        self.strands = strands
        self.made: list[Contradiction] = []
        self.doubted: dict[tuple[EndSort, str], Origins] = {}
        self.group = _groups(strands)

    def ports(self, used: Mapping[Node, Sequence[Strand]]) -> None:
        """Find sockets that more than one cord goes into."""
        for node, several in used.items():
            if len(several) < 2:
                continue
            if all(strand.at is not None for strand in several):
                first, *_, last = (strand.at for strand in several if strand.at is not None)
                raise last.error(f"{node.name} has a link already, on line {first.line}", _ONE_CORD)
            ways = " and ".join(dict.fromkeys(_far(strand, node).name for strand in several))
            side = f" ({node.side})" if node.sort in SIDED else ""
            message = f"{node.name}{side} is used by {len(several)} cords, to {ways}"
            self._note(Clash.PORT_TWICE, node.name, message, [strand.origins for strand in several], [node])

    def labels(self) -> None:
        """Find labels that stand on more than one cord."""
        labelled: dict[str, list[Strand]] = {}
        for strand in self.strands:
            if strand.label:
                labelled.setdefault(strand.label.casefold(), []).append(strand)
        for several in labelled.values():
            if len(several) < 2:
                continue
            nodes = [node for strand in several for node in strand.nodes]
            ends = list(dict.fromkeys(node.name for node in nodes))
            sockets = [node for node in nodes if node.sort is not EndSort.THING]
            shared = len(set(sockets)) < len(sockets)
            clash = Clash.THREE_ENDS if shared else Clash.LABEL_TWICE
            what = f"the cord {several[0].label} has {len(ends)} ends" if shared else f"{len(several)} cords"
            what += ":" if shared else f" are labelled {several[0].label}:"
            message = f"{what} {', '.join(ends)}"
            self._note(clash, several[0].label, message, [strand.origins for strand in several], sockets)

    def free(self, used: Mapping[Node, Sequence[Strand]], free: Iterable[tuple[Node, Origins]]) -> None:
        """Find ports that one row calls free and another uses."""
        for node, origins in free:
            if node.sort in SIDED and node.side is Side.UNSAID:
                node = node._replace(side=Side.SWITCH)
            if node in used:
                strand = used[node][0]
                message = f"{node.name} has a cord to {_far(strand, node).name} in one row and is free in another"
                self._note(Clash.FREE_AND_USED, node.name, message, [strand.origins, origins], [node])

    def jacks(self, rows: Mapping[str, Mapping[str, Origins]]) -> None:
        """Find jacks behind two panel ports, and panel ports before two jacks."""
        before: dict[str, list[str]] = {}
        for jack, panels in rows.items():
            for panel in panels:
                before.setdefault(panel, []).append(jack)
            if len(panels) > 1:
                message = f"the jack {jack} is behind {' and '.join(panels)}"
                nodes = [Node(EndSort.PANEL, panel) for panel in panels]
                self._note(Clash.JACK_TWICE, jack, message, list(panels.values()), nodes)
        for panel, jacks in before.items():
            if len(jacks) > 1:
                message = f"{panel} leads to the jacks {' and '.join(jacks)}"
                origins = [rows[jack][panel] for jack in jacks]
                self._note(Clash.JACK_TWICE, panel, message, origins, [Node(EndSort.PANEL, panel)])

    def _note(self, clash: Clash, name: str, message: str, rows: list[Origins], nodes: Iterable[Node]) -> None:
        groups = {self.group[node.whole] for node in nodes if node.whole in self.group}
        touched = [whole for whole, group in self.group.items() if group in groups]
        places = sorted(name for sort, name in touched if sort is EndSort.PORT)
        self.made.append(Contradiction(clash, name, message, tuple(rows), tuple(places)))
        for whole in touched:
            self.doubted[whole] = join(self.doubted.get(whole, ()), *rows)


def _far(strand: Strand, node: Node) -> Node:
    return strand.other if strand.one == node else strand.one


def _groups(strands: Sequence[Strand]) -> dict[tuple[EndSort, str], int]:
    """Number the sockets so that those which hang together, through whatever cords and panels, have one number."""
    beside: dict[tuple[EndSort, str], list[tuple[EndSort, str]]] = {}
    for strand in strands:
        ends = [node.whole for node in strand.nodes if node.sort is not EndSort.THING]
        for end in ends:
            beside.setdefault(end, []).extend(ends)
    group: dict[tuple[EndSort, str], int] = {}
    for start in beside:
        waiting = [start] if start not in group else []
        while waiting:
            node = waiting.pop()
            if node not in group:
                group[node] = len(group) if node == start else group[start]
                waiting += beside[node]
    return group
