"""Something that was ordered does not arrive at an ending, and no other check found the cause.

What it finds
    A service or a VLAN whose frames are lost on the way to one of its endings, or on the way back, or that come out
    in other tags than declared, whatever the unread parts do.  The place is the loss nearest to the ending.

Why it matters
    A frame that dies in one direction only looks like a fault of the far end: the ping goes out and nothing returns.

Example
    bridge SORT-1 exists=1,310
    port SORT-1:1 member=310
    port SORT-1:2 pvid=1 member=1 untagged=1
    handoff SORT-1:1
    service records 310 at SORT-1:1 -> SORT-1:2 untagged
    => S101 SORT-1:2

Instead
    bridge SORT-1 exists=1,310
    port SORT-1:1 member=310
    port SORT-1:2 pvid=310 member=310 untagged=310
    handoff SORT-1:1
    service records 310 at SORT-1:1 -> SORT-1:2 untagged
    => clean

When it is intended
    When the service was cancelled: take it out of site.yaml.

Reference
    IEEE Std 802.1Q-2022, 8.6 (the forwarding process decides where a frame goes, and where it does not).
"""

from __future__ import annotations

from collections.abc import Iterator

from vlancheck.findings.case import Case
from vlancheck.findings.finding import Finding, Severity, evidence
from vlancheck.findings.grouping import effect_of_ending
from vlancheck.verdicts.reasons import Reason
from vlancheck.verdicts.verdict import State

CODE = "S101"
NAME = "Ordered, and does not arrive"
GENERAL = 1


def find(case: Case) -> Iterator[Finding]:
    """Yield a finding for each place at which something ordered goes wrong."""
    for verdict in case.verdicts:
        for ending in verdict.endings:
            if ending.state not in (State.DROPPED, State.MISMATCHED):
                continue
            reason = ending.reason or Reason("nobody can say where it goes")
            place = reason.place or ending.at or ending.stop.name
            words = "comes out in other tags" if ending.state is State.MISMATCHED else "does not get through"
            where = evidence(place, reason.evidence, "", True)
            yield Finding(
                code=CODE,
                name=NAME,
                severity=Severity.ERROR,
                headline=f"{verdict.order.name} ({verdict.order.tag}) {words}: {reason.words}",
                where=(*where, *evidence(ending.stop.name, ending.stop.origins[:1], "the ending")),
                vids=0 if reason.vid is None else 1 << reason.vid,
                at=frozenset({place}),
                effects=(effect_of_ending(verdict.order.name, ending.stop.name, ending.state, ending.reason),),
            )
