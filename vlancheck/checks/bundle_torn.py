"""The cords of one bundle lead to two devices, or to two bundles.

What it finds
    A bundle whose members' cords do not all lead to one bundle of one device. Bundles whose cords are crossed with
    each other are one finding.

Why it matters
    The bundle sends each conversation over one of its cords: what should go to one neighbour goes to the other, or
    is lost there. With LACP the members that see another partner stay out of the bundle.

Example
    bridge sw1 exists=10 tree=per-vlan
    port sw1:po1 member=10
    port sw1:1 bundle=po1 bundle-mode=active
    port sw1:2 bundle=po1 bundle-mode=active
    bridge sw2 exists=10 tree=per-vlan
    port sw2:po1 member=10
    port sw2:1 bundle=po1 bundle-mode=active
    bridge sw3 exists=10 tree=per-vlan
    port sw3:po1 member=10
    port sw3:1 bundle=po1 bundle-mode=active
    link sw1:1 sw2:1
    link sw1:2 sw3:1
    => B102 sw1:1 sw1:2 sw1:po1

Instead
    bridge sw1 exists=10 tree=per-vlan
    port sw1:po1 member=10
    port sw1:1 bundle=po1 bundle-mode=active
    port sw1:2 bundle=po1 bundle-mode=active
    bridge sw2 exists=10 tree=per-vlan
    port sw2:po1 member=10
    port sw2:1 bundle=po1 bundle-mode=active
    port sw2:2 bundle=po1 bundle-mode=active
    link sw1:1 sw2:1
    link sw1:2 sw2:2
    => clean

When it is intended
    When the two far devices act as one toward this bundle. Nothing here can tell that from a cord in the wrong
    port.

Reference
    IEEE Std 802.1AX (the links of one aggregation lead to one partner system with one key), from memory. Common
    practice after a move, no source: check that both cords of a bundle still land on the same device.
"""

from __future__ import annotations

from collections.abc import Iterator

import networkx as nx

from vlancheck.findings.bundled import Member, bundle_members, torn_bundles
from vlancheck.findings.case import Case
from vlancheck.findings.finding import Finding, Severity, Where, evidence

CODE = "B102"
NAME = "A bundle leads to two places"


def find(case: Case) -> Iterator[Finding]:
    """Yield one finding for all bundles that are torn and hang together."""
    members = [one for one in bundle_members(case) if one.far]
    torn = torn_bundles(members)
    graph: nx.Graph[str] = nx.Graph()
    graph.add_nodes_from(torn)
    graph.add_edges_from((one.bundle, one.far_bundle) for one in members if {one.bundle, one.far_bundle} <= torn)
    for together in nx.connected_components(graph):
        yield _finding(case, [one for one in members if one.bundle in together])


def _finding(case: Case, members: list[Member]) -> Finding:
    bundles = sorted({one.bundle for one in members})
    told = ", ".join(f"{one.place} to {one.far_bundle or one.far}" for one in members)
    where: list[Where] = []
    for one in members:
        where += evidence(one.place, case.named_at(one.place), f"leads to {one.far}", not where)
        where += evidence(one.far, case.named_at(one.far), f"in {one.far_bundle}" if one.far_bundle else "in no bundle")
    cords = {link.one: link for link in case.cords} | {link.other: link for link in case.cords}
    for one in members:
        where += evidence(one.place, cords[one.place].origins, "the cord")
    return Finding(
        code=CODE,
        name=NAME,
        severity=Severity.WARNING,
        headline=f"the members of {' and '.join(bundles)} lead to different places: {told}",
        why="each conversation uses one of the cords: what passes depends on which, and nothing here can tell",
        where=tuple(dict.fromkeys(where)),
        at=frozenset((*bundles, *(one.place for one in members))),
        settled_by="the bundle's state as the device prints it, or a sheet that shows where every member goes",
    )
