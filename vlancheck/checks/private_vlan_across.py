"""A private VLAN goes over a link or into a switch that has only half of it, or takes it for something else.

What it finds
    A link between the hosts of a private VLAN and what answers them that does not carry both of its VLANs, the
    primary and the secondary one. Two switches of which one makes a VLAN isolated and the other a community, or that
    associate it with different primary VLANs. A secondary VLAN that reaches a switch where ordinary ports are in it.

Why it matters
    Hosts send in the secondary VLAN and hear the primary one: with half of the two, one direction is lost. An
    ordinary port in a secondary VLAN hears what isolated hosts send, and they never hear it.

Example
    bridge ACC-1 exists=100,101
    private-vlan ACC-1 100 primary secondaries=101
    private-vlan ACC-1 101 isolated
    port ACC-1:1 private=isolated/100/101 pvid=101 admit=none member=100 untagged=100
    port ACC-1:24 member=100
    bridge CORE exists=100,101
    private-vlan CORE 100 primary secondaries=101
    private-vlan CORE 101 isolated
    port CORE:1 private=promiscuous/100 mapped=101 pvid=100 admit=none member=100,101 untagged=100,101
    port CORE:24 member=100,101
    link ACC-1:24 CORE:24
    => J102 ACC-1:24

Instead
    bridge ACC-1 exists=100,101
    private-vlan ACC-1 100 primary secondaries=101
    private-vlan ACC-1 101 isolated
    port ACC-1:1 private=isolated/100/101 pvid=101 admit=none member=100 untagged=100
    port ACC-1:24 member=100,101
    bridge CORE exists=100,101
    private-vlan CORE 100 primary secondaries=101
    private-vlan CORE 101 isolated
    port CORE:1 private=promiscuous/100 mapped=101 pvid=100 admit=none member=100,101 untagged=100,101
    port CORE:24 member=100,101
    link ACC-1:24 CORE:24
    => clean

When it is intended
    When the hosts of one switch are to reach only what is on their own. A switch in between needs no lines of private
    VLANs, only both VLANs.

Reference
    RFC 5517, 3 and 4 (hosts send in the secondary VLAN and hear the primary one; what a link between switches
    carries), from memory. Cisco Nexus 1000V guide, private VLANs (a link between switches must carry the primary and
    all secondary VLANs, and need not know that they are private).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

import networkx as nx

from vlancheck.dot1q.model import Device, PrivateKind, PrivatePart, PrivateRole
from vlancheck.evidence import Origins
from vlancheck.findings.case import Case
from vlancheck.findings.ends import PlainEnd, plain_ends
from vlancheck.findings.finding import Finding, Severity, evidence
from vlancheck.findings.private import PrivatePort, pairs, private_ports
from vlancheck.places import split_place
from vlancheck.vids import first, text
from vlancheck.wiring.network import Link

CODE = "J102"
NAME = "Half of a private VLAN goes across"
_ANSWERS = (PrivateRole.PROMISCUOUS, PrivateRole.PROMISCUOUS_TRUNK)


_Kept = Mapping[str, Mapping[int, Mapping[int, PrivateKind]]]  # box -> primary VID -> secondary VID -> what it is


def find(case: Case) -> Iterator[Finding]:
    """Yield a finding for each link that carries half of a private VLAN, and each switch that takes it otherwise."""
    ports = [one for one in private_ports(case) if one.works]
    kept = {name: _pairs(device) for name, device in case.network.devices.items()}
    if not any(kept.values()):
        return
    graph: nx.Graph[str] = nx.Graph()
    graph.add_nodes_from(case.network.devices)
    graph.add_edges_from((split_place(link.one)[0], split_place(link.other)[0]) for link in case.network.links)
    apart = {frozenset(edge) for edge in nx.bridges(graph)}
    for link in case.links():
        here, there = split_place(link.one)[0], split_place(link.other)[0]
        ends = plain_ends(case, link)
        if ends is not None and frozenset((here, there)) in apart:
            yield from _halves(case, link, ends, _sides(graph, here, there), ports)
    yield from _taken_otherwise(case, kept)


def _pairs(device: Device) -> dict[int, dict[int, PrivateKind]]:
    found: dict[int, dict[int, PrivateKind]] = {}
    for bridge in device.bridges.values():
        found |= pairs(bridge)
    return found


def _sides(graph: nx.Graph[str], here: str, there: str) -> tuple[set[str], set[str]]:
    """Return the boxes on each side of a link that alone joins them."""
    graph.remove_edge(here, there)
    sides = set(nx.node_connected_component(graph, here)), set(nx.node_connected_component(graph, there))
    graph.add_edge(here, there)
    return sides


# ---- half of it on a link ----------------------------------------------------------------------------------------


def _halves(
    case: Case,
    link: Link,
    ends: tuple[PlainEnd, PlainEnd],
    sides: tuple[set[str], set[str]],
    ports: Sequence[PrivatePort],
) -> Iterator[Finding]:
    """Yield a finding for each end of a link that keeps back what a private VLAN needs across it."""
    needed = _needed(ports, *sides) | _needed(ports, *sides[::-1])
    for end in ends:
        absent = ~end.bridge.exists.possible
        kept = (end.keeps | end.refuses | absent) & needed & ~case.needed_across(link)
        if not kept:
            continue
        device = split_place(end.place)[0]
        missing = kept & absent
        decided = end.bridge.exists.why(first(kept))[1] if missing == kept else end.why_member(first(kept))
        where = device if missing == kept else end.place
        far = ends[1] if end is ends[0] else ends[0]
        yield Finding(
            code=CODE,
            name=NAME,
            severity=Severity.WARNING,
            headline=f"{where} does not have VLAN {text(kept)}, which a private VLAN needs between {end.place} "
            f"and {far.place}",
            why="hosts send in the secondary VLAN and hear the primary one: with one of the two, one direction is lost",
            where=(
                *evidence(where, decided, f"lacks VLAN {text(kept)}", primary=True),
                *evidence(far.place, far.why_member(first(kept)), "the other end"),
            ),
            vids=kept,
            at=frozenset({where}),
        )


def _needed(ports: Sequence[PrivatePort], mine: set[str], theirs: set[str]) -> int:
    """Return the VIDs that hosts on one side need across: both VLANs, where something on the other side hears them."""
    hosts = {(one.primary, one.secondary) for one in ports if one.is_host and one.device in mine}
    heard = answered = 0
    for one in ports:
        if one.device in theirs:
            heard |= one.port.member.sure
            answered |= one.port.member.sure if one.role in _ANSWERS else 0
    found = 0
    for primary, secondary in hosts:
        if primary is not None and secondary is not None and heard >> secondary & 1:
            found |= 1 << secondary | (1 << primary if answered >> secondary & 1 else 0)
    return found


# ---- taken for something else ------------------------------------------------------------------------------------


def _taken_otherwise(case: Case, kept: _Kept) -> Iterator[Finding]:
    """Yield a finding for each switch that a secondary VLAN reaches and that takes it for something else."""
    crossing = list(_crossing(case))
    beside: dict[int, dict[str, list[str]]] = {}  # VID -> box -> the boxes next to it that it reaches
    for vid in {vid for private in kept.values() for secondaries in private.values() for vid in secondaries}:
        beside[vid] = {}
        for one, other, bits in crossing:
            if bits >> vid & 1:
                beside[vid].setdefault(one, []).append(other)
                beside[vid].setdefault(other, []).append(one)
    asked: set[tuple[str, str, int]] = set()
    for name, private in kept.items():
        for primary, secondaries in private.items():
            for vid, kind in secondaries.items():
                for other in _reached(case, name, vid, beside[vid]):
                    if (other, name, vid) not in asked:  # what the two say of it was laid beside each other already
                        asked.add((name, other, vid))
                        yield from _otherwise(case, kept, name, other, primary, vid, kind)


def _crossing(case: Case) -> Iterator[tuple[str, str, int]]:
    """Yield the boxes at both ends of each plain link, and the VIDs (a bitset) that cross it tagged, both ways."""
    for link in case.links():
        if (ends := plain_ends(case, link)) is not None:
            bits = ends[0].tags & ends[1].tags & ends[0].port.admit.sure & ends[1].port.admit.sure
            yield split_place(link.one)[0], split_place(link.other)[0], bits


def _reached(case: Case, name: str, vid: int, beside: Mapping[str, Sequence[str]]) -> list[str]:
    """Return the boxes that a VLAN reaches from one, not beyond those that have lines of their own about it."""
    found, waiting = {name: None}, [name]
    while waiting:
        for other in beside.get(waiting.pop(), ()):
            if other not in found:
                found[other] = None
                if _part(case, other, vid) is None:
                    waiting.append(other)
    return [one for one in found if one != name]


def _part(case: Case, name: str, vid: int) -> PrivatePart | None:
    return next((found for one in case.network.devices[name].bridges.values() if (found := one.private.get(vid))), None)


def _otherwise(
    case: Case, kept: _Kept, name: str, other: str, primary: int, vid: int, kind: PrivateKind
) -> Iterator[Finding]:
    mine, theirs = _part(case, name, vid), _part(case, other, vid)
    assert mine is not None, "a pair that works has lines about its secondary VLAN"
    if theirs is None:
        yield from _ordinary(case, name, other, vid, kind, mine.origins)
        return
    above = {one for one, below in kept[other].items() if vid in below}
    if theirs.kind is not None and theirs.kind is not kind:
        why = f"VLAN {vid} is {_a(kind)} at {name} and {_a(theirs.kind)} at {other}"
    elif above and primary not in above:
        why = f"VLAN {vid} belongs to VLAN {primary} at {name} and to VLAN {min(above)} at {other}"
    else:
        return
    yield Finding(
        code=CODE,
        name=NAME,
        severity=Severity.WARNING,
        headline=why,
        why="the same frames are kept apart at one switch and not at the other, or are heard by nobody there",
        where=(
            *evidence(other, theirs.origins, "what it is here", primary=True),
            *evidence(name, mine.origins, "what it is there"),
        ),
        vids=1 << vid,
        at=frozenset({name, other}),
    )


def _ordinary(case: Case, name: str, other: str, vid: int, kind: PrivateKind, origins: Origins) -> Iterator[Finding]:
    """Yield a finding for the ordinary ports of a switch that are in a secondary VLAN."""
    found = [
        port
        for port in case.network.devices[other].bridge_ports.values()
        if port.private is None
        and not port.doubt
        and port.pvid.value == vid
        and (port.member.sure & port.untagged.sure) >> vid & 1
        and case.network.ends_at(f"{other}:{port.port}")
    ]
    if not found:
        return
    places = [f"{other}:{port.port}" for port in found]
    yield Finding(
        code=CODE,
        name=NAME,
        severity=Severity.WARNING,
        headline=f"{', '.join(places[:3])} {'is' if len(places) == 1 else 'are'} in VLAN {vid} as in any other, "
        f"and at {name} it is {_a(kind)} of a private VLAN",
        why=f"it hears what hosts send in VLAN {vid}, and does not hear the VLAN in which they are answered",
        where=(
            *evidence(places[0], found[0].pvid.origins, f"is in VLAN {vid}", primary=True),
            *evidence(name, origins, "what it is there"),
        ),
        vids=1 << vid,
        at=frozenset(places),
    )


def _a(kind: PrivateKind) -> str:
    return "a community" if kind is PrivateKind.COMMUNITY else "isolated" if kind is PrivateKind.ISOLATED else "primary"
