"""Whether a link between two bridges carries tags is left to be settled by the two ends.

What it finds
    A link between two bridges at one end of which the mode is negotiated, and would be another one if the far end
    said something else. A port whose outcome is the same whatever the far end says is not reported.

Why it matters
    The link works by what is at the other end today. Another switch, another setting there, or an old one put back,
    and the same port carries one VLAN instead of all.

Example
    bridge sw1 exists=1,10,20
    port sw1:1 member=10 pvid=10 untagged=10
    port sw1:3 member=20 pvid=20 untagged=20
    port sw1:2 member=1,10,20 pvid=1 untagged=1
    negotiate sw1:2 protocol=dtp mode=desirable alone=access outcomes=auto:trunk,desirable:trunk
    variant sw1:2 access name=2 on=2 member=1 pvid=1 untagged=1
    variant sw1:2 trunk name=2 on=2 member=1,10,20 pvid=1 untagged=1
    bridge sw2 exists=1,10,20
    port sw2:2 member=10 pvid=10 untagged=10
    port sw2:3 member=20 pvid=20 untagged=20
    port sw2:1 member=1,10,20 pvid=1 untagged=1
    negotiate sw2:1 protocol=dtp mode=auto alone=access outcomes=desirable:trunk
    variant sw2:1 access name=1 on=1 member=1 pvid=1 untagged=1
    variant sw2:1 trunk name=1 on=1 member=1,10,20 pvid=1 untagged=1
    link sw1:2 sw2:1
    vlan 10 -> sw1:1 untagged, sw2:2 untagged
    vlan 20 -> sw1:3 untagged, sw2:3 untagged
    => N101 sw1:2 sw2:1

Instead
    bridge sw1 exists=1,10,20
    port sw1:1 member=10 pvid=10 untagged=10
    port sw1:3 member=20 pvid=20 untagged=20
    port sw1:2 member=1,10,20 pvid=1 untagged=1
    bridge sw2 exists=1,10,20
    port sw2:2 member=10 pvid=10 untagged=10
    port sw2:3 member=20 pvid=20 untagged=20
    port sw2:1 member=1,10,20 pvid=1 untagged=1
    link sw1:2 sw2:1
    vlan 10 -> sw1:1 untagged, sw2:2 untagged
    vlan 20 -> sw1:3 untagged, sw2:3 untagged
    => clean

When it is intended
    Hardly ever on a link between switches: set the mode at both ends.

Reference
    Catalyst 3750 Software Configuration Guide, OL-8550-09, p. 13-19 (a dynamic port becomes a trunk by what the
    neighbour says). That the mode of an uplink is set by hand is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator

from vlancheck.dot1q.model import DeviceKind, Negotiation
from vlancheck.findings.advertised import kept_apart, sharing
from vlancheck.findings.case import Case
from vlancheck.findings.finding import Finding, Severity, Where, evidence
from vlancheck.places import split_place
from vlancheck.wiring.negotiation import outcome
from vlancheck.wiring.network import Link

CODE = "N101"
NAME = "An uplink's mode is left to negotiation"


def find(case: Case) -> Iterator[Finding]:
    """Yield one finding for every link between bridges whose mode hangs on what an end says."""
    known = sharing(case)
    for link in case.links():
        if kept_apart(case, link, known):  # another check tells of these
            continue
        if any(case.network.devices[split_place(place)[0]].kind is not DeviceKind.BRIDGE for place in link[:2]):
            continue
        said = {place: case.network.port(place).negotiation for place in (link.one, link.other)}
        open_ = {place: one for place, one in said.items() if one is not None and _open(one)}
        if open_:
            yield _finding(case, link, said, open_)


def _open(negotiation: Negotiation) -> bool:
    """Tell whether what the far end says makes a difference."""
    return len({negotiation.alone, *negotiation.outcomes.values()}) > 1


def _finding(case: Case, link: Link, said: dict[str, Negotiation | None], open_: dict[str, Negotiation]) -> Finding:
    told = []
    where: list[Where] = []
    for place in said:
        far = said[link.other if place == link.one else link.one]
        if (mine := open_.get(place)) is not None:
            told.append(f"{place} (`{mine.mode}`) comes to `{outcome(mine, far)}`")
            where += evidence(place, mine.origins or case.named_at(place), f"says `{mine.mode}`", not where)
    for place in said.keys() - open_.keys():
        where += evidence(place, case.named_at(place), "does not negotiate, or comes to one mode only")
    other = "" if len(open_) > 1 else f", toward {next(iter(said.keys() - open_.keys()))}"
    return Finding(
        code=CODE,
        name=NAME,
        severity=Severity.WARNING if case.needed_across(link) else Severity.NOTE,
        headline=f"the mode of the link is left to negotiation: {' and '.join(told)}{other}",
        why="with another device or another setting at the far end the port comes to another mode",
        where=tuple(where),
        at=frozenset(open_),
    )
