"""A handoff takes or sends VLANs, or untagged frames, that nobody declared there.

What it finds
    A port toward a carrier at which something is declared, and whose lists hold more VLANs than that, or which takes
    untagged frames though no declared service has any. All of it is one finding for the port. A list that is too
    long only for VLANs the bridge does not have is a note.

Why it matters
    Whatever the carrier sends with such a tag, by mistake or for another customer, comes into the building, and
    frames of the inside go out. A VLAN that is added on the switch tomorrow goes out with it.

Example
    bridge sw1 exists=1,310,320
    port sw1:1 member=310,320 pvid=1
    port sw1:2 member=310 pvid=310 untagged=310
    handoff sw1:1
    service records 310 at sw1:1 -> sw1:2 untagged
    => H101 sw1:1

Instead
    bridge sw1 exists=1,310,320
    port sw1:1 member=310
    port sw1:2 member=310 pvid=310 untagged=310
    handoff sw1:1
    service records 310 at sw1:1 -> sw1:2 untagged
    => clean

When it is intended
    When the carrier hands over more than was declared: declare it. At a handoff where nothing at all is declared
    nobody can say what is too much, and nothing is reported.

Reference
    IEEE Std 802.1Q-2022, 6.9 (acceptable frame types, PVID) and 8.6.2, 8.6.4 (the port's lists), from memory. That a
    handoff carries the ordered tags and no others is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator

from vlancheck.dot1q.tags import UNTAGGED
from vlancheck.evidence import Origins
from vlancheck.findings.carrier import mistagged, mistaken, ordered_tags
from vlancheck.findings.case import Case
from vlancheck.findings.ends import PlainEnd, plain_end
from vlancheck.findings.finding import Finding, Severity, Where, evidence
from vlancheck.findings.handoffs import declared_at, from_inside, heard, relay_vids
from vlancheck.site.handoffs import Mode
from vlancheck.vids import WIRE, first, of, text

CODE = "H101"
NAME = "More crosses a handoff than is declared"


def find(case: Case) -> Iterator[Finding]:
    """Yield one finding for every handoff whose lists, or whose PVID, take more than is declared there."""
    told: dict[str, int] = {}
    for inside in from_inside(case):
        told[inside.handoff] = told.get(inside.handoff, 0) | 1 << inside.vid
    for other in heard(case):
        for place in (other.sender, other.at):
            told[place] = told.get(place, 0) | relay_vids(case, place, other.frames)
    for place in sorted(case.network.handoffs):
        declared, end = declared_at(case, place), plain_end(case, place)
        if declared is None or end is None or mistagged(case, place) is not None:
            continue
        declared |= ordered_tags(case, place)
        if any(one.untagged == "accepted" or one.mode is Mode.UNTAGGED for one in case.ordered.get(place, ())):
            declared |= UNTAGGED
        known = told.get(place, 0) | of(one.found for one in mistaken(case, place))
        tags = (end.tags | end.port.admit.sure) & WIRE & ~declared & ~known
        open_ = end.pvid
        if declared & (UNTAGGED | 1) or open_ is None or known >> open_ & 1:
            open_ = None
        if open_ is not None and not end.bridge.exists.possible >> open_ & 1:
            open_ = None
        if end.pvid is not None:
            tags &= ~(1 << end.pvid)  # a tag of the port's own VLAN brings nothing in that untagged frames do not
        if tags or open_ is not None:
            yield _finding(place, end, tags, open_)


def _finding(place: str, end: PlainEnd, tags: int, open_: int | None) -> Finding:
    here = tags & end.bridge.exists.possible
    parts = []
    where: list[Where] = []
    if tags:
        rest = f" (of which {end.place.partition(':')[0]} has {text(here) if here else 'none'})" if here != tags else ""
        parts.append(f"VLAN {text(tags)}{rest}")
        where += evidence(place, _why(end, first(here or tags)), f"lists {text(tags)}", True)
    if open_ is not None:
        parts.append(f"untagged frames (VLAN {open_})")
        where += evidence(place, end.port.pvid.origins, f"takes untagged frames for VLAN {open_}", not where)
    return Finding(
        code=CODE,
        name=NAME,
        severity=Severity.WARNING if here or open_ is not None else Severity.NOTE,
        headline=f"the handoff {place} carries {' and '.join(parts)}, which nobody declared there",
        why="what the carrier sends so comes in, or what is inside goes out"
        if here or open_ is not None
        else "the bridge has none of them now; one that is added later crosses at once",
        where=tuple(where),
        vids=tags | (0 if open_ is None else 1 << open_),
        at=frozenset({place}),
    )


def _why(end: PlainEnd, vid: int) -> Origins:
    return end.port.admit.why(vid)[1] if end.port.admit.sure >> vid & 1 else end.port.member.why(vid)[1]
