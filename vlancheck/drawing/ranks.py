"""The lines of a picture in, the column of every box out: the handoff's box first, every line from left to right.

Sugiyama, Tagawa and Toda, Methods for Visual Understanding of Hierarchical System Structures, IEEE Trans. SMC 11(2),
1981: a layered drawing is made by layers, order and coordinates, one after the other.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable

import networkx as nx

from vlancheck.drawing.picture import Picture, Sort

Edge = tuple[str, str]  # two boxes, the left one first
_BEHIND = 1000  # what leads through a panel comes after everything that does not


def ranks(picture: Picture) -> tuple[dict[str, int], dict[tuple[str, str], Edge]]:
    """Return the column of every box, and the boxes of every line from left to right; none of a line within a box."""
    at = {socket.key: box.key for box in picture.boxes for socket in box.sockets}
    ends = {line.key: (at[line.one], at[line.other]) for line in picture.lines}
    ends = {key: pair for key, pair in ends.items() if pair[0] != pair[1]}
    far = _distances(picture, ends.values())
    place = {box.key: (far[box.key], number) for number, box in enumerate(picture.boxes)}
    turned = {key: pair if place[pair[0]] < place[pair[1]] else (pair[1], pair[0]) for key, pair in ends.items()}
    order = sorted(place, key=place.__getitem__)
    return _columns(order, turned.values()), turned


def _distances(picture: Picture, pairs: Iterable[Edge]) -> dict[str, int]:
    """Return how far every box is from the handoff; a part without one starts at its box with the most neighbours."""
    graph: nx.Graph[str] = nx.Graph()
    graph.add_nodes_from(box.key for box in picture.boxes)
    graph.add_edges_from(sorted(pairs))
    panels = {box.key for box in picture.boxes if box.sort is Sort.PANEL}
    found: dict[str, int] = {}
    for part in nx.connected_components(graph):
        starts = [root for root in dict.fromkeys(picture.roots) if root in part]
        if not starts:
            starts = [min(part, key=lambda box: (box in panels, -graph.degree(box), box))]
        found |= nx.multi_source_dijkstra_path_length(
            graph, set(starts), weight=lambda _, to, __: _BEHIND if to in panels else 1
        )
    return found


def _columns(order: list[str], edges: Iterable[Edge]) -> dict[str, int]:
    """Return columns by which every line leads to the right, and all of them together are as short as can be.

    The optimum is a flow of the dual problem, in which the lines that carry some of it span one column: Gansner,
    Koutsofios, North and Vo, A Technique for Drawing Directed Graphs, IEEE Trans. Software Engineering 19(3), 1993,
    section 2.
    """
    lines = Counter(edges)
    flow: nx.DiGraph[str] = nx.DiGraph()
    flow.add_nodes_from(order, demand=0)
    for one, other in sorted(lines):
        flow.add_edge(one, other, weight=-1)
        flow.nodes[one]["demand"] -= lines[one, other]
        flow.nodes[other]["demand"] += lines[one, other]
    carried = nx.network_simplex(flow)[1] if order else {}
    column = dict.fromkeys(order, 0)
    moved = True
    while moved:
        moved = False
        for one, other in sorted(lines):
            if column[other] < column[one] + 1:
                column[other], moved = column[one] + 1, True
            if carried[one][other] and column[one] < column[other] - 1:
                column[one], moved = column[other] - 1, True
    return column
