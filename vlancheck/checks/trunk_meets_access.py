"""One end of a link tags VLANs that are needed across it, and the other end is in one VLAN, untagged, and knows no tag.

What it finds
    A link between two bridges where one end sends VLANs with their tag and the other end takes one VLAN untagged
    and tags nothing. It counts only when a VLAN that is tagged at the one end is needed on both sides.

Why it matters
    Tagged frames are lost at the untagged end, or taken for its one VLAN; untagged frames from there come out in
    the tagging end's own untagged VLAN. One VLAN may even work, so the link looks right.

Example
    bridge sw1 exists=1,310,320
    port sw1:1 member=310
    port sw1:2 member=1,310 pvid=1 untagged=1
    bridge sw2 exists=1,310
    port sw2:1 member=1 pvid=1 untagged=1
    port sw2:2 member=310 pvid=310 untagged=310
    link sw1:2 sw2:1
    handoff sw1:1
    service records 310 at sw1:1 -> sw2:2 untagged
    => L103 sw1:2 sw2:1

Instead
    bridge sw1 exists=1,310,320
    port sw1:1 member=310
    port sw1:2 member=1,310 pvid=1 untagged=1
    bridge sw2 exists=1,310
    port sw2:1 member=1,310 pvid=1 untagged=1
    port sw2:2 member=310 pvid=310 untagged=310
    link sw1:2 sw2:1
    handoff sw1:1
    service records 310 at sw1:1 -> sw2:2 untagged
    => clean

When it is intended
    When only the untagged VLAN is to cross. Then the far side needs none of the tagged ones, and nothing is
    reported.

Reference
    IEEE Std 802.1Q-2022, 6.9 (what a port takes and how it sends) and 8.6.2, clauses from memory. Catalyst 4500
    System Message Guide, chapter SPANTREE, p. 114 (a spanning tree for each VLAN may also block such a link, as an
    inconsistent port type).
"""

from __future__ import annotations

from collections.abc import Iterator

from vlancheck.findings.case import Case
from vlancheck.findings.ends import PlainEnd, plain_ends, tags_at_access
from vlancheck.findings.finding import Finding, Severity, evidence
from vlancheck.vids import first, text

CODE = "L103"
NAME = "A trunk meets an access port"


def find(case: Case) -> Iterator[Finding]:
    """Yield one finding for every link of which one end alone tags VLANs that are needed across."""
    for link in case.links():
        ends = plain_ends(case, link)
        if ends is not None and (met := tags_at_access(case, link, ends)) is not None:
            yield _finding(case, *met)


def _finding(case: Case, trunk: PlainEnd, access: PlainEnd, vids: int) -> Finding:
    own, native = access.pvid, trunk.pvid
    assert own is not None, "an access end has a PVID"
    lost = vids & access.refuses
    told = [f"frames tagged {text(lost)} are lost at {access.place}"] if lost else []
    told += [f"frames tagged {text(vids & ~lost)} get VLAN {own} at {access.place}"] if vids & ~lost else []
    if trunk.takes_untagged is False:
        told.append(f"untagged frames from there are lost at {trunk.place}")
    elif native is not None:
        told.append(f"frames of VLAN {own} from there get VLAN {native} at {trunk.place}")
    touched = vids | 1 << own | (1 << native if native is not None else 0)
    return Finding(
        code=CODE,
        name=NAME,
        severity=Severity.WARNING,
        headline=f"{trunk.place} tags VLAN {text(vids)}, {access.place} at its far end takes VLAN {own} untagged only",
        why="; ".join(told),
        where=(
            *evidence(
                access.place,
                access.port.pvid.origins or case.named_at(access.place),
                f"VLAN {own} untagged only",
                primary=True,
            ),
            *evidence(trunk.place, trunk.why_member(first(vids)) or case.named_at(trunk.place), f"tags {text(vids)}"),
        ),
        vids=touched,
        at=frozenset({trunk.place, access.place}),
    )
