"""Two handoffs hear each other through the building.

What it finds
    Frames that come in at one handoff and certainly come out at another one, and that no declared service has at
    both. Handoffs that hear one another are one finding.

Why it matters
    Two carriers, or two circuits of one carrier, are joined inside the building: the traffic of one runs over the
    other, and where they meet again further out it is a loop that no spanning tree of ours sees.

Example
    bridge sw1 exists=310
    port sw1:1 member=310
    port sw1:2 member=310
    port sw1:3 member=310 pvid=310 untagged=310
    handoff sw1:1 sw1:2
    service records 310 at sw1:1 -> sw1:3 untagged
    => H103 sw1:1 sw1:2

Instead
    bridge sw1 exists=310,320
    port sw1:1 member=310
    port sw1:2 member=320
    port sw1:3 member=310 pvid=310 untagged=310
    port sw1:4 member=320 pvid=320 untagged=320
    handoff sw1:1 sw1:2
    service records 310 at sw1:1 -> sw1:3 untagged
    service voice 320 at sw1:2 -> sw1:4 untagged
    => clean

When it is intended
    When one service enters at both handoffs, or enters at one and goes on at the other: declare both places of it.

Reference
    IEEE Std 802.1Q-2022, 8.6.4 (frames of a VLAN leave at every other member port), from memory. That two circuits
    are kept apart is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator

import networkx as nx

from vlancheck.dot1q.tags import UNTAGGED
from vlancheck.findings.case import Case
from vlancheck.findings.ends import plain_end
from vlancheck.findings.finding import Finding, Severity, Where, evidence
from vlancheck.findings.handoffs import Heard, heard, relay_vids
from vlancheck.verdicts.verdict import Certainty
from vlancheck.vids import WIRE, first, text

CODE = "H103"
NAME = "Handoffs hear each other"


def find(case: Case) -> Iterator[Finding]:
    """Yield one finding for all handoffs that hear one another."""
    pairs = [one for one in heard(case) if not _told_elsewhere(case, one)]
    graph: nx.Graph[str] = nx.Graph()
    graph.add_edges_from((one.sender, one.at) for one in pairs)
    for together in nx.connected_components(graph):
        yield _finding(case, sorted(together), [one for one in pairs if one.sender in together])


def _told_elsewhere(case: Case, one: Heard) -> bool:
    """Tell whether VLANs that are joined on the way do it, and something declared that leaks so tells of it."""
    end = plain_end(case, one.at)
    sent = relay_vids(case, one.sender, one.frames)
    if end is None or not sent or sent & end.port.member.possible:
        return False
    leaks = [leak for verdict in case.verdicts for leak in verdict.leaks if leak.certainty is Certainty.PROVED]
    return any((leak.sender, leak.at) == (one.sender, one.at) for leak in leaks)


def _finding(case: Case, places: list[str], pairs: list[Heard]) -> Finding:
    frames = vids = 0
    several = [relay_vids(case, place, one.frames) for one in pairs for place in (one.sender, one.at)]
    for one in pairs:
        frames |= one.frames
    for bits in several:
        vids |= bits
    where: list[Where] = []
    for place in places:
        end = plain_end(case, place)
        origins = end.why_member(first(vids)) if end is not None and vids else ()
        where += evidence(place, origins or case.named_at(place), "a handoff", not where)
    ways = {(one.sender, one.at) for one in pairs}
    both = all((other, one) in ways for one, other in ways)
    return Finding(
        code=CODE,
        name=NAME,
        severity=Severity.ERROR,
        headline=f"the handoffs {' and '.join(places)} {'hear each other' if both else 'are joined'}: {_told(frames)}",
        why="what one carrier or circuit sends goes out on the other",
        where=tuple(where),
        vids=vids if all(several) else 0,
        at=frozenset(places),
    )


def _told(frames: int) -> str:
    parts = [f"VLAN {text(frames & WIRE)}"] if frames & WIRE else []
    parts += ["untagged frames"] if frames & (UNTAGGED | 1) else []
    return " and ".join(parts) or "frames of other tags"
