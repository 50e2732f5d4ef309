"""The members of one bundle are set differently from each other, or from the bundle.

What it finds
    A port of a bundle whose own lines ask for another untagged VLAN, another list of VLANs, or another speed or
    duplex than those of the bundle or of most other members, in families that hold members against each other
    before they join. A member of which no line says anything takes what the bundle says, and is not reported.

Why it matters
    A port that is set otherwise is put out of use, now or at the next restart: half of the bandwidth is gone, and
    with one cord more nothing is left. On some releases it joins, and a VLAN works by the cord that its frames take.

Example
    bridge sw1 exists=10,20 tree=per-vlan
    setting sw1 bundle-members=compared
    port sw1:po1 member=10,20
    port sw1:1 bundle=po1 bundle-mode=active member=10,20
    port sw1:2 bundle=po1 bundle-mode=active member=10
    => B103 sw1:2 sw1:po1

Instead
    bridge sw1 exists=10,20 tree=per-vlan
    setting sw1 bundle-members=compared
    port sw1:po1 member=10,20
    port sw1:1 bundle=po1 bundle-mode=active member=10,20
    port sw1:2 bundle=po1 bundle-mode=active member=10,20
    => clean

When it is intended
    Never. Type VLANs under the bundle's own interface, and they come to its members by themselves.

Reference
    Catalyst 3560 software configuration guide OL-8553-06, "EtherChannel Configuration Guidelines" (members have the
    same mode, native VLAN, allowed VLANs, access VLAN, speed and duplex), page from memory.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from vlancheck.dot1q.model import Device
from vlancheck.dot1q.properties import Property
from vlancheck.findings.case import Case
from vlancheck.findings.finding import Finding, Severity, Where, evidence
from vlancheck.findings.members import Differing, bundles, differing_members, lines_of
from vlancheck.findings.settings import lines, word

CODE = "B103"
NAME = "Members of a bundle are set differently"


def find(case: Case) -> Iterator[Finding]:
    """Yield one finding for each bundle with members that are set otherwise."""
    for device in case.devices.values():
        for bundle in bundles(device):
            if differing := differing_members(device, bundle):
                yield _finding(case, device, bundle, differing)


def _finding(case: Case, device: Device, bundle: str, differing: Sequence[Differing]) -> Finding:
    place = f"{device.name}:{bundle}"
    where: list[Where] = []
    out = []
    for one in differing:
        port = device.ports[one.name]
        where += evidence(f"{device.name}:{one.name}", one.origins, "set otherwise", not where)
        if state := word(port, Property.IN_BUNDLE):
            where += evidence(f"{device.name}:{one.name}", lines(port, Property.IN_BUNDLE), f"shown: {state}")
            out.append(f"{device.name}:{one.name} was shown {state}")
    bundled = device.ports[bundle].configured or device.bridge_ports.get(bundle)
    where += evidence(place, lines_of(bundled) or device.ports[bundle].origins, "the bundle")
    told = "; ".join(f"{device.name}:{one.name} {' and '.join(one.words)}" for one in differing)
    return Finding(
        code=CODE,
        name=NAME,
        severity=Severity.WARNING if out or case.needed_on.get(device.name, 0) else Severity.NOTE,
        headline=f"members of {place} are set differently: {told}",
        why="a member that is set otherwise is put out of use" + (f": {', '.join(out)}" if out else ""),
        where=tuple(dict.fromkeys(where)),
        at=frozenset({place, *(f"{device.name}:{one.name}" for one in differing)}),
    )
