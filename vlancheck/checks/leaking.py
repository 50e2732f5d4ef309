"""Something that was ordered comes out, or can be put in, where it should not, and no other check found the cause.

What it finds
    A boundary port with something plugged in, other than the declared endings, where frames of a service come out or
    can be put in; for a VLAN of the inside, a handoff, a hold or a port it must never touch.

Why it matters
    Whoever is plugged in there hears the customer's traffic and can speak in it.  Toward a carrier it is another
    customer's network; at an alarm line it may keep the line from working.

Example
    bridge SORT-1 exists=1,310
    port SORT-1:1 member=310
    port SORT-1:2 pvid=310 member=310 untagged=310
    port SORT-1:3 pvid=310 member=310 untagged=310
    handoff SORT-1:1
    service records 310 at SORT-1:1 -> SORT-1:2 untagged
    => S102 SORT-1:3

Instead
    bridge SORT-1 exists=1,310
    port SORT-1:1 member=310
    port SORT-1:2 pvid=310 member=310 untagged=310
    port SORT-1:3 pvid=1 member=1 untagged=1
    handoff SORT-1:1
    service records 310 at SORT-1:1 -> SORT-1:2 untagged
    => clean

When it is intended
    When the port is an ending too: name it in `leaves` or `reaches`.

Reference
    IEEE Std 802.1Q-2022, 8.8 (membership decides on which ports the frames of a VLAN come out).
"""

from __future__ import annotations

from collections.abc import Iterator

from vlancheck.findings.case import Case
from vlancheck.findings.finding import Finding, Severity, evidence
from vlancheck.findings.grouping import effect_of_leak
from vlancheck.verdicts.verdict import Certainty

CODE = "S102"
NAME = "Comes out where it should not"
GENERAL = 1


def find(case: Case) -> Iterator[Finding]:
    """Yield a finding for each port at which something ordered leaks."""
    for verdict in case.verdicts:
        for leak in verdict.leaks:
            if leak.certainty is not Certainty.PROVED:
                continue
            path = case.ground.reasons.path(leak.sender, leak.sent, leak.to)
            hop = next((one for one in reversed(path) if one.port == leak.at), None)
            what = f", {leak.what}" if leak.what else ""
            yield Finding(
                code=CODE,
                name=NAME,
                severity=Severity.ERROR,
                headline=f"{verdict.order.name} ({verdict.order.tag}) {leak.crosses} at {leak.at}{what}",
                why=f"as {leak.frame}; nothing declares that it should",
                where=evidence(leak.at, hop.evidence if hop else case.named_at(leak.at), leak.what, True),
                vids=0 if hop is None or hop.vid is None else 1 << hop.vid,
                at=frozenset({leak.at}),
                effects=(effect_of_leak(verdict.order.name, leak.at, leak.what),),
            )
