"""A switch that is given its VLANs over VTP could not hear them after a loss of power.

What it finds
    A switch in VTP mode client of which no link to another switch is a trunk whose untagged VLAN is 1: every one has
    another untagged VLAN, or is an access port.

Why it matters
    A client may start without the VLANs it was given. Then it has VLAN 1 alone, the untagged VLAN of its uplink does
    not exist, and the uplink comes up inactive: nothing brings the VLANs, and all its ports stay inactive. Power-off
    is part of every move.

Example
    bridge sw1 exists=1,10,99
    setting sw1 vtp-mode=client vtp-domain=quay
    port sw1:1 member=10 pvid=10 untagged=10
    port sw1:2 member=10,99 pvid=99 untagged=99
    bridge sw2 exists=1,10,99
    port sw2:1 member=10 pvid=10 untagged=10
    port sw2:2 member=10,99 pvid=99 untagged=99
    link sw1:2 sw2:2
    vlan 10 -> sw1:1 untagged, sw2:1 untagged
    => V105 sw1

Instead
    bridge sw1 exists=1,10,99
    setting sw1 vtp-mode=transparent vtp-domain=quay
    port sw1:1 member=10 pvid=10 untagged=10
    port sw1:2 member=10,99 pvid=99 untagged=99
    bridge sw2 exists=1,10,99
    port sw2:1 member=10 pvid=10 untagged=10
    port sw2:2 member=10,99 pvid=99 untagged=99
    link sw1:2 sw2:2
    vlan 10 -> sw1:1 untagged, sw2:1 untagged
    => clean

When it is intended
    Never before a move: make the switch transparent, and save it, before it is switched off.

Reference
    "Troubleshooting VLAN Trunk Protocol (VTP)", Cisco document 98155, "All Ports Inactive After Power Cycle"; what it
    says is from memory. Newer releases keep the VLANs of a client in a file, from memory.
"""

from __future__ import annotations

from collections.abc import Iterator

from vlancheck.findings.advertised import Sharing, sharing
from vlancheck.findings.case import Case
from vlancheck.findings.ends import PlainEnd, plain_end
from vlancheck.findings.finding import Finding, Severity, Where, evidence
from vlancheck.places import split_place

CODE = "V105"
NAME = "VLANs may be lost with the power"
_HEARD = 1  # VLAN in which VTP is heard


def find(case: Case) -> Iterator[Finding]:
    """Yield a finding for each client that has no uplink over which it could be told its VLANs."""
    clients = {name: one for name, one in sharing(case).items() if one.mode == "client" and one.shares}
    uplinks: dict[str, list[PlainEnd | None]] = {}
    for link in case.links() if clients else ():
        for place in (link.one, link.other):
            if (device := split_place(place)[0]) in clients:
                uplinks.setdefault(device, []).append(plain_end(case, place))
    for device, ends in uplinks.items():
        known = [one for one in ends if one is not None]
        if len(known) == len(ends) and all(map(_deaf, known)):
            yield _finding(case, clients[device], known)


def _deaf(end: PlainEnd) -> bool:
    """Tell whether an end surely is no trunk whose untagged VLAN is 1.

    A trunk that takes no untagged frames may have 1 off its list, which keeps no VTP from it.
    """
    return end.access or (end.pvid is not None and end.pvid != _HEARD)


def _finding(case: Case, client: Sharing, ends: list[PlainEnd]) -> Finding:
    places = " and ".join(end.place for end in ends[:2]) + (f" and {len(ends) - 2} more" if len(ends) > 2 else "")
    where: list[Where] = list(evidence(client.device, client.origins, "is a client", True))
    for end in ends:
        label = "is an access port" if end.access else f"untagged VLAN {end.pvid}"
        where += evidence(end.place, end.port.pvid.origins or case.named_at(end.place), label)
    return Finding(
        code=CODE,
        name=NAME,
        severity=Severity.WARNING if case.needed_on.get(client.device, 0) else Severity.NOTE,
        headline=f"{client.device} is a VTP client, and no trunk to another switch has untagged VLAN 1: {places}",
        why=f"after a loss of power {client.device} may have VLAN 1 alone, and no way to be told the others",
        where=tuple(where),
        at=frozenset({client.device}),
        cause=False,
    )
