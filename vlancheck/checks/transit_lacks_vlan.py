"""A bridge that a VLAN must cross does not have the VLAN, or has it suspended, though its ports would carry it.

What it finds
    A device with at least two ports that carry a VLAN where it is needed on both sides of them, and whose own table
    of VLANs does not have it, or has it suspended or shut down.

Why it matters
    The list of every port allows the VLAN, so every link looks right; the bridge drops its frames all the same. A
    switch in the middle, with no port of its own in the VLAN, is where this is forgotten.

Example
    bridge sw1 exists=10
    port sw1:1 member=10 pvid=10 untagged=10
    port sw1:2 member=10
    bridge sw2 exists=1
    port sw2:1 member=1-4094
    port sw2:2 member=1-4094
    bridge sw3 exists=10
    port sw3:1 member=10
    port sw3:2 member=10 pvid=10 untagged=10
    link sw1:2 sw2:1
    link sw2:2 sw3:1
    vlan 10 -> sw1:1 untagged, sw3:2 untagged
    => V101 sw2

Instead
    bridge sw1 exists=10
    port sw1:1 member=10 pvid=10 untagged=10
    port sw1:2 member=10
    bridge sw2 exists=1,10
    port sw2:1 member=1-4094
    port sw2:2 member=1-4094
    bridge sw3 exists=10
    port sw3:1 member=10
    port sw3:2 member=10 pvid=10 untagged=10
    link sw1:2 sw2:1
    link sw2:2 sw3:1
    vlan 10 -> sw1:1 untagged, sw3:2 untagged
    => clean

When it is intended
    When the VLAN must not cross this device. Then keep it off the lists of its ports as well.

Reference
    IEEE Std 802.1Q-2022, 8.8 and 12.10.2 (a frame is relayed only in a VLAN that the bridge has), from memory. That
    every switch on the way needs the VLAN, even with no port of its own in it, is common practice.
"""

from __future__ import annotations

from collections.abc import Iterator

from vlancheck.dot1q.model import Bridge
from vlancheck.evidence import Cover
from vlancheck.findings.case import Case
from vlancheck.findings.ends import absent_access
from vlancheck.findings.finding import Finding, Severity, Where, evidence
from vlancheck.findings.tables import needed_through
from vlancheck.vids import first, text

CODE = "V101"
NAME = "A VLAN is missing on a bridge it must cross"


def find(case: Case) -> Iterator[Finding]:
    """Yield one finding for every bridge that lacks, or suspends, VLANs that must cross it."""
    for device, box in case.network.devices.items():
        for name, bridge in box.bridges.items():
            ports = [port for port in box.bridge_ports.values() if port.bridge == name]
            carrying = {f"{device}:{port.port}": bits for port in ports if (bits := needed_through(case, device, port))}
            once = crossing = 0
            for bits in carrying.values():
                crossing |= once & bits
                once |= bits
            for vid in absent_access(case, device, name):
                crossing &= ~(1 << vid)
            crossing &= ~case.deleted_at(device)  # another check tells of these
            if absent := crossing & ~bridge.exists.possible:
                yield _finding(device, bridge, bridge.exists, absent, carrying, "does not have")
            if asleep := crossing & bridge.exists.sure & ~bridge.active.possible:
                yield _finding(device, bridge, bridge.active, asleep, carrying, "has suspended")


def _finding(device: str, bridge: Bridge, decided: Cover, vids: int, carrying: dict[str, int], lacks: str) -> Finding:
    ports = [place for place, bits in carrying.items() if bits & vids]
    which = f"{device} ({bridge.name})" if bridge.name else device
    where: list[Where] = list(evidence(device, decided.why(first(vids))[1], f"{lacks} VLAN {text(vids)}", primary=True))
    return Finding(
        code=CODE,
        name=NAME,
        severity=Severity.WARNING,
        headline=f"{which} {lacks} VLAN {text(vids)}, which must cross it between {' and '.join(ports[:2])}",
        why=f"frames of VLAN {text(vids)} that arrive at {device} are lost there, whatever the lists of its ports say",
        where=tuple(where),
        vids=vids,
        at=frozenset({device}),
    )
