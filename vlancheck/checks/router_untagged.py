"""The untagged interface of a router and the untagged VLAN of the switch port before it are not the same.

What it finds
    A port that ends frames where a VLAN is declared untagged, or whose untagged interface has a VLAN's number in its
    name (`Gi0/0.99`), and a bridge port facing it that sends another VLAN untagged, tags this one, or sends no
    untagged frame.

Why it matters
    The VLAN has no gateway; another VLAN, the switch's untagged one, gets its gateway instead.

Example
    bridge sw1 exists=1,10,99
    port sw1:1 member=1,10,99 pvid=1 untagged=1
    port sw1:2 member=99 pvid=99 untagged=99
    port sw1:3 member=10 pvid=10 untagged=10
    device r1 kind=router
    port r1:1
    end r1:1.10 on=1 takes=10
    end r1:1.99 on=1 takes=0,untagged
    link sw1:1 r1:1
    vlan 10 -> sw1:3 untagged, r1:1 10
    vlan 99 -> sw1:2 untagged, r1:1 untagged
    => R104 sw1:1

Instead
    bridge sw1 exists=1,10,99
    port sw1:1 member=10,99 pvid=99 untagged=99
    port sw1:2 member=99 pvid=99 untagged=99
    port sw1:3 member=10 pvid=10 untagged=10
    device r1 kind=router
    port r1:1
    end r1:1.10 on=1 takes=10
    end r1:1.99 on=1 takes=0,untagged
    link sw1:1 r1:1
    vlan 10 -> sw1:3 untagged, r1:1 10
    vlan 99 -> sw1:2 untagged, r1:1 untagged
    => clean

When it is intended
    When the number in the interface's name means nothing, and no VLAN is declared there untagged.

Reference
    IEEE Std 802.1Q-2022, 6.9 (an untagged frame gets the PVID of the port), from memory. That one sub-interface takes
    the untagged frames, and its VLAN is the untagged one of the switch, is common practice.
"""

from __future__ import annotations

from collections.abc import Iterator

from vlancheck.evidence import Origins
from vlancheck.findings.case import Case
from vlancheck.findings.finding import Finding, Severity, evidence
from vlancheck.findings.routed import RoutedLink, numbered, routed_links, takes_untagged
from vlancheck.verdicts.orders import OrderKind

CODE = "R104"
NAME = "The untagged VLAN toward a router is another one"


def find(case: Case) -> Iterator[Finding]:
    """Yield one finding for every cord whose untagged frames are of one VLAN here and of another one there."""
    for link in routed_links(case):
        facing = link.facing
        meant = _meant(case, link)
        if meant is None:
            continue
        vid, called, origins, declared = meant
        may_bare = facing.port.member.possible & facing.port.untagged.possible
        if may_bare >> vid & 1 or not (declared or facing.tags >> vid & 1):
            continue
        does = f"tags VLAN {vid}" if facing.tags >> vid & 1 else f"does not send VLAN {vid}"
        other = f" and sends VLAN {facing.bare} untagged" if facing.bare is not None else ""
        yield Finding(
            code=CODE,
            name=NAME,
            severity=Severity.WARNING if declared else Severity.NOTE,
            headline=f"{facing.place} {does}{other}, and {called} at {link.place} takes untagged frames for VLAN {vid}",
            why=f"VLAN {vid} has no gateway there"
            + (f"; VLAN {facing.bare} gets its gateway instead" if facing.bare is not None else ""),
            where=(
                *evidence(facing.place, facing.why_member(vid) or facing.port.pvid.origins, does, True),
                *evidence(link.place, origins, f"VLAN {vid} untagged"),
            ),
            vids=1 << vid | (1 << facing.bare if facing.bare is not None else 0),
            at=frozenset({facing.place}),
        )


def _meant(case: Case, link: RoutedLink) -> tuple[int, str, Origins, bool] | None:
    """Return the VLAN that is meant untagged at a port: VID, who takes it, evidence, whether it is declared."""
    bare = [end for end in link.ends if end.select and takes_untagged(end) and end.up.value is not False]
    if len(bare) != 1:
        return None
    end = bare[0]
    for order in case.orders:
        if order.kind is OrderKind.VLAN:
            for stop in order.stops:
                if stop.place == link.place and stop.frame == ():
                    return order.vid, end.name, end.origins, True
    vid = numbered(end.name)
    return None if vid is None else (vid, end.name, end.origins, bool(link.untaken(case) >> vid & 1))
