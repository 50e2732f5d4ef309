"""A sub-interface has an address and no line that says which tag it takes.

What it finds
    An address on an interface that is called like a part of a port (`Gi0/0.20`), where other parts of the port take a
    tag, and no line that gives it one.

Why it matters
    Most routers refuse the address then, or keep the interface dead: the VLAN has no gateway, and the list of
    interfaces shows an address where it belongs.

Example
    device r1 kind=router
    port r1:Gi0/0
    end r1:Gi0/0.10 on=Gi0/0 takes=10 address=yes
    setting r1 "address:Gi0/0.10"=192.0.2.1 "address:Gi0/0.20"=192.0.2.129
    => R103 r1:Gi0/0

Instead
    device r1 kind=router
    port r1:Gi0/0
    end r1:Gi0/0.10 on=Gi0/0 takes=10 address=yes
    end r1:Gi0/0.20 on=Gi0/0 takes=20 address=yes
    setting r1 "address:Gi0/0.10"=192.0.2.1 "address:Gi0/0.20"=192.0.2.129
    => clean

When it is intended
    Never.

Reference
    Common practice, no source: the tag of a sub-interface is set before its address.
"""

from __future__ import annotations

from collections.abc import Iterator

from vlancheck.findings.case import Case
from vlancheck.findings.finding import Finding, Severity, evidence
from vlancheck.findings.routed import ADDRESS, numbered, tagless
from vlancheck.vids import of

CODE = "R103"
NAME = "A sub-interface takes no tag"


def find(case: Case) -> Iterator[Finding]:
    """Yield one finding for every port with parts that have an address and no tag."""
    for device, box in case.network.devices.items():
        for port, names in tagless(box).items():
            place = f"{device}:{port}"
            origins = tuple(origin for name in names for origin in box.settings[ADDRESS + name].origins)
            several = len(names) > 1
            yield Finding(
                code=CODE,
                name=NAME,
                severity=Severity.WARNING,
                headline=f"{device}: no line says which tag {', '.join(names)} {'take' if several else 'takes'}",
                why="it is refused or stays dead, and its VLAN has no gateway",
                where=evidence(place, origins, "an address without a tag", True),
                vids=of(vid for name in names if (vid := numbered(name)) is not None),
                at=frozenset({place}),
            )
