"""A carrier's tag is another one at our port, and nobody says which; or our side uses the tag of the carrier's side.

What it finds
    An order whose CE-VLAN IDs are not preserved, without a `map` of what becomes of them; one whose IDs are preserved,
    beside a map that changes them; and a service that is declared with the tag which, by the map, is on the other side
    of the carrier's box.

Why it matters
    The letter names a tag that never reaches our port. Each side is set up by its own paper, and the frames of one
    are no frames of the other.

Example
    bridge sw1 exists=1,881
    port sw1:1 member=881
    port sw1:2 pvid=881 member=881 untagged=881
    handoff sw1:1
    ordered sw1:1 circuit=EX-0001 carrier=metro preserved=no map=881:310
    service records 881 at sw1:1 -> sw1:2 untagged
    => E104 sw1:1

Instead
    bridge sw1 exists=1,310
    port sw1:1 member=310
    port sw1:2 pvid=310 member=310 untagged=310
    handoff sw1:1
    ordered sw1:1 circuit=EX-0001 carrier=metro preserved=no map=881:310
    service records 310 at sw1:1 -> sw1:2 untagged
    => clean

When it is intended
    When two services cross and each has the number of the other.

Reference
    MEF 10.3, R25, and access service order form, field CE-VLAN ID PRESERVATION (a tagged frame comes out with the VID
    that it went in with). That a box turns one tag into another is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator

from vlancheck.findings.carrier import declared_tags, services_at
from vlancheck.findings.case import Case
from vlancheck.findings.finding import Finding, Severity, Where, evidence
from vlancheck.findings.metro import contradictions
from vlancheck.site.handoffs import Handoff
from vlancheck.vids import members, text

CODE = "E104"
NAME = "The carrier changes a tag"


def find(case: Case) -> Iterator[Finding]:
    """Yield the findings of every handoff: tags of the wrong side, then orders that leave a change of tags open."""
    for place in sorted({*case.ordered, *case.ground.carriers}):
        if (wrong := _outside(case, place)) is not None:
            yield wrong
            continue
        for order in case.ordered.get(place, ()):
            yield from _open(case, place, order)


def _outside(case: Case, place: str) -> Finding | None:
    """Return a finding for services that are declared with the carrier's side of a map."""
    box = case.ground.carriers.get(place)
    if box is None:
        return None
    ours = set(box.rows.values())
    told: list[str] = []
    where: list[Where] = []
    vids = 0
    for service in services_at(case, place):
        for vid in members(declared_tags(service)) if declared_tags(service).bit_count() <= len(box.rows) else ():
            if vid in box.rows and vid not in ours:
                told.append(f"{service.name} is declared with {vid}, which is {box.rows[vid]} at our port")
                where += evidence(place, service.origins, f"declared with {vid}", not where)
                vids |= 1 << vid
    if not told:
        return None
    return Finding(
        code=CODE,
        name=NAME,
        severity=Severity.WARNING,
        headline=f"{place}: {'; '.join(told)}",
        why=f"{text(vids)} is on the carrier's side of {box.device} only; what reaches our port has the other tag",
        where=(*where, *evidence(place, box.origins, "the carrier's tags and ours")),
        vids=vids,
        at=frozenset({place}),
    )


def _open(case: Case, place: str, order: Handoff) -> Iterator[Finding]:
    if order.preserved is None or (order.preserved is False and (order.map or place in case.ground.carriers)):
        return
    if any("preserved" in keys for _, keys, _, _ in contradictions((order,))):
        return
    rows = {theirs: ours for theirs, ours in order.map.items() if theirs != ours}
    if order.preserved and not rows:
        return
    if order.preserved:
        told = ", ".join(f"{theirs} -> {ours}" for theirs, ours in rows.items())
        words = f"CE-VLAN IDs are preserved by the order of {order.called} at {place}, and its map changes {told}"
        settle = f"ask the carrier whether {order.called} keeps CE-VLAN IDs, and which tag reaches our port"
    else:
        words = f"CE-VLAN IDs of {order.called} at {place} are not preserved, and no `map` says what becomes of them"
        settle = f"ask the carrier which tag of the far end is which tag at our port of {order.called}"
    yield Finding(
        code=CODE,
        name=NAME,
        severity=Severity.WARNING if order.preserved else Severity.NOTE,
        headline=words,
        why="the tag in the carrier's letter may be one that never reaches our port",
        where=evidence(place, order.said["preserved"].origins, "the order", True),
        at=frozenset({place}),
        settled_by=settle,
        cause=False,
    )
