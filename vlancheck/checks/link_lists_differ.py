"""One end of a link carries a VLAN that is needed on both sides, and the other end does not.

What it finds
    A link between two bridges where one end sends VLANs with their tag and the other end does not take them, does
    not send them back, or neither. Only VLANs that are needed on both sides of the link count: those of what is
    declared, and those of the ports where something hangs. On a ring the link may only be the way round, and counts
    all the same.

Why it matters
    Frames of these VLANs are lost at the end that lacks them, while every other VLAN on the link works. Each end
    looks right when it is read by itself.

Example
    bridge sw1 exists=1,310,320
    port sw1:1 member=310,320
    port sw1:2 member=1,310,320 pvid=1 untagged=1
    bridge sw2 exists=1,310,320
    port sw2:1 member=1,310 pvid=1 untagged=1
    port sw2:2 member=310 pvid=310 untagged=310
    port sw2:3 member=320 pvid=320 untagged=320
    link sw1:2 sw2:1
    handoff sw1:1
    service records 310 at sw1:1 -> sw2:2 untagged
    service voice 320 at sw1:1 -> sw2:3 untagged
    => L101 sw2:1

Instead
    bridge sw1 exists=1,310,320
    port sw1:1 member=310,320
    port sw1:2 member=1,310,320 pvid=1 untagged=1
    bridge sw2 exists=1,310,320
    port sw2:1 member=1,310,320 pvid=1 untagged=1
    port sw2:2 member=310 pvid=310 untagged=310
    port sw2:3 member=320 pvid=320 untagged=320
    link sw1:2 sw2:1
    handoff sw1:1
    service records 310 at sw1:1 -> sw2:2 untagged
    service voice 320 at sw1:1 -> sw2:3 untagged
    => clean

When it is intended
    When the VLAN has two separate halves that only share a number. A list that is longer at one end, with VLANs
    nobody needs on the far side, is no fault and is not reported.

Reference
    IEEE Std 802.1Q-2022, 8.6.2 (a tagged frame is taken only by a port that accepts its VID) and 8.6.4 (it leaves
    only at a member port), clauses from memory. Catalyst 3750 Metro Command Reference, p. 754, "switchport trunk"
    (the allowed list).
"""

from __future__ import annotations

from collections.abc import Iterator

from vlancheck.findings.case import Case
from vlancheck.findings.ends import PlainEnd, plain_ends
from vlancheck.findings.finding import Finding, Severity, evidence
from vlancheck.findings.pasted import replaced
from vlancheck.vids import first, text

CODE = "L101"
NAME = "The lists of a link disagree"


def find(case: Case) -> Iterator[Finding]:
    """Yield one finding for every end of a link that lacks what its other end carries and both sides need."""
    made_anew = {one.place: one.lost for one in replaced(case)}  # another check tells of these
    for link in case.links():
        ends = plain_ends(case, link)
        if ends is None or ends[0].access or ends[1].access:
            continue
        needed = case.needed_across(link)
        for lacking, other in (ends, ends[::-1]):
            wanted = other.tags & needed & ~lacking.port.untagged.possible & ~made_anew.get(lacking.place, 0)
            refused, kept = wanted & lacking.refuses, wanted & lacking.keeps
            if refused | kept:
                yield _finding(case, lacking, other, refused, kept)


def _finding(case: Case, lacking: PlainEnd, other: PlainEnd, refused: int, kept: int) -> Finding:
    missing = refused | kept
    vid = first(missing)
    does = "carry" if refused & kept else "take" if refused else "send"
    lacks = lacking.port.admit.why(vid)[1] if refused else lacking.port.member.why(vid)[1]
    return Finding(
        code=CODE,
        name=NAME,
        severity=Severity.WARNING,
        headline=f"{lacking.place} does not {does} VLAN {text(missing)}, which {other.place} at its far end carries",
        why="; ".join(_lost(lacking, other, refused, kept)),
        where=(
            *evidence(lacking.place, lacks or case.named_at(lacking.place), f"lacks VLAN {text(missing)}", True),
            *evidence(other.place, other.why_member(vid) or case.named_at(other.place), f"carries {text(missing)}"),
        ),
        vids=missing,
        at=frozenset({lacking.place}),
    )


def _lost(lacking: PlainEnd, other: PlainEnd, refused: int, kept: int) -> Iterator[str]:
    if both := refused & kept:
        yield f"VLAN {text(both)} is lost in both directions between {other.place} and {lacking.place}"
    if toward := refused & ~kept:
        yield f"VLAN {text(toward)} is lost from {other.place} to {lacking.place}"
    if back := kept & ~refused:
        yield f"VLAN {text(back)} is lost from {lacking.place} to {other.place}"
