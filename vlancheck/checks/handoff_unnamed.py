"""A handoff does not say which circuit it is, or who answers for it.

What it finds
    An entry of `handoffs` without `circuit`, or with neither `carrier`, `owner` nor `phone`.

Why it matters
    The carrier asks for the number of the circuit first. Without it nobody at the other end of the line looks, and a
    cord that is moved to the neighbour's pair cannot be told from ours.

Example
    bridge sw1 exists=1,310
    port sw1:1 member=310
    port sw1:2 pvid=310 member=310 untagged=310
    handoff sw1:1
    ordered sw1:1 carrier=metro mode=tagged
    service records 310 at sw1:1 -> sw1:2 untagged
    => E110 sw1:1

Instead
    bridge sw1 exists=1,310
    port sw1:1 member=310
    port sw1:2 pvid=310 member=310 untagged=310
    handoff sw1:1
    ordered sw1:1 circuit=EX-0001 carrier=metro mode=tagged
    service records 310 at sw1:1 -> sw1:2 untagged
    => clean

When it is intended
    When the other side is no carrier but the landlord's switch: name that as the circuit.

Reference
    Common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator

from vlancheck.findings.case import Case
from vlancheck.findings.finding import Finding, Severity, evidence

CODE = "E110"
NAME = "A handoff names no circuit or nobody to call"


def find(case: Case) -> Iterator[Finding]:
    """Yield one finding for every handoff that lacks what the carrier asks for first."""
    for place, orders in case.ordered.items():
        for order in orders:
            lacks = [] if order.circuit else ["which circuit it is"]
            lacks += [] if order.carrier or order.owner or order.phone else ["who answers for it"]
            if not order.said or not lacks:
                continue
            yield Finding(
                code=CODE,
                name=NAME,
                severity=Severity.NOTE,
                headline=f"the handoff {place} does not say {' and '.join(lacks)}",
                why="without these nobody at the carrier looks for a fault",
                where=evidence(place, order.where.origins, "the handoff", True),
                at=frozenset({place}),
                settled_by=f"the number on the carrier's box or letter at {place}, and whom its letter says to call",
                cause=False,
            )
