"""A gateway exists twice: interfaces of two boxes have one address and hear each other.

What it finds
    Interfaces of two boxes that are not shut, have the same IPv4 address and hear each other. After a rebuild also
    two routing boxes with addresses of one network that hear each other, where desks hear both, the pair is new and
    neither interface shares an address with others (VRRP, HSRP, GLBP and the like).

Why it matters
    Both answer whoever asks for the address, and every device keeps the one that answered last: some desks work,
    others do not, and which ones changes by the minute. Two gateways with addresses of their own are quieter: what
    goes out by one may come back by the other.

Example
    bridge CORE-9 exists=10,20
    port CORE-9:1 member=10,20
    port CORE-9:2 pvid=10 member=10 untagged=10
    port CORE-9:Vlan10 kind=inside pvid=10 member=10 untagged=10
    setting CORE-9 "address:Vlan10"="192.0.2.1 255.255.255.128"
    device RTR-1 kind=router
    port RTR-1:Gi0/0
    end RTR-1:Gi0/0.10 on=Gi0/0 takes=10 address=yes
    setting RTR-1 "address:Gi0/0.10"="192.0.2.1 255.255.255.128"
    link CORE-9:1 RTR-1:Gi0/0
    => R107 CORE-9:Vlan10 RTR-1:Gi0/0

Instead
    bridge CORE-9 exists=10,20
    port CORE-9:1 member=10,20
    port CORE-9:2 pvid=10 member=10 untagged=10
    port CORE-9:Vlan10 kind=inside pvid=10 member=10 untagged=10
    setting CORE-9 "address:Vlan10"="192.0.2.2 255.255.255.128"
    device RTR-1 kind=router
    port RTR-1:Gi0/0
    end RTR-1:Gi0/0.10 on=Gi0/0 takes=10 address=yes
    setting RTR-1 "address:Gi0/0.10"="192.0.2.1 255.255.255.128"
    link CORE-9:1 RTR-1:Gi0/0
    => clean

When it is intended
    Where two boxes are one gateway, they share an address by lines of their own (VRRP, HSRP, GLBP, an address that
    several answer for); with such a line on both, nothing is reported. Else shut the interface that is to go.

Reference
    RFC 5227, 1 (two hosts with one IPv4 address on a link are a conflict). That two gateways of one network are one
    too many is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from ipaddress import IPv4Network
from itertools import combinations

from vlancheck.findings.addressed import Addressed, addressed, hears
from vlancheck.findings.case import Case
from vlancheck.findings.finding import Finding, Severity, Where, evidence
from vlancheck.vids import of

CODE = "R107"
NAME = "A gateway exists twice"
_DESKS = 16  # addresses from which on a network is more than one between two routers


def find(case: Case) -> Iterator[Finding]:
    """Yield one finding for each two interfaces that are the same gateway."""
    every = sorted(addressed(case), key=lambda one: (one.device, one.name))
    networks: dict[str, set[IPv4Network]] = {}
    for one in every:
        networks.setdefault(one.device, set()).add(one.address.network)
    known = {(one.title.casefold(), one.address) for one in addressed(case.earlier)} if case.earlier else set()
    fresh = {one.title for one in every if (case.was(one.title).casefold(), one.address) not in known}
    for one, other in combinations(every, 2):
        if one.device == other.device:
            continue
        if one.address.ip == other.address.ip:
            if not (one.shares and other.shares) and _together(case, one, other):
                told = f"{one.address.ip} is the address of {one.title} and of {other.title}"
                yield _finding((one, other), fresh, told)
        elif one.address.network == other.address.network and _new(case, one, other, fresh):
            routing = len(networks[one.device]) > 1 and len(networks[other.device]) > 1
            if routing and _together(case, one, other) and _desks(case, one, other):
                told = f"{one.title} ({one.address.ip}) and {other.title} ({other.address.ip})"
                yield _finding((one, other), fresh, f"{told} both route {one.address.network}")


def _new(case: Case, one: Addressed, other: Addressed, fresh: set[str]) -> bool:
    """Tell whether there was no such pair before, and both are gateways for themselves."""
    large = one.address.network.num_addresses >= _DESKS
    alone = not one.shares and not other.shares
    return case.earlier is not None and large and alone and not fresh.isdisjoint((one.title, other.title))


def _together(case: Case, one: Addressed, other: Addressed) -> bool:
    """Tell whether two interfaces certainly hear each other."""
    return hears(case, one, other) and hears(case, other, one)


def _desks(case: Case, one: Addressed, other: Addressed) -> bool:
    """Tell whether something that is needed, and is no interface of a box itself, hears both."""
    walks = [case.ground.reasons.walk(here.place, here.frame).deliveries for here in (one, other)]
    heard = {copy.port for copy in walks[0]} & {copy.port for copy in walks[1]} & case.needed_frames.keys()
    return any(not case.network.only_ends(place) and not case.ground.inside(place) for place in heard)


def _finding(pair: Sequence[Addressed], fresh: set[str], told: str) -> Finding:
    same = pair[0].address.ip == pair[1].address.ip
    where: list[Where] = []
    for one in sorted(pair, key=lambda one: one.title not in fresh):
        where += evidence(one.place, one.origins, f"the address of {one.name}", not where)
    why = "both answer whoever asks for it, and each device keeps the one that answered last"
    return Finding(
        code=CODE,
        name=NAME,
        severity=Severity.ERROR if same else Severity.NOTE,
        headline=f"{told}, and they hear each other",
        why=why if same else "what a desk sends by one may come back by the other, or not at all",
        where=tuple(where),
        vids=of(one.vid for one in pair if one.vid is not None),
        at=frozenset(one.place for one in pair),
        settled_by="" if same else "the address that the desks have for their gateway",
        cause=False,
    )
