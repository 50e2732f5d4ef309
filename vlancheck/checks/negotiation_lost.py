"""The port toward a carrier was set for its speed before, and is not set so any more.

What it finds
    A handoff, by its circuit, where speed, duplex or negotiation was set by a line in the earlier survey and is set
    otherwise, or not at all, in the later one. Of one that moved to another port only the negotiation counts here;
    in what else the two ports differ is another check.

Why it matters
    The carrier's end was not touched. On gigabit fibre one end negotiates and the other does not: the one that does
    shows no link, the carrier sees its light, and calls the circuit up.

Before
    bridge sw1 exists=1,310
    port sw1:1 member=310
    port sw1:2 pvid=310 member=310 untagged=310
    set sw1:1 speed=nonegotiate
    handoff sw1:1
    ordered sw1:1 circuit=EX-0001 carrier=metro
    service records 310 at sw1:1 -> sw1:2 untagged

Example
    bridge sw1 exists=1,310
    port sw1:1 member=310
    port sw1:2 pvid=310 member=310 untagged=310
    handoff sw1:1
    ordered sw1:1 circuit=EX-0001 carrier=metro
    service records 310 at sw1:1 -> sw1:2 untagged
    => E111 sw1:1

Instead
    bridge sw1 exists=1,310
    port sw1:1 member=310
    port sw1:2 pvid=310 member=310 untagged=310
    set sw1:1 speed=nonegotiate
    handoff sw1:1
    ordered sw1:1 circuit=EX-0001 carrier=metro
    service records 310 at sw1:1 -> sw1:2 untagged
    => clean

When it is intended
    When the carrier changed its end in the same night.

Reference
    IEEE Std 802.3-2022, clause 37 (1000BASE-X negotiation: both ends or neither), from memory.
"""

from __future__ import annotations

from collections.abc import Iterator

from vlancheck.changes.side import same_port
from vlancheck.findings.case import Case
from vlancheck.findings.finding import Finding, Severity, evidence
from vlancheck.findings.pace import pace

CODE = "E111"
NAME = "A handoff lost its speed setting"


def find(case: Case) -> Iterator[Finding]:
    """Yield one finding for every handoff whose port no longer is set as it was."""
    earlier = case.earlier
    if earlier is None:
        return
    then = {one.circuit.casefold(): at for at, several in earlier.ordered.items() for one in several if one.circuit}
    for place, orders in case.ordered.items():
        order = next((one for one in orders if one.circuit.casefold() in then), None)
        old = then[order.circuit.casefold()] if order is not None else ""
        was, now = earlier.port(old) if old else None, case.port(place)
        if order is None or was is None or now is None:
            continue
        before, after = pace(was), pace(now)
        paces = (before.rate, before.full) == (after.rate, after.full)
        if not same_port(old, case.was(place)) and not paces:
            continue  # of a cord that moved, speed and duplex are told with all else in which the ports differ
        alike = paces and before.no_negotiation == after.no_negotiation
        if alike or not (before.forced or before.rate):
            continue
        yield Finding(
            code=CODE,
            name=NAME,
            severity=Severity.WARNING,
            headline=f"{place} ({order.called}) was set to {before.told}, and is set to {after.told}",
            why="the carrier's end is set as it was; the end that negotiates alone shows no link, or half duplex",
            where=(*evidence(place, after.origins, after.told, True), *evidence(old, before.origins, before.told)),
            at=frozenset({place}),
            settled_by=f"ask the carrier whether its port of {order.called} negotiates, and if not, what it is set to",
        )
