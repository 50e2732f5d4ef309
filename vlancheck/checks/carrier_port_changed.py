"""A handoff's cord is in another port of the carrier's box than the one its service comes out of.

What it finds
    A cord from a handoff to a box of the carrier whose port there is not the `nid-port` of the order; where the order
    names none, not the port that the same circuit was in before.

Why it matters
    Each port of the carrier's box is another service. One port off, the internet works and the telephones are dead.

Example
    bridge sw1 exists=1,310
    port sw1:1 member=310
    port sw1:2 pvid=310 member=310 untagged=310
    device nid kind=carrier-box owner=carrier
    port nid:lan1
    port nid:lan2
    link sw1:1 nid:lan2
    handoff sw1:1
    ordered sw1:1 circuit=EX-0001 carrier=metro nid-port=nid:lan1
    service records 310 at sw1:1 -> sw1:2 untagged
    => E105 sw1:1

Instead
    bridge sw1 exists=1,310
    port sw1:1 member=310
    port sw1:2 pvid=310 member=310 untagged=310
    device nid kind=carrier-box owner=carrier
    port nid:lan1
    port nid:lan2
    link sw1:1 nid:lan1
    handoff sw1:1
    ordered sw1:1 circuit=EX-0001 carrier=metro nid-port=nid:lan1
    service records 310 at sw1:1 -> sw1:2 untagged
    => clean

When it is intended
    When the carrier moved the service: put the new port into site.yaml.

Reference
    Common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator

from vlancheck.dot1q.model import DeviceKind
from vlancheck.evidence import Origins
from vlancheck.findings.case import Case
from vlancheck.findings.finding import Finding, Severity, evidence
from vlancheck.places import split_place
from vlancheck.site.handoffs import Handoff

CODE = "E105"
NAME = "A handoff is at another port of the carrier's box"


def find(case: Case) -> Iterator[Finding]:
    """Yield one finding for every handoff whose cord leads to a port that is not the service's."""
    for place, orders in case.ordered.items():
        here = carrier_port(case, place)
        for order in orders:
            meant, origins, said = _meant(case, order)
            if not here or not meant or _same(meant, here):
                continue
            yield Finding(
                code=CODE,
                name=NAME,
                severity=Severity.WARNING,
                headline=f"{order.called} at {place} is corded to {here}, and {said} {meant}",
                why="another port of the carrier's box is another service",
                where=(
                    *evidence(place, _cord(case, place), f"the cord to {here}", True),
                    *evidence(place, origins, said),
                ),
                at=frozenset({place}),
            )


def carrier_port(case: Case, place: str) -> str:
    """Return the port of a carrier's box (DEVICE:PORT) to which the cord of a handoff leads; "" for none."""
    far = case.network.peer.get(place, "")
    box = case.network.devices.get(split_place(far)[0]) if far else None
    return far if box is not None and box.kind is DeviceKind.CARRIER_BOX else ""


def _meant(case: Case, order: Handoff) -> tuple[str, Origins, str]:
    if order.nid_port:
        return order.nid_port, order.said["nid-port"].origins, "its service comes out of"
    if case.earlier is None or not order.circuit:
        return "", (), ""
    for old, several in case.earlier.ordered.items():
        if any(one.circuit.casefold() == order.circuit.casefold() for one in several):
            return carrier_port(case.earlier, old), _cord(case.earlier, old), "before it was at"
    return "", (), ""


def _same(meant: str, here: str) -> bool:
    """Tell whether a port as written, with its box or without, is the one at the cord."""
    return meant.casefold() in (here.casefold(), split_place(here)[1].casefold())


def _cord(case: Case, place: str) -> Origins:
    link = next((one for one in case.network.links if place in (one.one, one.other)), None)
    return (link.origins if link is not None else ()) or case.named_at(place)
