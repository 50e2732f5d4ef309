"""A port toward another switch sends and takes no spanning-tree frames, and a second way leads there.

What it finds
    A BPDU filter, or a port at which spanning tree is off, at one end of a link between two switches that speak one,
    where other links lead from the one to the other and carry a VLAN of this link as well. A filter that goes off when
    a BPDU arrives is none.

Why it matters
    Neither switch hears the other over this link, so neither ever blocks it. Once the other way forwards too, frames go
    round for ever. A cord that closes a ring is enough.

Example
    bridge sw1 exists=10 tree=per-vlan
    port sw1:1 pvid=10 member=10 untagged=10
    port sw1:2 member=10
    port sw1:3 member=10
    set sw1:3 bpdu-filter=yes
    bridge sw2 exists=10 tree=per-vlan
    port sw2:2 member=10
    port sw2:3 member=10
    link sw1:2 sw2:2
    link sw1:3 sw2:3
    => K103 sw1:3 sw2:3

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
    At a handoff, to keep two trees apart, where nothing else leads round.

Reference
    IEEE Std 802.1Q-2022, 13 (a tree keeps free of loops what it hears of), from memory. That a filter toward a switch
    makes loops is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator

from vlancheck.dot1q.properties import Property
from vlancheck.findings.case import Case
from vlancheck.findings.ends import PlainEnd
from vlancheck.findings.finding import Finding, Severity, Where, evidence
from vlancheck.findings.rings import Ends, carried, joined, leads_round
from vlancheck.findings.settings import lines, speaks_tree
from vlancheck.vids import members, of, text

CODE = "K103"
NAME = "Spanning tree is filtered between two switches"
_SPOKEN = ("per-vlan", "one-tree", "mst")


def find(case: Case) -> Iterator[Finding]:
    """Yield one finding for every link of a ring over which two switches do not hear each other's tree."""
    links = joined(case)
    for ends in links.values():
        filtered = [end for end in ends if _filters(case, end)]
        if not filtered or any(end.tree not in _SPOKEN for end in ends):
            continue
        if vids := of(vid for vid in members(carried(ends)) if leads_round(links.values(), ends, vid, _carries)):
            yield _finding(case, ends, filtered, vids)


def _filters(case: Case, end: PlainEnd) -> bool:
    return speaks_tree(case, end.place) is False


def _carries(ends: Ends, vid: int) -> bool:
    return bool(carried(ends) >> vid & 1)


def _finding(case: Case, ends: Ends, filtered: list[PlainEnd], vids: int) -> Finding:
    where: list[Where] = []
    for end in filtered:
        said = lines(case.network.port(end.place), Property.BPDU_FILTER, Property.TREE_HERE)
        where += evidence(end.place, said, "filters spanning-tree frames", not where)
    for end in ends:
        if end not in filtered:
            where += evidence(end.place, case.named_at(end.place), "the other end")
    one, other = ends
    return Finding(
        code=CODE,
        name=NAME,
        severity=Severity.WARNING,
        headline=f"{' and '.join(end.place for end in filtered)} on the link {one.place} to {other.place} "
        f"{'filter' if len(filtered) > 1 else 'filters'} spanning-tree frames, and a second way carries "
        f"VLAN {text(vids)} there",
        why="neither switch hears the other here, so nothing blocks this link: with the second way open, frames go "
        "round for ever",
        where=tuple(where),
        vids=vids,
        at=frozenset({one.place, other.place}),
    )
