"""A switch's own interface in a VLAN is down, since no port of that VLAN is up.

What it finds
    An interface of a switch with an address, in a VLAN that is declared, where every port of the switch that could
    carry the VLAN is shut or shows no link, or where there is no such port. A link to another switch that is down
    is told by itself.

Why it matters
    A switch takes such an interface down, and with it the gateway, or its own address, from one second to the next:
    it cannot be reached, although its lines are right.

Example
    bridge sw1 exists=1,30
    port sw1:1 member=30 link=no
    port sw1:Vlan30 kind=inside pvid=30 member=30 untagged=30
    setting sw1 "address:Vlan30"=192.0.2.1
    vlan 30 -> sw1:Vlan30 untagged
    => R106 sw1:Vlan30

Instead
    bridge sw1 exists=1,30
    port sw1:1 member=30 link=yes
    port sw1:Vlan30 kind=inside pvid=30 member=30 untagged=30
    setting sw1 "address:Vlan30"=192.0.2.1
    vlan 30 -> sw1:Vlan30 untagged
    => clean

When it is intended
    When nothing is plugged in yet. A capture shows one moment: at night every desk is off.

Reference
    Common practice, no source: a VLAN's interface is up while one port of the VLAN is up and forwards.
"""

from __future__ import annotations

from collections.abc import Iterator

from vlancheck.dot1q.model import PortKind
from vlancheck.evidence import join
from vlancheck.findings.case import Case
from vlancheck.findings.finding import Finding, Severity, evidence
from vlancheck.findings.handoffs import own_interfaces
from vlancheck.places import split_place
from vlancheck.verdicts.orders import OrderKind

CODE = "R106"
NAME = "A gateway interface is down, nothing is up in its VLAN"


def find(case: Case) -> Iterator[Finding]:
    """Yield one finding for every interface of a declared VLAN on a switch that has no port up in it."""
    declared = {order.vid for order in case.orders if order.kind is OrderKind.VLAN}
    for place, vid, _, _ in own_interfaces(case):
        device, port = split_place(place)
        box = case.network.devices[device]
        if vid not in declared or box.ports[port].up.value is False:
            continue
        bridge = next(one.bridge for one in box.bridge_ports.values() if one.port == port)
        carrying = [
            one
            for one in box.bridge_ports.values()
            if one.bridge == bridge
            and box.ports[one.port].kind is not PortKind.INSIDE
            and (one.doubt or one.member.possible >> vid & 1 or one.pvid.value == vid)
        ]
        if any(
            one.doubt or False not in (one.up.value, box.ports[one.port].up.value, box.ports[one.port].link.value)
            for one in carrying
        ):
            continue
        if any(case.relays(far) for one in carrying if (far := case.network.peer.get(f"{device}:{one.port}"))):
            continue  # the link that is down is what there is to tell
        ports = [box.ports[one.port] for one in carrying]
        origins = join(*(fact.origins for one in ports for fact in (one.up, one.link) if fact.value is False))
        shut = bool(ports) and all(one.up.value is False for one in ports)
        if not ports:
            words = f"no port of {device} is in VLAN {vid}"
        else:
            words = f"every port of VLAN {vid} on {device} {'is shut' if shut else 'is shut or shows no link'}"
        at = [place, *(f"{device}:{one.name}" for one in ports)]
        yield Finding(
            code=CODE,
            name=NAME,
            severity=Severity.WARNING if shut or not ports else Severity.NOTE,
            headline=f"{place} is down: {words}",
            why=f"its address cannot be reached in VLAN {vid} while that is so",
            where=(
                *evidence(place, case.named_at(place), f"an address in VLAN {vid}", True),
                *evidence(at[-1], origins, "down"),
            ),
            vids=1 << vid,
            at=frozenset({place}),
            settled_by="" if shut or not ports else f"the state of {place} by day, as {device} prints it",
        )
