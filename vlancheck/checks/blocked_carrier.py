"""Spanning tree blocks the only link that carries a needed VLAN.

What it finds
    A port that spanning tree blocks, as a capture shows or as priorities and costs make it, on a link that carries a
    VLAN to a part of the wiring to which no open link carries it. The other links of the ring lack the VLAN.

Why it matters
    One tree for several VLANs does not look at lists: it opens the ring where costs say, and a VLAN that only the
    blocked link carries is cut there.

Example
    bridge sw1 exists=10,20 tree=one-tree priority=4096
    port sw1:1 pvid=10 member=10 untagged=10
    port sw1:2 member=10,20 cost=20000
    port sw1:3 member=20 cost=20000
    bridge sw2 exists=10,20 tree=one-tree priority=8192
    port sw2:1 member=10,20 cost=20000
    port sw2:3 member=10,20 cost=20000
    bridge sw3 exists=10,20 tree=one-tree priority=32768
    port sw3:1 member=20 cost=20000
    port sw3:2 member=10,20 cost=20000
    port sw3:9 pvid=10 member=10 untagged=10
    link sw1:2 sw2:1
    link sw1:3 sw3:1
    link sw2:3 sw3:2
    vlan 10 -> sw1:1 untagged, sw3:9 untagged
    => K102 sw2:3 sw3:2

Instead
    bridge sw1 exists=10,20 tree=one-tree priority=4096
    port sw1:1 pvid=10 member=10 untagged=10
    port sw1:2 member=10,20 cost=20000
    port sw1:3 member=10,20 cost=20000
    bridge sw2 exists=10,20 tree=one-tree priority=8192
    port sw2:1 member=10,20 cost=20000
    port sw2:3 member=10,20 cost=20000
    bridge sw3 exists=10,20 tree=one-tree priority=32768
    port sw3:1 member=10,20 cost=20000
    port sw3:2 member=10,20 cost=20000
    port sw3:9 pvid=10 member=10 untagged=10
    link sw1:2 sw2:1
    link sw1:3 sw3:1
    link sw2:3 sw3:2
    vlan 10 -> sw1:1 untagged, sw3:9 untagged
    => clean

When it is intended
    Never, for a VLAN that is needed on both sides.

Reference
    IEEE Std 802.1Q-2022, 8.4 and 8.6.1 (a port that does not forward carries nothing of its tree's VLANs), and 13.1
    (VLANs of one instance follow one tree), from memory. ProCurve 6400cl manual, p. 218 (one tree decides for all
    VLANs of its instance, whatever a link carries).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from vlancheck.findings.case import Case
from vlancheck.findings.ends import PlainEnd, kept_out_of_root
from vlancheck.findings.finding import Finding, Severity, Where, evidence
from vlancheck.findings.rings import Ends, carried, joined, leads_round
from vlancheck.vids import first, members, of, text
from vlancheck.wiring.network import Link

CODE = "K102"
NAME = "Spanning tree blocks the only link that carries a VLAN"


def find(case: Case) -> Iterator[Finding]:
    """Yield one finding for every link with a blocked end that alone carries needed VLANs."""
    links = joined(case)
    for link, ends in links.items():
        needed = carried(ends) & case.needed_across(link) & ~_other_rule(ends)
        stopped = of(
            vid
            for vid in members(needed & (_blocked(ends[0]) | _blocked(ends[1])))
            if not leads_round(links.values(), ends, vid, _may_carry)
        )
        if stopped:
            yield _finding(case, links, ends, stopped)


def _blocked(end: PlainEnd) -> int:
    return ~end.port.forwarding.possible


def _other_rule(ends: Ends) -> int:
    """Return the untagged VLANs of ends that differ in them, which per-VLAN spanning tree blocks for that, and what a
    root guard keeps out: other checks tell of these."""
    one, other = ends
    guarded = kept_out_of_root(one.port) | kept_out_of_root(other.port)
    return guarded if one.pvid == other.pvid else guarded | of(vid for vid in (one.pvid, other.pvid) if vid is not None)


def _may_carry(ends: Ends, vid: int) -> bool:
    return all(
        (end.port.member.possible & end.bridge.exists.possible & end.port.forwarding.possible) >> vid & 1
        for end in ends
    )


def _finding(case: Case, links: Mapping[Link, Ends], ends: Ends, vids: int) -> Finding:
    vid = first(vids)
    blocked = next(end for end in ends if _blocked(end) >> vid & 1)
    other = ends[1] if blocked is ends[0] else ends[0]
    where: list[Where] = [*evidence(blocked.place, blocked.port.forwarding.why(vid)[1], "blocks")]
    for pair in links.values():
        lacking = next((end for end in pair if not end.port.member.possible >> vid & 1), None)
        if lacking is not None and leads_round(links.values(), pair, vid, _lists):
            where += evidence(lacking.place, lacking.why_member(vid), f"lacks VLAN {text(vids)}", primary=True)
    if not any(one.primary for one in where):
        where = [*evidence(blocked.place, blocked.port.forwarding.why(vid)[1], "blocks", primary=True)]
    return Finding(
        code=CODE,
        name=NAME,
        severity=Severity.WARNING,
        headline=f"spanning tree blocks {blocked.place} to {other.place}, and no open link carries VLAN {text(vids)} "
        f"to the other side",
        why="the tree does not look at the VLANs that a link carries: what only the blocked link carries is cut",
        where=tuple(where),
        vids=vids,
        at=frozenset({blocked.place, other.place}),
    )


def _lists(ends: Ends, vid: int) -> bool:
    return bool(carried(ends) >> vid & 1)
