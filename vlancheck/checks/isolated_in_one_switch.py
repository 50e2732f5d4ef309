"""Ports that are to be kept apart are isolated on two switches, each for itself.

What it finds
    Endings of a service that are declared `apart: true`, or a hold that is to be left alone, and another port, on two
    switches, both of them isolated (protected ports, port isolation), of which one hears the other.

Why it matters
    Isolation of ports is a matter of one switch: it looks only at its own ports. What an isolated port sends leaves
    by the uplink, and the next switch hands it to its isolated ports like any other frame.

Example
    bridge ACC-1 exists=310
    port ACC-1:1 pvid=310 member=310 untagged=310 isolation=users
    port ACC-1:24 member=310
    bridge ACC-2 exists=310
    port ACC-2:1 pvid=310 member=310 untagged=310 isolation=users
    port ACC-2:23 member=310
    port ACC-2:24 member=310
    link ACC-1:24 ACC-2:24
    handoff ACC-2:23
    service rooms 310 at ACC-2:23 -> ACC-1:1 untagged, ACC-2:1 untagged
    apart rooms
    => J103 ACC-1:1 ACC-2:1

Instead
    bridge ACC-1 exists=310,311
    private-vlan ACC-1 310 primary secondaries=311
    private-vlan ACC-1 311 isolated
    port ACC-1:1 private=isolated/310/311 pvid=311 admit=none member=310 untagged=310
    port ACC-1:24 member=310,311
    bridge ACC-2 exists=310,311
    private-vlan ACC-2 310 primary secondaries=311
    private-vlan ACC-2 311 isolated
    port ACC-2:1 private=isolated/310/311 pvid=311 admit=none member=310 untagged=310
    port ACC-2:23 private=promiscuous-trunk mapped=311 admit=310 member=310,311
    exit ACC-2:23 match=311 pop=1 push=310
    port ACC-2:24 member=310,311
    link ACC-1:24 ACC-2:24
    handoff ACC-2:23
    service rooms 310 at ACC-2:23 -> ACC-1:1 untagged, ACC-2:1 untagged
    apart rooms
    => clean

When it is intended
    When it does not matter that they hear each other: leave `apart` out. To keep ports of two switches apart, use a
    private VLAN, which goes over the link between them, or isolate the port toward the other switch as well.

Reference
    RFC 5517, 3 (a private VLAN keeps hosts apart over several switches). V5808 user guide, p. 274, and Catalyst 3560
    software configuration guide OL-8553-06 (protected ports are kept apart within one switch); common practice
    elsewhere, no source.
"""

from __future__ import annotations

from collections.abc import Iterator

from vlancheck.dot1q.model import BridgePort
from vlancheck.evidence import Origins
from vlancheck.findings.case import Case
from vlancheck.findings.finding import Finding, Severity, evidence
from vlancheck.places import split_place
from vlancheck.verdicts.verdict import Certainty, Leak, Verdict

CODE = "J103"
NAME = "Isolated in one switch only"


def find(case: Case) -> Iterator[Finding]:
    """Yield a finding for each order of which isolated ports of two switches hear each other."""
    for verdict in case.verdicts:
        pairs: dict[frozenset[str], Leak] = {}
        for leak in verdict.leaks:
            if leak.certainty is Certainty.PROVED and _asked(case, verdict, leak) and _on_two(case, leak):
                pairs.setdefault(frozenset((leak.sender, leak.to)), leak)
        if pairs:
            yield _finding(case, verdict, list(pairs.values()))


def _asked(case: Case, verdict: Verdict, leak: Leak) -> bool:
    """Tell whether the declaration asks that the two do not hear each other."""
    stops = {case.ground.judged_at(stop.place) for stop in verdict.order.stops if stop.place}
    if verdict.order.apart and {leak.sender, leak.to} <= stops:
        return True
    return any(place in case.ground.held for place in (leak.sender, leak.to))


def _on_two(case: Case, leak: Leak) -> bool:
    one, other = leak.sender, leak.to
    return split_place(one)[0] != split_place(other)[0] and bool(_isolated(case, one) and _isolated(case, other))


def _isolated(case: Case, place: str) -> BridgePort | None:
    device, port = split_place(place)
    here = [one for one in case.network.devices[device].bridge_ports.values() if one.port == port and one.isolation]
    return here[0] if here else None


def _who(case: Case, place: str) -> Origins:
    port = _isolated(case, place)
    return (port.isolation_origins if port else ()) or case.named_at(place)


def _finding(case: Case, verdict: Verdict, leaks: list[Leak]) -> Finding:
    places = sorted({place for leak in leaks for place in (leak.sender, leak.to)})
    first = leaks[0]
    where = [
        found
        for place in places
        for found in evidence(place, _who(case, place), "isolated here alone", primary=place == places[0])
    ]
    return Finding(
        code=CODE,
        name=NAME,
        severity=Severity.WARNING,
        headline=f"{verdict.order.name}: {first.sender} and {first.to} are isolated each in its own switch, "
        "and one hears the other",
        why="ports are isolated inside one switch only; what leaves by the uplink is handed out at the next",
        where=tuple(where),
        at=frozenset(places),
    )
