"""A port with a root guard leads to the root of the tree.

What it finds
    A root guard at a port beyond which the root of a spanning tree is, by priorities, addresses and path costs that
    were read: on the way to the root, or at the far end of a link by which another switch is nearer to it. Where these
    leave open who is the root, nothing is told.

Why it matters
    The guarded port hears of a better root than it may, and forwards nothing: what only this link carries is cut as
    soon as the lines are there, and every line for its VLANs looks right.

Example
    bridge core exists=10 tree=per-vlan priority=4096
    port core:1 member=10
    port core:2 member=10 pvid=10 untagged=10
    bridge access exists=10 tree=per-vlan priority=32768
    port access:1 member=10
    port access:2 member=10 pvid=10 untagged=10
    set access:1 root-guard=yes
    link core:1 access:1
    => K105 access:1

Instead
    bridge core exists=10 tree=per-vlan priority=4096
    port core:1 member=10
    port core:2 member=10 pvid=10 untagged=10
    bridge access exists=10 tree=per-vlan priority=32768
    port access:1 member=10
    port access:2 member=10 pvid=10 untagged=10
    set core:1 root-guard=yes
    link core:1 access:1
    => clean

When it is intended
    Never at an uplink. A guard belongs at the ports from which no root may come.

Reference
    IEEE Std 802.1Q-2022, 13.27 (restrictedRole), from memory. Dell EMC Networking N-Series user's guide 6.6.3, p. 869
    (manualowl.com): such a port forwards nothing while better BPDUs come, and comes back by itself.
"""

from __future__ import annotations

from collections.abc import Iterator

from vlancheck.dot1q.properties import Property
from vlancheck.evidence import Origins
from vlancheck.findings.case import Case
from vlancheck.findings.ends import kept_out_of_root
from vlancheck.findings.finding import Finding, Severity, Where, evidence
from vlancheck.findings.settings import lines
from vlancheck.places import split_place
from vlancheck.vids import WIRE, first, text

CODE = "K105"
NAME = "A root guard toward the root"


def find(case: Case) -> Iterator[Finding]:
    """Yield one finding for every guarded port that is kept from the root."""
    for device, box in case.network.devices.items():
        for port in box.bridge_ports.values():
            bridge = box.bridges[port.bridge]
            vids = kept_out_of_root(port) & port.member.possible & bridge.exists.possible & WIRE
            place = f"{device}:{port.port}"
            peer = case.network.peer.get(place)
            if vids and peer is not None:
                yield _finding(case, place, peer, vids, port.forwarding.why(first(vids))[1])


def _finding(case: Case, place: str, far: str, vids: int, why: Origins) -> Finding:
    guard = lines(case.network.port(place), Property.ROOT_GUARD)
    where: list[Where] = [*evidence(place, guard, "the guard", True)]
    where += evidence(place, tuple(one for one in why if one not in guard), "decides the root")
    where += evidence(far, case.named_at(far), "the other end")
    device, _ = split_place(place)
    return Finding(
        code=CODE,
        name=NAME,
        severity=Severity.WARNING,
        headline=f"{place} has a root guard, and the way of {device} to the root of VLAN {text(vids)} is {far}",
        why="the port blocks as soon as it hears of the root, and opens again only when it hears of it no more",
        where=tuple(where),
        vids=vids,
        at=frozenset({place}),
    )
