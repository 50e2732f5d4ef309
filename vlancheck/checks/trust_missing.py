"""A cord is moved to a port that does not trust what comes in as the old port did.

What it finds
    A moved cord whose old port took the answers of a DHCP server, or ARP frames without a look at the bindings, and
    whose new port does not, on a switch where such trust is set at ports.

Why it matters
    Where DHCP is watched, answers that come in at a port without trust are dropped: the whole switch gets no
    addresses any more, desk by desk as the leases end.

Before
    bridge ACC-1 exists=10 tree=per-vlan
    port ACC-1:1 pvid=10 member=10 untagged=10
    port ACC-1:23 member=10
    port ACC-1:24 member=10
    set ACC-1:23 dhcp-trust=yes
    bridge CORE-1 exists=10 tree=per-vlan
    port CORE-1:1 member=10
    port CORE-1:2 pvid=10 member=10 untagged=10
    link ACC-1:23 CORE-1:1
    empty ACC-1:24

Example
    bridge ACC-1 exists=10 tree=per-vlan
    port ACC-1:1 pvid=10 member=10 untagged=10
    port ACC-1:23 member=10
    port ACC-1:24 member=10
    set ACC-1:23 dhcp-trust=yes
    bridge CORE-1 exists=10 tree=per-vlan
    port CORE-1:1 member=10
    port CORE-1:2 pvid=10 member=10 untagged=10
    link ACC-1:24 CORE-1:1
    empty ACC-1:23
    => P105 ACC-1:24

Instead
    bridge ACC-1 exists=10 tree=per-vlan
    port ACC-1:1 pvid=10 member=10 untagged=10
    port ACC-1:23 member=10
    port ACC-1:24 member=10
    set ACC-1:24 dhcp-trust=yes
    bridge CORE-1 exists=10 tree=per-vlan
    port CORE-1:1 member=10
    port CORE-1:2 pvid=10 member=10 untagged=10
    link ACC-1:24 CORE-1:1
    empty ACC-1:23
    => clean

When it is intended
    When no DHCP server is beyond that cord any more.

Reference
    That a switch which watches DHCP drops answers at ports without trust is each family's own; ComNet CWGE24MS2
    manual, p. 201, states it for one of them.
"""

from __future__ import annotations

from collections.abc import Iterator

from vlancheck.dot1q.model import Port
from vlancheck.dot1q.properties import Property
from vlancheck.findings.case import Case
from vlancheck.findings.finding import Finding, Severity, Where, evidence
from vlancheck.findings.moved import MovedCord, moved_cords
from vlancheck.findings.settings import is_on, lines, with_bundle
from vlancheck.places import split_place

CODE = "P105"
NAME = "The new port does not trust what the old one did"
_TRUST = {Property.DHCP_TRUST: "answers of a DHCP server", Property.ARP_TRUST: "ARP that no binding backs"}


def find(case: Case) -> Iterator[Finding]:
    """Yield a finding for each moved cord that loses a trust of its port."""
    for one in moved_cords(case):
        lost = [which for which in _TRUST if _lost(case, one, which)]
        if not lost:
            continue
        where: list[Where] = list(evidence(one.after, one.now.origins, "trusts no longer", True))
        for which in lost:
            where += evidence(one.before, lines(_old(case, one, which), which), which)
        yield Finding(
            code=CODE,
            name=NAME,
            severity=Severity.ERROR if _needed(case, one) else Severity.WARNING,
            headline=f"{one.headline}: {one.before} took {' and '.join(_TRUST[which] for which in lost)}, "
            f"and no line lets {one.after} take them",
            why="they are dropped where they come in: behind this switch nobody gets an address",
            where=(*where, *evidence(one.after, one.origins, "the cord")),
            at=frozenset({one.after}),
            cause=False,
        )


def _lost(case: Case, one: MovedCord, which: Property) -> bool:
    if not is_on(_old(case, one, which), which) or is_on(with_bundle(case, one.after, which), which):
        return False
    device = split_place(one.after)[0]
    same = split_place(one.before)[0].casefold() == split_place(case.was(one.after))[0].casefold()
    return same or any(is_on(port, which) for port in case.devices[device].ports.values())


def _old(case: Case, one: MovedCord, which: Property) -> Port | None:
    return with_bundle(case.earlier, one.before, which) if case.earlier else None


def _needed(case: Case, one: MovedCord) -> bool:
    if not one.far:
        return bool(case.needed_frames.get(one.after))
    ends = {case.network.stands_for.get(place, place) for place in (one.after, one.far)}
    return any(case.needed_across(link) for link in case.network.links if {link.one, link.other} == ends)
