"""One link of a ring carries a needed VLAN at neither end, while the other links of the ring carry it.

What it finds
    A link between two bridges that are joined another way as well, where neither end carries a VLAN that at least
    two bridges need, while the other way round carries it from the one to the other. It works today, over the other
    way.

Why it matters
    The ring was built so that one link may fail. When a link on the other way fails, this VLAN does not come back
    over the link that lacks it. Where one spanning tree decides for all VLANs, the tree may choose this link
    without any fault.

Example
    bridge sw1 exists=10 tree=per-vlan
    port sw1:1 member=10 pvid=10 untagged=10
    port sw1:12 member=10
    port sw1:13 member=10
    bridge sw2 exists=10 tree=per-vlan
    port sw2:1 member=10 pvid=10 untagged=10
    port sw2:12 member=10
    port sw2:23 member=none
    bridge sw3 exists=10 tree=per-vlan
    port sw3:13 member=10
    port sw3:23 member=none
    link sw1:12 sw2:12
    link sw1:13 sw3:13
    link sw2:23 sw3:23
    vlan 10 -> sw1:1 untagged, sw2:1 untagged
    => L104 sw2:23 sw3:23

Instead
    bridge sw1 exists=10 tree=per-vlan
    port sw1:1 member=10 pvid=10 untagged=10
    port sw1:12 member=10
    port sw1:13 member=10
    bridge sw2 exists=10 tree=per-vlan
    port sw2:1 member=10 pvid=10 untagged=10
    port sw2:12 member=10
    port sw2:23 member=10
    bridge sw3 exists=10 tree=per-vlan
    port sw3:13 member=10
    port sw3:23 member=10
    link sw1:12 sw2:12
    link sw1:13 sw3:13
    link sw2:23 sw3:23
    vlan 10 -> sw1:1 untagged, sw2:1 untagged
    => clean

When it is intended
    When the VLANs are shared out over parallel links on purpose and none is to have a backup.

Reference
    IEEE Std 802.1Q-2022, 8.6.4 (a VLAN leaves only at its member ports), from memory. ProCurve 6400cl manual, p.
    218 (one tree decides for all VLANs of its instance, whatever a link carries). That each VLAN is on every link
    of its ring is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator

import networkx as nx

from vlancheck.findings.case import Case
from vlancheck.findings.ends import PlainEnd, plain_ends
from vlancheck.findings.finding import Finding, Severity, evidence
from vlancheck.places import split_place
from vlancheck.vids import first, members, of, text

CODE = "L104"
NAME = "A backup path would lose a VLAN"


def find(case: Case) -> Iterator[Finding]:
    """Yield one finding for every link that alone, of all on its ring, lacks needed VLANs at both ends."""
    pairs = [ends for link in case.links() if (ends := plain_ends(case, link)) is not None]
    for link in case.links():
        ends = plain_ends(case, link)
        if ends is None:
            continue
        one, other = ends
        lacking = one.keeps & other.keeps & case.needed_across(link)
        lost = of(vid for vid in members(lacking) if _led_round(pairs, ends, vid))
        if lost:
            yield _finding(case, one, other, lost)


def _led_round(pairs: list[tuple[PlainEnd, PlainEnd]], ends: tuple[PlainEnd, PlainEnd], vid: int) -> bool:
    """Tell whether links that surely carry `vid` lead from one end's bridge to the other's."""
    graph: nx.Graph[str] = nx.Graph()
    for pair in pairs:
        if all((end.port.member.sure & end.bridge.exists.sure & _open(end)) >> vid & 1 for end in pair):
            graph.add_edge(*(split_place(end.place)[0] for end in pair))
    start, end = (split_place(one.place)[0] for one in ends)
    return start != end and start in graph and end in graph and nx.has_path(graph, start, end)


def _open(end: PlainEnd) -> int:
    """Return the VLANs that spanning tree may forward; one that it blocks there does not work over the other way."""
    return end.port.forwarding.possible


def _finding(case: Case, one: PlainEnd, other: PlainEnd, lost: int) -> Finding:
    where = (
        origin
        for number, end in enumerate((one, other))
        for origin in evidence(
            end.place,
            end.port.member.why(first(lost))[1] or case.named_at(end.place),
            f"lacks VLAN {text(lost)}",
            number == 0,
        )
    )
    return Finding(
        code=CODE,
        name=NAME,
        severity=Severity.WARNING,
        headline=f"{one.place} and {other.place} do not carry VLAN {text(lost)}, and every other link of the ring does",
        why="a backup path over this link would lose it: when another link of the ring fails, or the tree moves",
        where=tuple(where),
        vids=lost,
        at=frozenset({one.place, other.place}),
    )
