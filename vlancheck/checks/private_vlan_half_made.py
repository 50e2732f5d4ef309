"""A private VLAN that is half-made: its VLANs, and the ports that are to be in them, do not fit together.

What it finds
    Host ports whose two VLANs do not make up a private VLAN on their switch: the one is not made primary, the other
    neither isolated nor a community, or the first is not associated with the second. Promiscuous ports and VLAN
    interfaces of a primary VLAN none of which is given a secondary VLAN that has hosts. What lines associate or map
    though the other half is missing.

Why it matters
    A host port of such a pair goes down or carries nothing, and no message says so. Where the mapping is what lacks,
    hosts hear the router and the router never hears them.

Example
    bridge ACC-1 exists=100-102
    private-vlan ACC-1 100 primary secondaries=102
    private-vlan ACC-1 101 isolated
    private-vlan ACC-1 102 community
    port ACC-1:1 private=isolated/100/101
    port ACC-1:2 private=community/100/102 pvid=102 admit=none member=100,102 untagged=100,102
    port ACC-1:24 private=promiscuous/100 mapped=102 pvid=100 admit=none member=100,102 untagged=100,102
    => J101 ACC-1:1

Instead
    bridge ACC-1 exists=100-102
    private-vlan ACC-1 100 primary secondaries=101-102
    private-vlan ACC-1 101 isolated
    private-vlan ACC-1 102 community
    port ACC-1:1 private=isolated/100/101 pvid=101 admit=none member=100 untagged=100
    port ACC-1:2 private=community/100/102 pvid=102 admit=none member=100,102 untagged=100,102
    port ACC-1:24 private=promiscuous/100 mapped=101-102 pvid=100 admit=none member=100-102 untagged=100-102
    => clean

When it is intended
    While a private VLAN is being set up, and where a switch in between only carries its VLANs: that needs no lines
    of private VLANs at all.

Reference
    RFC 5517, 3 (parts and who hears whom). Cisco Nexus 6000 NX-OS Layer 2 Switching Configuration Guide, Configuring
    Private VLANs (an association works only when both VLANs are there and are what they must be; ports of one that
    does not are inactive, without a message).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import networkx as nx

from vlancheck.dot1q.model import PrivateKind, PrivateRole
from vlancheck.evidence import Origins
from vlancheck.findings.case import Case
from vlancheck.findings.finding import Finding, Severity, evidence
from vlancheck.findings.private import PrivatePort, lacking, private_ports
from vlancheck.places import split_place
from vlancheck.vids import members, of, text

CODE = "J101"
NAME = "A private VLAN is half-made"


def find(case: Case) -> Iterator[Finding]:
    """Yield a finding for each thing that a private VLAN lacks."""
    ports = list(private_ports(case))
    told: dict[str, int] = {}  # device -> VIDs of which a finding tells
    yield from _dead_hosts(case, ports, told)
    yield from _unmapped(case, ports)
    yield from _mapped_for_nothing(case, ports, told)
    yield from _vlans_alone(case, told)


def _dead_hosts(case: Case, ports: Sequence[PrivatePort], told: dict[str, int]) -> Iterator[Finding]:
    """Yield a finding for each pair of VLANs, or lack of one, by which host ports carry nothing."""
    alike: dict[tuple[str, str, int | None, int | None], list[PrivatePort]] = {}
    for one in ports:
        if one.is_host and not one.works:
            alike.setdefault((one.device, one.port.bridge, one.primary, one.secondary), []).append(one)
    for (device, bridge, primary, secondary), hosts in alike.items():
        table = case.network.devices[device].bridges[bridge].private
        if not (why := lacking(table, primary, secondary)):
            continue
        vids = of(vid for vid in (primary, secondary) if vid is not None)
        told[device] = told.get(device, 0) | vids
        where = [where for one in hosts for where in evidence(one.place, _said(one), "host port")]
        parts = [table[vid] for vid in members(vids) if vid in table]
        yield Finding(
            code=CODE,
            name=NAME,
            severity=Severity.WARNING,
            headline=f"{_listed([one.place for one in hosts])}: {why}",
            why="a host port whose VLANs do not make up a private VLAN carries nothing",
            where=(
                *evidence(hosts[0].place, _said(hosts[0]), "host port", primary=True),
                *(found for part in parts for found in evidence(device, part.origins, "what the VLAN is")),
                *where[1:],
            ),
            vids=vids,
            at=frozenset(one.place for one in hosts),
        )


def _unmapped(case: Case, ports: Sequence[PrivatePort]) -> Iterator[Finding]:
    """Yield a finding where hosts are heard by no promiscuous port, though there are some of their private VLAN."""
    graph: nx.Graph[str] = nx.Graph()
    graph.add_nodes_from(case.network.devices)
    graph.add_edges_from((split_place(link.one)[0], split_place(link.other)[0]) for link in case.network.links)
    for island in nx.connected_components(graph):
        here = [one for one in ports if one.device in island]
        for primary in sorted({one.primary for one in here if one.primary is not None}):
            above = [one for one in here if one.primary == primary and _answers(case, one)]
            hosts = {one.secondary for one in here if one.primary == primary and one.is_host and one.works}
            heard = 0
            for one in here:
                heard |= 0 if one.is_host else one.hears
            open_ended = _leaves_sight(case, island)
            lacks = of(vid for vid in hosts if vid is not None) & ~heard & ~open_ended
            if above and lacks:
                yield _not_heard(above, here, primary, lacks)


def _not_heard(above: Sequence[PrivatePort], here: Sequence[PrivatePort], primary: int, lacks: int) -> Finding:
    first = above[0]
    hosts = [one for one in here if one.is_host and one.secondary is not None and lacks >> one.secondary & 1]
    names = _listed([one.place for one in above])
    return Finding(
        code=CODE,
        name=NAME,
        severity=Severity.WARNING,
        headline=f"{names}: VLAN {text(lacks)}, in which hosts of private VLAN {primary} send, is mapped to none",
        why=f"what hosts send in VLAN {text(lacks)} is heard by no promiscuous port, while they hear VLAN {primary}",
        where=(
            *evidence(first.place, _said(first), f"does not take VLAN {text(lacks)}", primary=True),
            *(found for one in above[1:] for found in evidence(one.place, _said(one), "nor does this")),
            *(found for one in hosts[:2] for found in evidence(one.place, _said(one), "host port")),
        ),
        vids=lacks,
        at=frozenset(one.place for one in above),
    )


def _mapped_for_nothing(case: Case, ports: Sequence[PrivatePort], told: dict[str, int]) -> Iterator[Finding]:
    """Yield a note for a promiscuous port that is given VLANs which do not belong to its primary one."""
    for one in ports:
        if one.role is not PrivateRole.PROMISCUOUS or one.port.private is None:
            continue
        table = case.network.devices[one.device].bridges[one.port.bridge].private
        idle = list(members(one.port.private.mapped & ~one.hears & ~told.get(one.device, 0)))
        reasons = [why for vid in idle if (why := lacking(table, one.primary, vid))]
        if reasons:
            told[one.device] = told.get(one.device, 0) | of(idle)
            yield Finding(
                code=CODE,
                name=NAME,
                severity=Severity.NOTE if one.works else Severity.WARNING,
                headline=f"{one.place} is given VLAN {text(of(idle))} in vain: {reasons[0]}",
                why="a mapping of VLANs that are no private VLAN has no effect",
                where=evidence(one.place, _said(one), f"maps VLAN {text(of(idle))}", primary=True),
                vids=of(idle) | (0 if one.primary is None else 1 << one.primary),
                at=frozenset({one.place}),
            )


def _vlans_alone(case: Case, told: dict[str, int]) -> Iterator[Finding]:
    """Yield a note for each VLAN of a private VLAN whose other half is missing, where no port tells of it."""
    for device in case.network.devices.values():
        for bridge in device.bridges.values():
            named = 0
            for part in bridge.private.values():
                named |= part.secondaries if part.kind is PrivateKind.PRIMARY else 0
            for vid, part in bridge.private.items():
                above = of(one for one, its in bridge.private.items() if its.secondaries >> vid & 1)
                if told.get(device.name, 0) & (1 << vid | above):
                    continue
                if part.kind is None:
                    why = f"VLAN {vid} is associated with a primary VLAN, and is neither isolated nor a community"
                elif part.kind is not PrivateKind.PRIMARY and not named >> vid & 1:
                    why = f"VLAN {vid} is {part.kind} and no primary VLAN is associated with it"
                elif part.kind is PrivateKind.PRIMARY and not part.secondaries:
                    why = f"VLAN {vid} is primary and no VLAN is associated with it"
                else:
                    continue
                yield Finding(
                    code=CODE,
                    name=NAME,
                    severity=Severity.NOTE,
                    headline=f"{device.name}: {why}",
                    why="a port that is put into it will carry nothing",
                    where=evidence(device.name, part.origins, "what the VLAN is", primary=True),
                    vids=1 << vid,
                    at=frozenset({device.name}),
                    cause=False,
                )


def _answers(case: Case, one: PrivatePort) -> bool:
    """Tell whether a port is to answer hosts: a promiscuous port, or a VLAN interface with an address."""
    if one.role is not PrivateRole.PROMISCUOUS or not one.works:
        return False
    return not case.ground.inside(one.place) or case.ground.has_address(one.place)


def _leaves_sight(case: Case, island: set[str]) -> int:
    """Return the VIDs (a bitset) that leave the boxes of an island with a tag: what answers beyond is not known."""
    found = 0
    for name in island:
        for port in case.network.devices[name].bridge_ports.values():
            place = f"{name}:{port.port}"
            if port.private is None and case.network.ends_at(place) and not case.ground.inside(place):
                found |= port.member.possible & ~port.untagged.sure
    return found


def _said(one: PrivatePort) -> Origins:
    return one.port.private.origins if one.port.private else ()


def _listed(places: Sequence[str]) -> str:
    shown = ", ".join(places[:3])
    return f"{shown} and {len(places) - 3} more" if len(places) > 3 else shown
