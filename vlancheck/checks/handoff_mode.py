"""A handoff was ordered tagged and its port tags nothing, or untagged and its port takes tagged frames only.

What it finds
    A port with an order whose `mode` is `tagged` where everything leaves and arrives without tag; or whose `mode` is
    `untagged` where nothing does.

Why it matters
    There is link, and nothing passes. The carrier's test says that the circuit is up.

Example
    bridge sw1 exists=1,310
    port sw1:1 pvid=310 member=310 untagged=310
    port sw1:2 pvid=310 member=310 untagged=310
    handoff sw1:1
    ordered sw1:1 circuit=EX-0001 carrier=metro mode=tagged
    service records 310 at sw1:1 -> sw1:2 untagged
    => E102 sw1:1

Instead
    bridge sw1 exists=1,310
    port sw1:1 member=310
    port sw1:2 pvid=310 member=310 untagged=310
    handoff sw1:1
    ordered sw1:1 circuit=EX-0001 carrier=metro mode=tagged
    service records 310 at sw1:1 -> sw1:2 untagged
    => clean

When it is intended
    When the carrier changed the handoff and the order says what it was: put the new mode into site.yaml.

Reference
    Access service order form, field INTERFACE MODE (TAGGED, UNTAGGED or TUNNEL). IEEE Std 802.1Q-2022, 6.9 (what a
    port makes of frames with and without tag), from memory.
"""

from __future__ import annotations

from collections.abc import Iterator

from vlancheck.findings.carrier import mistagged
from vlancheck.findings.case import Case
from vlancheck.findings.ends import plain_end
from vlancheck.findings.finding import Finding, Severity, evidence

CODE = "E102"
NAME = "A handoff is tagged otherwise than ordered"


def find(case: Case) -> Iterator[Finding]:
    """Yield one finding for every handoff whose port tags where the order does not, or the other way round."""
    for place in case.ordered:
        if (found := mistagged(case, place)) is None:
            continue
        order, does, why = found
        end = plain_end(case, place)
        origins = end.port.pvid.origins if end is not None else ()
        yield Finding(
            code=CODE,
            name=NAME,
            severity=Severity.WARNING,
            headline=f"{place} is ordered {order.mode} ({order.called}), and {does}",
            why=why,
            where=(
                *evidence(place, origins or case.named_at(place), does, True),
                *evidence(place, order.said["mode"].origins, "the order"),
            ),
            at=frozenset({place}),
        )
