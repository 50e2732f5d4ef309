"""Cycles of states in a flood: a copy that comes round to the state it was in goes on for ever."""

from __future__ import annotations

from vlancheck.walk.flood import Flood, State


def cycles(flood: Flood) -> list[list[State]]:
    """Return one shortest cycle for each set of states that reach each other."""
    if not flood.again:
        return []
    import networkx as nx  # slow to load, and most walks meet no state twice

    graph = nx.DiGraph()
    graph.add_edges_from((state, to) for state, reached in flood.arcs.items() for to in reached)
    found = []
    for component in nx.strongly_connected_components(graph):
        start = min(component)
        if len(component) > 1 or graph.has_edge(start, start):
            inside = graph.subgraph(component)
            back = nx.single_source_shortest_path(inside, start)
            end = min((state for state in inside.predecessors(start)), key=lambda state: (len(back[state]), state))
            found.append(back[end])
    return found
