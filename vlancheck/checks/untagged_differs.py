"""Untagged frames that one end of a link sends are of one VLAN, and the other end takes them for another, or for none.

What it finds
    A link between two bridges whose untagged VLAN (PVID, native VLAN) is not the same at both ends; also a link
    where only one end has one, when that VLAN is needed on both sides.

Why it matters
    Frames leave one VLAN and arrive in the other: two networks become one, and neither switch says so unless it
    asks its neighbour. Where both ends run a spanning tree for each VLAN and tag other VLANs, the tree blocks both
    VLANs on the link instead. Where nobody knows which tree runs, neither can be told.

Example
    bridge sw1 exists=10,20 tree=off
    port sw1:1 member=10 pvid=10 untagged=10
    port sw1:2 member=10,20 pvid=10 untagged=10
    bridge sw2 exists=10,20 tree=off
    port sw2:1 member=10 pvid=10 untagged=10
    port sw2:2 member=10,20 pvid=20 untagged=20
    link sw1:2 sw2:2
    vlan 10 -> sw1:1 untagged, sw2:1 untagged
    => L102 sw1:2 sw2:2

Instead
    bridge sw1 exists=10,20 tree=off
    port sw1:1 member=10 pvid=10 untagged=10
    port sw1:2 member=10,20 pvid=10 untagged=10
    bridge sw2 exists=10,20 tree=off
    port sw2:1 member=10 pvid=10 untagged=10
    port sw2:2 member=10,20 pvid=10 untagged=10
    link sw1:2 sw2:2
    vlan 10 -> sw1:1 untagged, sw2:1 untagged
    => clean

When it is intended
    When one network has a different number on each side and the cord joins them on purpose. Where nobody needs
    either VLAN, it is a note only.

Reference
    IEEE Std 802.1Q-2022, 6.9 (an untagged frame gets the PVID of the port it arrives at), from memory. Catalyst
    4500 System Message Guide, chapter SPANTREE, p. 114 (a spanning tree for each VLAN blocks the port).
    ArubaOS-Switch 16.07, "Allowing traffic on VLAN ID (PVID) mismatched links" (the two are merged, or blocked).
"""

from __future__ import annotations

from collections.abc import Iterator

from vlancheck.evidence import Origins
from vlancheck.findings.case import Case
from vlancheck.findings.ends import PlainEnd, plain_ends, tags_at_access
from vlancheck.findings.finding import Finding, Severity, evidence
from vlancheck.places import split_place
from vlancheck.wiring.network import Link

CODE = "L102"
NAME = "The untagged VLANs of a link differ"
_PER_VLAN, _OFF, _UNKNOWN = "per-vlan", "off", "unknown"
_SETTLES = "which spanning tree both ends speak, and what it does at this link"


def find(case: Case) -> Iterator[Finding]:
    """Yield one finding for every link whose untagged frames change their VLAN, or lose one that is needed."""
    for link in case.links():
        ends = plain_ends(case, link)
        if ends is None or tags_at_access(case, link, ends) is not None:
            continue
        one, other = ends
        if _changes(one, other) or _changes(other, one):
            yield _merged(case, one, other)
        else:
            yield from _lost(case, link, one, other)
            yield from _lost(case, link, other, one)


def _changes(sender: PlainEnd, to: PlainEnd) -> bool:
    return sender.bare is not None and to.pvid is not None and sender.bare != to.pvid


def _merged(case: Case, one: PlainEnd, other: PlainEnd) -> Finding:
    vids = 0
    needed = False
    for end in (one, other):
        mine = _bits(end.bare, end.pvid)
        vids |= mine
        needed = needed or bool(case.needed_on.get(split_place(end.place)[0], 0) & mine)
    blocked = _blocked(one, other)
    names = " and ".join(f"VLAN {vid}" for vid in sorted({_untagged(one), _untagged(other)}))
    if blocked is None:
        why = f"{names} are made one here, or spanning tree blocks them on this link: nobody knows which tree runs"
    elif blocked:
        why = f"the spanning tree for each VLAN, which both ends run, blocks {names} on this link"
    else:
        why = "; ".join(_ways(one, other))
    return Finding(
        code=CODE,
        name=NAME,
        severity=Severity.WARNING if needed else Severity.NOTE,
        headline=f"untagged is VLAN {_untagged(one)} at {one.place} and VLAN {_untagged(other)} at {other.place}",
        why=why,
        where=(
            *evidence(one.place, _who(case, one), f"untagged VLAN {_untagged(one)}", primary=True),
            *evidence(other.place, _who(case, other), f"untagged VLAN {_untagged(other)}"),
        ),
        vids=vids,
        at=frozenset({one.place, other.place}),
        settled_by=_SETTLES if blocked is None else "",
    )


def _untagged(end: PlainEnd) -> int:
    """Return the VLAN of an end's untagged frames: the one it sends, or the one it takes where it sends none."""
    vid = end.bare if end.bare is not None else end.pvid
    assert vid is not None, "an end that mixes up VLANs has one"
    return vid


def _ways(one: PlainEnd, other: PlainEnd) -> Iterator[str]:
    for sender, to in ((one, other), (other, one)):
        if _changes(sender, to):
            yield f"frames of VLAN {sender.bare} from {sender.place} get VLAN {to.pvid} at {to.place}"


def _blocked(one: PlainEnd, other: PlainEnd) -> bool | None:
    """Tell whether spanning tree blocks the untagged VLANs of a link; None when nobody knows."""
    if not all(end.may_tag and end.bare is not None and end.bare == end.pvid for end in (one, other)):
        return False
    trees = (one.tree, other.tree)
    if trees == (_PER_VLAN, _PER_VLAN):
        return True
    return None if _UNKNOWN in trees and _OFF not in trees else False


def _lost(case: Case, link: Link, sender: PlainEnd, to: PlainEnd) -> Iterator[Finding]:
    """Yield a finding when a VLAN that is needed across leaves untagged and the far end takes no untagged frame."""
    vid = sender.bare
    if vid is None or to.takes_untagged is not False or not case.needed_across(link) >> vid & 1:
        return
    yield Finding(
        code=CODE,
        name=NAME,
        severity=Severity.WARNING,
        headline=f"{sender.place} sends VLAN {vid} untagged, and {to.place} at its far end takes no untagged frame",
        why=f"frames of VLAN {vid} from {sender.place} are lost at {to.place}",
        where=(
            *evidence(to.place, _who(case, to), "takes no untagged frame", primary=True),
            *evidence(sender.place, sender.port.untagged.why(vid)[1] or _who(case, sender), f"VLAN {vid} untagged"),
        ),
        vids=1 << vid,
        at=frozenset({sender.place, to.place}),
    )


def _who(case: Case, end: PlainEnd) -> Origins:
    return end.port.pvid.origins or case.named_at(end.place)


def _bits(*several: int | None) -> int:
    found = 0
    for vid in several:
        found |= 1 << vid if vid is not None else 0
    return found
