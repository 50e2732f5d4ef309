"""The fields of a carrier's order do not go together.

What it finds
    An entry of `handoffs` whose fields cannot all be right by the definitions of metro Ethernet services: a service of
    the whole port with a list of CE-VLAN IDs, several CE-VLAN IDs that are not preserved, a set of reserved addresses
    that belongs to another service, a longest frame below 1522 octets; and two services at one port that share a
    CE-VLAN ID, or of which one takes them all.

Why it matters
    One of the fields is not what was built. What the port is set to by it works for some frames, or for none.

Example
    bridge sw1 exists=1,310,311
    port sw1:1 member=310,311
    port sw1:2 member=310,311
    handoff sw1:1
    ordered sw1:1 circuit=EX-0001 carrier=metro type=EVPL ce-vlans=0310-0311 preserved=no
    service records 310,311 at sw1:1 -> sw1:2 same
    => E101 sw1:1

Instead
    bridge sw1 exists=1,310,311
    port sw1:1 member=310,311
    port sw1:2 member=310,311
    handoff sw1:1
    ordered sw1:1 circuit=EX-0001 carrier=metro type=EVPL ce-vlans=0310-0311 preserved=yes
    service records 310,311 at sw1:1 -> sw1:2 same
    => clean

When it is intended
    When the carrier's service is none of those that MEF defines: leave `type` out.

Reference
    MEF 6.2, MEF 10.3, MEF 10.4, 9.8, and MEF 45.1, 8.1; the finding names the requirement. The numbers are those of
    MEF's published YANG modules (mef-legato-services@2018-07-11) and of its published product schemas.
"""

from __future__ import annotations

from collections.abc import Iterator

from vlancheck.findings.carrier import services_at
from vlancheck.findings.case import Case
from vlancheck.findings.finding import Finding, Severity, Where, evidence
from vlancheck.findings.metro import contradictions

CODE = "E101"
NAME = "Fields of an order do not go together"


def find(case: Case) -> Iterator[Finding]:
    """Yield one finding for every port whose orders contradict themselves or each other."""
    for place, orders in case.ordered.items():
        tagged = any(batch.shape for one in services_at(case, place) for batch in one.batches)
        # Of a service that is declared there, the check of long frames says which and by how much.
        found = [one for one in contradictions(orders) if one[1] != ("max-frame",) or not tagged]
        if not found:
            continue
        where: list[Where] = []
        for order, keys, _, source in found:
            for key in keys:
                if key in order.said:
                    where += evidence(place, order.said[key].origins, f"`{key}`: {source}", not where)
        called = ", ".join(dict.fromkeys(order.called for order, *_ in found))
        yield Finding(
            code=CODE,
            name=NAME,
            severity=Severity.WARNING,
            headline=f"the order of {called} at {place}: {'; '.join(words for _, _, words, _ in found)}",
            why="one of the fields is not what was built",
            where=tuple(dict.fromkeys(where)),
            at=frozenset({place}),
            settled_by=f"ask the carrier to read out these fields of {called} as they are built",
            cause=False,
        )
