"""A switch port sends a declared VLAN to a router with its tag, and no sub-interface there takes it.

What it finds
    A port that ends frames (of a router, a firewall or a host) at which a VLAN is declared, a bridge port facing it
    that carries the VLAN with its tag, and no interface on the port that takes this tag, or only one that is shut.

Why it matters
    The trunk looks right, and the VLAN has no gateway: its frames reach the router and are lost there. A VLAN on the
    trunk that nobody declared for the router is lost too, and meant to be; it is not reported.

Example
    bridge sw1 exists=1,10,20
    port sw1:1 member=10,20 pvid=1
    port sw1:2 member=10 pvid=10 untagged=10
    port sw1:3 member=20 pvid=20 untagged=20
    device r1 kind=router
    port r1:1
    end r1:1.10 on=1 takes=10
    end r1:1.20 on=1 takes=200
    link sw1:1 r1:1
    vlan 10 -> sw1:2 untagged, r1:1 10
    vlan 20 -> sw1:3 untagged, r1:1 20
    => R102 r1:1

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
    Never, as long as the VLAN is declared to end there. Where it does not end, take it out of the declaration.

Reference
    IEEE Std 802.1Q-2022, 8.2 (a frame is taken by the interface that its tag selects), from memory. One sub-interface
    for each tag of the trunk is common practice.
"""

from __future__ import annotations

from collections.abc import Iterator

from vlancheck.dot1q.model import End
from vlancheck.evidence import Origins
from vlancheck.findings.carrier import slip
from vlancheck.findings.case import Case
from vlancheck.findings.finding import Finding, Severity, evidence
from vlancheck.findings.routed import RoutedLink, numbered, routed_links, tagged
from vlancheck.vids import first, members, text

CODE = "R102"
NAME = "No sub-interface takes a declared tag"
_LISTED = 64  # missing tags up to which a mistyped one is looked for


def find(case: Case) -> Iterator[Finding]:
    """Yield one finding for every port that ends frames and takes none of a VLAN declared and sent there."""
    for link in routed_links(case):
        if missing := link.untaken(case) & ~link.misnamed(case):
            yield _finding(case, link, missing)


def _finding(case: Case, link: RoutedLink, missing: int) -> Finding:
    facing, vid = link.facing, first(missing)
    shut = [end for end in link.shut if tagged(end) & missing]
    reason = f"{shut[0].name} is shut" if shut else "none is set to this tag"
    origins = shut[0].up.origins if shut else _set_otherwise(link)
    if not shut and (found := _mistyped(link, missing)) is not None:
        end, why = found
        reason, origins = f"{end.name} is set to {text(tagged(end))}, {why}", end.origins
    return Finding(
        code=CODE,
        name=NAME,
        severity=Severity.WARNING,
        headline=f"no interface at {link.place} takes the tag {text(missing)}, which {facing.place} sends: {reason}",
        why=f"frames of VLAN {text(missing)} are lost when they reach {link.place}, and none come back",
        where=(
            *evidence(link.place, origins or case.named_at(link.place), reason, True),
            *evidence(facing.place, facing.why_member(vid), f"carries {text(missing)}"),
        ),
        vids=missing,
        at=frozenset({link.place}),
    )


def _mistyped(link: RoutedLink, missing: int) -> tuple[End, str] | None:
    """Return an interface whose tag was meant to be a missing one, and how it became another."""
    idle = [end for end in link.ends if tagged(end).bit_count() == 1 and not tagged(end) & link.facing.may_tag]
    for vid in members(missing) if missing.bit_count() <= _LISTED else ():
        for end in idle:
            if numbered(end.name) == vid:
                return end, f"and its name has {vid}"
            if why := slip(vid, first(tagged(end))):
                return end, f"where {vid} is meant: {why}"
    return None


def _set_otherwise(link: RoutedLink) -> Origins:
    """Return where the interfaces are, those set to a tag that is never sent to them first."""
    ordered = sorted(link.ends, key=lambda end: bool(tagged(end) & link.facing.may_tag))
    return tuple(origin for end in ordered for origin in end.origins)
