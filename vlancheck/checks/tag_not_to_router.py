"""A router's sub-interface waits for a tag that the switch port at its cord does not carry.

What it finds
    A sub-interface (of a router, a firewall or a host) with one VLAN tag, or a needed one of several, and a bridge
    port facing it that does not take that tag, does not send it, or sends the VLAN without tag.

Why it matters
    The VLAN has no gateway. The interface is up, the cord has link, and every other sub-interface on it works.

Example
    bridge sw1 exists=1,10,20
    port sw1:1 member=10 pvid=1
    port sw1:2 member=10 pvid=10 untagged=10
    port sw1:3 member=20 pvid=20 untagged=20
    device r1 kind=router
    port r1:1
    end r1:1.10 on=1 takes=10
    end r1:1.20 on=1 takes=20
    link sw1:1 r1:1
    vlan 10 -> sw1:2 untagged, r1:1 10
    vlan 20 -> sw1:3 untagged, r1:1 20
    => R101 sw1:1

Instead
    bridge sw1 exists=1,10,20
    port sw1:1 member=10,20 pvid=1
    port sw1:2 member=10 pvid=10 untagged=10
    port sw1:3 member=20 pvid=20 untagged=20
    device r1 kind=router
    port r1:1
    end r1:1.10 on=1 takes=10
    end r1:1.20 on=1 takes=20
    link sw1:1 r1:1
    vlan 10 -> sw1:2 untagged, r1:1 10
    vlan 20 -> sw1:3 untagged, r1:1 20
    => clean

When it is intended
    When the sub-interface is a leftover. Shut it or take it away, and nothing is reported.

Reference
    IEEE Std 802.1Q-2022, 8.6.2 and 8.6.4 (a tagged frame is taken, and leaves, only where the port carries its VID),
    from memory. That the trunk must list every sub-interface of the router is common practice.
"""

from __future__ import annotations

from collections.abc import Iterator

from vlancheck.dot1q.model import End
from vlancheck.findings.case import Case
from vlancheck.findings.finding import Finding, Severity, Where, evidence
from vlancheck.findings.routed import RoutedLink, numbered, routed_links, tagged, takes_untagged
from vlancheck.vids import WIRE, first, text

CODE = "R101"
NAME = "A sub-interface's tag is not carried to it"


def find(case: Case) -> Iterator[Finding]:
    """Yield one finding for every cord whose bridge end lacks tags that sub-interfaces at its other end take."""
    needed = 0
    for bits in case.needed_on.values():
        needed |= bits
    for link in routed_links(case):
        lacking: dict[str, tuple[End, int]] = {}
        for end in link.ends:
            wanted = tagged(end) if end.select and end.up.value is True else 0
            if wanted.bit_count() > 1:
                wanted &= needed | case.needed_frames.get(link.place, 0)
            if takes_untagged(end) and link.facing.bare is not None:
                wanted &= ~(1 << link.facing.bare)
            if link.untaken(case) and not wanted & needed:
                continue  # a wrong tag in place of the declared one: the check of declared tags tells it
            if missing := wanted & WIRE & (link.facing.refuses | ~link.facing.may_tag):
                lacking[end.name] = end, missing
        if lacking:
            yield _finding(link, list(lacking.values()), needed)


def _finding(link: RoutedLink, lacking: list[tuple[End, int]], needed: int) -> Finding:
    vids = 0
    where: list[Where] = []
    for _, bits in lacking:
        vids |= bits
    vid, facing = first(vids), link.facing
    untagged = vids & facing.port.untagged.sure & facing.port.member.sure
    does = "takes no tag" if facing.access else "does not carry the tag"
    decided = facing.port.admit.why(vid)[1] if facing.refuses >> vid & 1 else facing.why_member(vid)
    where += evidence(facing.place, decided, f"lacks the tag {text(vids)}", True)
    for end, bits in lacking:
        where += evidence(link.place, end.origins, f"{end.name} takes the tag {text(bits)}")
    names = ", ".join(end.name for end, _ in lacking)
    told = [
        f"{end.name} is set to {text(bits)}"
        for end, bits in lacking
        if numbered(end.name) is not None and bits.bit_count() == 1 and numbered(end.name) != first(bits)
    ]
    why = f"frames of VLAN {text(vids)} do not get from {facing.place} to {link.place} and back"
    if untagged:
        why += f"; VLAN {text(untagged)} leaves {facing.place} without tag"
    if told:
        why += f"; the number in the name is another one: {', '.join(told)}"
    return Finding(
        code=CODE,
        name=NAME,
        severity=Severity.WARNING if vids & needed else Severity.NOTE,
        headline=f"{facing.place} {does} {text(vids)}, for which {names} waits at {link.place}",
        why=why,
        where=tuple(where),
        vids=vids,
        at=frozenset({facing.place}),
    )
