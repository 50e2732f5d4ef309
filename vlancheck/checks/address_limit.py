"""More addresses were seen behind a handoff than the carrier learns there.

What it finds
    An order with a `mac-limit`, and more different addresses than that, learned on our side in the VLANs of the
    services that enter there. Addresses learned at the handoff itself are the carrier's side and do not count.

Why it matters
    The first devices work, and the router that was swapped or the switch that was put between never does, until
    hours later or after a power cycle.

Example
    bridge sw1 exists=1,310
    port sw1:1 member=310
    port sw1:2 pvid=310 member=310 untagged=310
    hears sw1:2 00:00:5e:00:53:01 vid=310
    hears sw1:2 00:00:5e:00:53:02 vid=310
    handoff sw1:1
    ordered sw1:1 circuit=EX-0001 carrier=metro mac-limit=1
    service records 310 at sw1:1 -> sw1:2 untagged
    => E109 sw1:1

Instead
    bridge sw1 exists=1,310
    port sw1:1 member=310
    port sw1:2 pvid=310 member=310 untagged=310
    hears sw1:2 00:00:5e:00:53:01 vid=310
    handoff sw1:1
    ordered sw1:1 circuit=EX-0001 carrier=metro mac-limit=1
    service records 310 at sw1:1 -> sw1:2 untagged
    => clean

When it is intended
    Never; a table of addresses is one moment, and there may be more than it shows.

Reference
    MEF 6.2, R24 (an EPL has no such limit). That a carrier drops the frames of one address more is common practice,
    no source.
"""

from __future__ import annotations

from collections.abc import Iterator

from vlancheck.evidence import Origins
from vlancheck.findings.carrier import services_at
from vlancheck.findings.case import Case
from vlancheck.findings.finding import Finding, Severity, evidence
from vlancheck.vids import of

CODE = "E109"
NAME = "More addresses than the carrier learns"


def find(case: Case) -> Iterator[Finding]:
    """Yield one finding for every handoff with more addresses behind it than were ordered."""
    for place, orders in case.ordered.items():
        limits = [one for one in orders if one.mac_limit is not None]
        seen = _behind(case, place) if limits else {}
        for order in limits:
            if order.mac_limit is None or len(seen) <= order.mac_limit:
                continue
            at, origins = next(iter(seen.values()))
            yield Finding(
                code=CODE,
                name=NAME,
                severity=Severity.WARNING,
                headline=f"{len(seen)} addresses were seen behind {place}, and the carrier learns {order.mac_limit} "
                f"({order.called})",
                why="frames of the addresses beyond the limit are dropped, whichever came last",
                where=(
                    *evidence(place, order.said["mac-limit"].origins, "the order", True),
                    *evidence(at, origins, f"one of {len(seen)} addresses"),
                ),
                at=frozenset({place}),
                settled_by=f"ask the carrier how many addresses it has learned at {order.called}, and what clears them",
                cause=False,
            )


def _behind(case: Case, place: str) -> dict[str, tuple[str, Origins]]:
    """Return the addresses learned in the VLANs of a handoff's services: address -> where, the line."""
    vids = of(vid for order in services_at(case, place) for vid in case.relay_vids(order))
    found: dict[str, tuple[str, Origins]] = {}
    theirs: set[str] = set()
    for device in case.devices.values():
        for port in device.ports.values():
            at = f"{device.name}:{port.name}"
            outside = case.network.stands_for.get(at, at) in case.network.handoffs
            for one in port.seen:
                if outside and one.mac:
                    theirs.add(one.mac)
                elif one.mac and one.vid is not None and vids >> one.vid & 1:
                    found.setdefault(one.mac, (at, one.origins))
    return {mac: seen for mac, seen in found.items() if mac not in theirs}
