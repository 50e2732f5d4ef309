"""Links and a VLAN in, whether other links lead round from one end of a link to the other."""

from __future__ import annotations

from collections.abc import Callable, Iterable

import networkx as nx

from vlancheck.findings.case import Case
from vlancheck.findings.ends import PlainEnd, plain_ends
from vlancheck.places import split_place
from vlancheck.vids import WIRE
from vlancheck.wiring.network import Link

Ends = tuple[PlainEnd, PlainEnd]
Carries = Callable[[Ends, int], bool]  # whether a link, by its ends, carries a VLAN


def joined(case: Case) -> dict[Link, Ends]:
    """Return the links between bridges whose ends are plain."""
    return {link: ends for link in case.links() if (ends := plain_ends(case, link)) is not None}


def carried(ends: Ends) -> int:
    """Return the VIDs that surely cross a link, if spanning tree lets them."""
    found = ~0
    for end in ends:
        found &= end.port.member.sure & end.bridge.exists.sure & end.bridge.active.sure
    return found & WIRE


def leads_round(others: Iterable[Ends], ends: Ends, vid: int, carries: Carries) -> bool:
    """Tell whether other links that carry `vid` lead from one end's bridge to the other's."""
    graph: nx.Graph[tuple[str, str]] = nx.Graph()
    for pair in others:
        if pair is not ends and carries(pair, vid):
            graph.add_edge(*(_node(end) for end in pair))
    start, goal = (_node(end) for end in ends)
    return start != goal and start in graph and goal in graph and nx.has_path(graph, start, goal)


def _node(end: PlainEnd) -> tuple[str, str]:
    return split_place(end.place)[0], end.bridge.name
