"""A box and a VLAN in, its ports that lead toward the VLAN's gateway out."""

from __future__ import annotations

from collections.abc import Iterator

import networkx as nx

from vlancheck.findings.case import Case
from vlancheck.findings.handoffs import own_interfaces
from vlancheck.findings.routed import RoutedLink, routed_links, tagged, takes_untagged
from vlancheck.places import split_place


def gateway_ports(case: Case, device: str, vid: int) -> tuple[str, ...] | None:
    """Return the ports (DEVICE:PORT) of a box behind which a VLAN's gateway is; None where the box is one itself.

    () says that no gateway of the VLAN is known.  On a ring there are several.
    """
    holders = {split_place(place)[0] for place, relay, _, _ in own_interfaces(case) if relay == vid}
    if device in holders:
        return None
    facing = [link.facing.place for link in routed_links(case) if _takes(link, vid)]
    here = tuple(place for place in facing if split_place(place)[0] == device)
    holders |= {split_place(place)[0] for place in facing}
    if here or not holders:
        return here
    graph: nx.Graph[str] = nx.Graph()
    first: list[tuple[str, str]] = []
    for near, far in _carrying(case, vid):
        if split_place(near)[0] == device:
            first.append((near, split_place(far)[0]))
        elif split_place(far)[0] != device:
            graph.add_edge(split_place(near)[0], split_place(far)[0])
    graph.add_nodes_from(name for _, name in first)
    return tuple(near for near, name in first if holders & nx.node_connected_component(graph, name))


def carries(case: Case, place: str, vid: int) -> bool:
    """Tell whether a VLAN may leave by a port."""
    device, port = split_place(place)
    box = case.network.devices[device]
    return any(one.port == port and one.member.possible >> vid & 1 for one in box.bridge_ports.values())


def _carrying(case: Case, vid: int) -> Iterator[tuple[str, str]]:
    """Yield the links between boxes over which a VLAN may pass, from either end."""
    for link in case.links():
        if carries(case, link.one, vid) and carries(case, link.other, vid):
            yield link.one, link.other
            yield link.other, link.one


def _takes(link: RoutedLink, vid: int) -> bool:
    """Tell whether a router takes a VLAN at the port that faces it, tagged or not."""
    bare = link.facing.bare == vid and any(takes_untagged(end) for end in link.ends)
    return bare or (
        any(tagged(end) >> vid & 1 for end in link.ends if end.select) and bool(link.facing.may_tag >> vid & 1)
    )
