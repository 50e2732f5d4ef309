"""Something hangs on a port, and nothing that was declared says what it must be given.

What it finds
    Endpoints of the sheet at ports that no VLAN and no service of `site.yaml` reaches, where any are declared: those
    of one box together, and an alarm, a lift, a door, an emergency or a medical line by itself.

Why it matters
    Nobody judges whether it gets what it needs, so nobody notices when it no longer does.

Example
    bridge sw1 exists=10
    port sw1:1 member=10 pvid=10 untagged=10
    port sw1:2 member=10 pvid=10 untagged=10
    port sw1:3 member=10 pvid=10 untagged=10
    serves sw1:1 PC
    serves sw1:2 printer
    serves sw1:3 "lift telephone"
    vlan 10 -> sw1:1 untagged
    => W104 sw1:2
    => W104 sw1:3

Instead
    bridge sw1 exists=10
    port sw1:1 member=10 pvid=10 untagged=10
    port sw1:2 member=10 pvid=10 untagged=10
    serves sw1:1 PC
    serves sw1:2 printer
    vlan 10 -> sw1:1 untagged, sw1:2 untagged
    => clean

When it is intended
    When only a part of the site is to be judged.

Reference
    Common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from vlancheck.findings.case import Case
from vlancheck.findings.finding import Finding, Severity, Where, evidence
from vlancheck.places import split_place
from vlancheck.site.endpoints import ON_HOLD, caution
from vlancheck.site.sheet import Endpoint

CODE = "W104"
NAME = "An endpoint that nobody declared"
_NAMED = 4  # endpoints of one box that a headline names


def find(case: Case) -> Iterator[Finding]:
    """Yield a finding for each box with endpoints that nothing declared reaches, and for each held line."""
    reached = {
        at
        for order in case.orders
        for stop in (*order.enters, *order.stops)
        if stop.place
        for at in (stop.place, case.ground.judged_at(stop.place))
        if at
    }
    if not reached:
        return
    plain: dict[str, list[tuple[str, Endpoint]]] = {}
    for place, endpoint in case.endpoints.items():
        if place in reached or case.ground.judged_at(place) in reached:
            continue
        if ON_HOLD.isdisjoint(endpoint.kinds):
            plain.setdefault(split_place(place)[0], []).append((place, endpoint))
        else:
            yield _finding(f"{place} ({endpoint.text})", [(place, endpoint)], caution(endpoint.kinds))
    for several in plain.values():
        named = [f"{place} ({endpoint.text})" for place, endpoint in several[:_NAMED]]
        more = f" and {len(several) - _NAMED} more" if len(several) > _NAMED else ""
        yield _finding(", ".join(named) + more, several, "")


def _finding(named: str, several: Sequence[tuple[str, Endpoint]], asked: str) -> Finding:
    where: list[Where] = []
    for place, endpoint in several:
        where += evidence(place, endpoint.origins, "this row", not where)
    return Finding(
        code=CODE,
        name=NAME,
        severity=Severity.NOTE,
        headline=f"no declared VLAN or service reaches {named}",
        why="what it needs is not judged" + (f"; {asked}" if asked else ""),
        where=tuple(where),
        at=frozenset(place for place, _ in several),
        settled_by="a VLAN or service in site.yaml that reaches it",
        cause=False,
    )
