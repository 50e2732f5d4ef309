"""One end of a link marks its tags with another TPID than the other end takes for a tag.

What it finds
    A link between two bridges with needed VLANs that leave one end tagged, where the TPID that this end sends is none
    that the other end takes. Tunnel ports, which take no TPID for a tag on purpose, are no such end.

Why it matters
    The far end takes every tagged frame for an untagged one: all VLANs fall into one, or all are dropped.

Example
    bridge sw1 exists=10
    port sw1:1 pvid=10 member=10 untagged=10
    port sw1:2 member=10 tpids=9100 sends=9100
    bridge sw2 exists=10
    port sw2:1 pvid=10 member=10 untagged=10
    port sw2:2 member=10
    link sw1:2 sw2:2
    vlan 10 -> sw1:1 untagged, sw2:1 untagged
    => L105 sw1:2 sw2:2

Instead
    bridge sw1 exists=10
    port sw1:1 pvid=10 member=10 untagged=10
    port sw1:2 member=10 tpids=9100 sends=9100
    bridge sw2 exists=10
    port sw2:1 pvid=10 member=10 untagged=10
    port sw2:2 member=10 tpids=9100 sends=9100
    link sw1:2 sw2:2
    vlan 10 -> sw1:1 untagged, sw2:1 untagged
    => clean

When it is intended
    When the far end is to carry the near end's VLANs as data, inside one VLAN of its own: make it a tunnel port.

Reference
    IEEE Std 802.1Q-2022, 9.4 and Table 9-1 (8100 marks a C-tag, 88A8 an S-tag); a port knows no other by itself.
"""

from __future__ import annotations

from collections.abc import Iterator

from vlancheck.dot1q.model import BridgePort
from vlancheck.findings.case import Case
from vlancheck.findings.finding import Finding, Severity, evidence
from vlancheck.places import split_place
from vlancheck.vids import WIRE, text

CODE = "L105"
NAME = "The ends of a link use different TPIDs"


def find(case: Case) -> Iterator[Finding]:
    """Yield one finding for every link over which needed tags are not taken for tags."""
    for link in case.links():
        one, other = _whole(case, link.one), _whole(case, link.other)
        if one is None or other is None:
            continue
        for place, sender, far, taker in ((link.one, one, link.other, other), (link.other, other, link.one, one)):
            vids = sender.member.sure & ~sender.untagged.possible & case.needed_across(link) & WIRE
            if not vids or not taker.tpids or sender.sends in taker.tpids:
                continue
            knows = ", ".join(f"{one:04x}" for one in sorted(taker.tpids))
            yield Finding(
                code=CODE,
                name=NAME,
                severity=Severity.WARNING,
                headline=f"{place} marks tags with TPID {sender.sends:04x}, and {far} takes only {knows} for a tag",
                why=f"VLAN {text(vids)} from {place} is one untagged mixture at {far}, or is dropped there",
                where=(
                    *evidence(place, sender.tpid_origins or case.named_at(place), f"sends {sender.sends:04x}", True),
                    *evidence(far, taker.tpid_origins or case.named_at(far), f"takes {knows}"),
                ),
                at=frozenset({link.one, link.other}),
            )
            break


def _whole(case: Case, place: str) -> BridgePort | None:
    """Return the bridge port that takes every frame of a port; None where there are several, or it is in doubt."""
    device, port = split_place(place)
    here = [one for one in case.network.devices[device].bridge_ports.values() if one.port == port]
    return here[0] if len(here) == 1 and not here[0].select and not here[0].doubt else None
