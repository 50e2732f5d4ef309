"""Ports in use are put into a VLAN that their own bridge does not have.

What it finds
    A port at which something hangs or is plugged in, whose untagged VLAN is missing from the bridge's table of
    VLANs; and lines that put such a port into a VLAN, tagged or not, by a name that no VLAN there has. All such ports
    of one bridge are one finding.

Why it matters
    The lamp is on and nothing passes: the bridge drops what arrives there.

Example
    bridge sw1 exists=1,10
    port sw1:1 member=10 pvid=10 untagged=10
    port sw1:2 member=30 pvid=30 untagged=30
    serves sw1:2 a desk
    => V102 sw1

Instead
    bridge sw1 exists=1,10,30
    port sw1:1 member=10 pvid=10 untagged=10
    port sw1:2 member=30 pvid=30 untagged=30
    serves sw1:2 a desk
    => clean

When it is intended
    When unused ports are put into a VLAN that does not exist, to keep them dead. With nothing plugged in, and
    nothing said to hang there, nothing is reported.

Reference
    IEEE Std 802.1Q-2022, 8.8 and 12.10.2 (a frame is relayed only in a VLAN that the bridge has), from memory. That
    a port whose VLAN was deleted stays up and passes nothing is common practice.
"""

from __future__ import annotations

from collections.abc import Iterator

from vlancheck.dot1q.model import Unread
from vlancheck.findings.case import Case
from vlancheck.findings.ends import absent_access
from vlancheck.findings.finding import Finding, Severity, Where, evidence
from vlancheck.findings.nameless import nameless
from vlancheck.places import split_place
from vlancheck.vids import of, text

CODE = "V102"
NAME = "A port's VLAN does not exist"
_NAMED = 4  # ports named in the headline


def find(case: Case) -> Iterator[Finding]:
    """Yield one finding for every bridge that lacks the untagged VLAN of ports in use."""
    for device, box in case.network.devices.items():
        for name in box.bridges:
            gone = case.deleted_at(device)  # another check tells of these
            if dead := {vid: at for vid, at in absent_access(case, device, name).items() if not gone >> vid & 1}:
                yield _finding(case, device, name, dead)
        if lines := nameless(case, device):
            yield _misnamed(case, device, lines)


def _finding(case: Case, device: str, bridge: str, dead: dict[int, list[str]]) -> Finding:
    box = case.network.devices[device]
    vids = of(dead)
    ports = [place for places in dead.values() for place in places]
    told = _told(ports)
    where: list[Where] = []
    for vid, places in dead.items():
        where += evidence(device, box.bridges[bridge].exists.why(vid)[1], f"does not have VLAN {vid}", not where)
        for place in places[:_NAMED]:
            port = split_place(place)[1]
            origins = next(one.pvid.origins for one in box.bridge_ports.values() if one.port == port)
            where += evidence(place, origins or case.named_at(place), f"untagged VLAN {vid}")
    return Finding(
        code=CODE,
        name=NAME,
        severity=Severity.WARNING,
        headline=f"{device} does not have VLAN {text(vids)}, the VLAN of {told}",
        why=f"untagged frames that arrive at {'these ports' if len(ports) > 1 else ports[0]} are lost there",
        where=tuple(where),
        vids=vids,
        at=frozenset({device}),
    )


def _misnamed(case: Case, device: str, lines: list[Unread]) -> Finding:
    called = ", ".join(f"`{name}`" for name in dict.fromkeys(line.absent for line in lines))
    places = list(dict.fromkeys(f"{device}:{line.port}" for line in lines))
    where: list[Where] = []
    for line in lines:
        where += evidence(f"{device}:{line.port}", line.origin, f"names {line.absent}", not where)
    return Finding(
        code=CODE,
        name=NAME,
        severity=Severity.WARNING,
        headline=f"{device} has no VLAN called {called}, which lines put {_told(places)} into",
        why="the device refuses such a line, or the port is in no such VLAN; either way what is meant is not carried",
        where=tuple(where),
        at=frozenset({device}),
        settled_by="which VLAN is meant, and what the device itself shows of these ports",
    )


def _told(ports: list[str]) -> str:
    return ", ".join(ports[:_NAMED]) + (f" and {len(ports) - _NAMED} more" if len(ports) > _NAMED else "")
