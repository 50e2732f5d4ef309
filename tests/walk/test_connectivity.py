"""On plain wirings, who hears whom is connectivity: networkx and scipy say the same of every (switch, VLAN)."""

from __future__ import annotations

from itertools import combinations

import networkx as nx
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import connected_components
from wiring.boxes import access, bridge_port, switch

from vlancheck.walk import carriage
from vlancheck.wiring import Network

VLANS = (10, 20, 30)
LISTS = st.sets(st.sampled_from(VLANS)).map(lambda vids: ",".join(map(str, sorted(vids))) or "none")


@st.composite
def plain(draw: st.DrawFn) -> tuple[Network, int, list[tuple[int, int, set[int]]]]:
    """Draw up to five switches, an access port of each VLAN on each, and trunks with lists of their own."""
    count = draw(st.integers(1, 5))
    ports = [[access(f"a{vid}", vid) for vid in VLANS] for _ in range(count)]
    links, joined = [], []
    for number, (one, other) in enumerate(combinations(range(count), 2)):
        if draw(st.booleans()):
            lists = draw(LISTS), draw(LISTS)
            for end, allowed in zip((one, other), lists, strict=True):
                ports[end].append(bridge_port(f"t{number}", member=allowed))
            links.append((f"S{one}:t{number}", f"S{other}:t{number}"))
            common = {vid for vid in VLANS if all(str(vid) in allowed.split(",") for allowed in lists)}
            joined.append((one, other, common))
    boxes = [switch(f"S{number}", *mine) for number, mine in enumerate(ports)]
    return Network(boxes, links), count, joined


@settings(max_examples=60, deadline=None)
@given(plain())
def test_hearing_is_connectivity(drawn: tuple[Network, int, list[tuple[int, int, set[int]]]]) -> None:
    """An access port hears another exactly when their (switch, VLAN) are in one component."""
    network, count, joined = drawn
    edges = [((one, vid), (other, vid)) for one, other, common in joined for vid in common]
    graph = nx.Graph(edges)
    graph.add_nodes_from((number, vid) for number in range(count) for vid in VLANS)
    nodes = {node: place for place, node in enumerate(sorted(graph))}
    rows, columns = [nodes[one] for one, _ in edges], [nodes[other] for _, other in edges]
    matrix = coo_matrix(([1] * len(rows), (rows, columns)), shape=(len(nodes), len(nodes)))
    _, labels = connected_components(matrix, directed=False)
    relation = carriage(network)

    for component in nx.connected_components(graph):
        assert len({labels[nodes[node]] for node in component}) == 1
        for number, vid in component:
            sender = f"S{number}:a{vid}"
            heard = {one.port for one in relation.deliveries(sender, "untagged")} - {sender}
            assert heard == {f"S{far}:a{same}" for far, same in component} - {sender}
