"""The VLAN of a tunnel leaves a trunk of the same switch without tag, so that the customer's frames lose the outer one.

What it finds
    A bridge with a port that puts a tag around whatever comes (a tunnel), and another port of it that tags VLANs and
    sends just this one untagged.

Why it matters
    On that trunk a frame of the customer has only the tag that the customer gave it. The next switch takes it for one
    of its own VLANs: it lands at another customer, or nowhere.

Example
    bridge edge exists=30,40
    port edge:1 pvid=40 member=40 untagged=40
    entry edge:1 push=40
    port edge:2 pvid=40 member=30,40 untagged=40
    => Q101 edge:2

Instead
    bridge edge exists=30,40
    port edge:1 pvid=40 member=40 untagged=40
    entry edge:1 push=40
    port edge:2 member=30,40
    => clean

When it is intended
    When the trunk leads to the customer's own other end, and nothing else is on it.

Reference
    Catalyst 2960-XR VLAN guide, OL-29440-01, p. 127, and Metro Ethernet 3400 software configuration guide,
    78-17058-01, p. 13-5 (native VLANs and tunnels: tag the native VLAN, or take one outside the customers' range).
"""

from __future__ import annotations

from collections.abc import Iterator

from vlancheck.dot1q.model import BridgePort
from vlancheck.findings.case import Case
from vlancheck.findings.ends import plain_end
from vlancheck.findings.finding import Finding, Severity, evidence
from vlancheck.vids import WIRE, text

CODE = "Q101"
NAME = "A tunnel's VLAN leaves a trunk untagged"


def find(case: Case) -> Iterator[Finding]:
    """Yield one finding for every trunk that takes the tag of a tunnel away."""
    for device, box in case.network.devices.items():
        tunnels = {(one.bridge, vid): f"{device}:{one.port}" for one in box.bridge_ports.values() for vid in _tag(one)}
        for one in box.bridge_ports.values() if tunnels else ():
            end = plain_end(case, place := f"{device}:{one.port}")
            if end is None or not end.tags or case.ground.inside(place):
                continue
            bare = one.member.sure & one.untagged.sure & WIRE
            for (bridge, vid), tunnel in tunnels.items():
                if bridge != one.bridge or not bare >> vid & 1:
                    continue
                yield Finding(
                    code=CODE,
                    name=NAME,
                    severity=Severity.WARNING,
                    headline=f"{place} sends VLAN {vid} untagged, and {tunnel} puts its tag around a customer's frames",
                    why=f"on {place} such a frame has the customer's tag alone, and is taken for VLAN {text(end.tags)}",
                    where=(
                        *evidence(place, one.untagged.why(vid)[1], f"VLAN {vid} untagged", True),
                        *evidence(tunnel, case.named_at(tunnel), f"a tunnel in VLAN {vid}"),
                    ),
                    vids=1 << vid,
                    at=frozenset({place}),
                )


def _tag(port: BridgePort) -> tuple[int, ...]:
    """Return the VID that a port puts around every frame, where it is such a tunnel."""
    vid = port.pvid.value
    pushes = any(row.push and not row.pop and not row.match and not row.drop for row in port.entry)
    return (vid,) if isinstance(vid, int) and not port.doubt and (pushes or not port.tpids) else ()
