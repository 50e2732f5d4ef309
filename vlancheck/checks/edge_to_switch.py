"""An edge port leads to another switch, on a ring.

What it finds
    A port that spanning tree is told to take for an edge port, with a switch that speaks a spanning tree at the other
    end of its link, where a second way leads there and carries a VLAN of this link as well. A port with a BPDU guard is
    told by P102 instead, and so is a cord that was moved into an edge port.

Why it matters
    An edge port forwards as soon as its link is up, before the tree has seen the ring: at each start of the link, and
    after each loss of power, frames go round until a spanning-tree frame arrives.

Example
    bridge sw1 exists=10 tree=per-vlan
    port sw1:1 pvid=10 member=10 untagged=10
    port sw1:2 member=10
    port sw1:3 member=10
    set sw1:3 edge=yes
    bridge sw2 exists=10 tree=per-vlan
    port sw2:2 member=10
    port sw2:3 member=10
    link sw1:2 sw2:2
    link sw1:3 sw2:3
    => K104 sw1:3

Instead
    bridge sw1 exists=10 tree=per-vlan
    port sw1:1 pvid=10 member=10 untagged=10
    port sw1:2 member=10
    port sw1:3 member=10
    bridge sw2 exists=10 tree=per-vlan
    port sw2:2 member=10
    port sw2:3 member=10
    link sw1:2 sw2:2
    link sw1:3 sw2:3
    => clean

When it is intended
    Never on a ring. Toward a single host that is a bridge as well (a hypervisor), where no second way leads there, it
    is no finding.

Reference
    IEEE Std 802.1Q-2022, 13.27 (an edge port forwards at once, and is none any more when it hears a BPDU), from memory.
"""

from __future__ import annotations

from collections.abc import Iterator

from vlancheck.dot1q.properties import Property
from vlancheck.findings.case import Case
from vlancheck.findings.ends import PlainEnd
from vlancheck.findings.finding import Finding, Severity, evidence
from vlancheck.findings.moved import moved_cords
from vlancheck.findings.rings import Ends, carried, joined, leads_round
from vlancheck.findings.settings import is_on, lines, word
from vlancheck.vids import members, of, text

CODE = "K104"
NAME = "An edge port leads to a switch on a ring"
_SPOKEN = ("per-vlan", "one-tree", "mst")


def find(case: Case) -> Iterator[Finding]:
    """Yield one finding for every edge port on a ring of switches."""
    links = joined(case)
    moved = {one.after for one in moved_cords(case)}
    for ends in links.values():
        for mine, far in (ends, ends[::-1]):
            if not _edge(case, mine) or mine.place in moved or any(end.tree not in _SPOKEN for end in ends):
                continue
            if vids := of(vid for vid in members(carried(ends)) if leads_round(links.values(), ends, vid, _carries)):
                yield _finding(case, mine, far, vids)


def _edge(case: Case, end: PlainEnd) -> bool:
    """Tell whether a port is surely an edge port; one word with a condition, such as `unless it trunks`, is not."""
    port = case.network.port(end.place)
    said = word(port, Property.EDGE)
    unless = "unless" in said or "until" in said
    return is_on(port, Property.EDGE) and not unless and not is_on(port, Property.BPDU_GUARD)


def _carries(ends: Ends, vid: int) -> bool:
    return bool(carried(ends) >> vid & 1)


def _finding(case: Case, mine: PlainEnd, far: PlainEnd, vids: int) -> Finding:
    said = lines(case.network.port(mine.place), Property.EDGE)
    where = evidence(mine.place, said, "an edge port", primary=True)
    return Finding(
        code=CODE,
        name=NAME,
        severity=Severity.WARNING,
        headline=f"{mine.place} is an edge port and leads to the switch {far.place}; a second way carries "
        f"VLAN {text(vids)} there",
        why="it forwards as soon as its link is up: frames go round until the tree is settled",
        where=(*where, *evidence(far.place, case.named_at(far.place), "the far end")),
        vids=vids,
        at=frozenset({mine.place}),
    )
