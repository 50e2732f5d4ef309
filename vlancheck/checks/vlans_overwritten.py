"""Two switches of one VTP domain: when they are joined, the VLANs of one replace those of the other.

What it finds
    Switches whose VTP mode is server or client, in one domain, of which one has a higher configuration revision and
    lacks VLANs that another has. A switch without a domain takes the one it hears. Which of them is the new one
    counts nothing: a client with a higher revision does it too. Switches in mode transparent or off, version 3 of the
    protocol, and revisions that were not captured give no finding. Where the VLANs of the one with the higher revision
    were not captured, it is a note.

Why it matters
    The first trunk that comes up between them carries the list of the higher revision to every switch of the domain.
    The VLANs that it lacks are gone everywhere within seconds, and their ports stay up and carry nothing.

Example
    bridge SPARE-1 exists=1
    setting SPARE-1 vtp-mode=server vtp-domain=quay vtp-revision=40
    port SPARE-1:1 member=1 pvid=1 untagged=1
    bridge ACC-1 exists=1,10,20
    setting ACC-1 vtp-mode=server vtp-domain=quay vtp-revision=12
    port ACC-1:1 member=10 pvid=10 untagged=10
    port ACC-1:2 member=10 pvid=10 untagged=10
    => V104 ACC-1 SPARE-1

Instead
    bridge SPARE-1 exists=1
    setting SPARE-1 vtp-mode=transparent vtp-domain=quay vtp-revision=0
    port SPARE-1:1 member=1 pvid=1 untagged=1
    bridge ACC-1 exists=1,10,20
    setting ACC-1 vtp-mode=server vtp-domain=quay vtp-revision=12
    port ACC-1:1 member=10 pvid=10 untagged=10
    port ACC-1:2 member=10 pvid=10 untagged=10
    => clean

When it is intended
    When the switch with the higher revision is the one whose VLANs all are to have. Otherwise make it transparent
    before any cord goes in: its revision is 0 from then on. Switches with another password do not hear each other.

Reference
    "VLAN Trunking Protocol (VTP): Configuration Revision Number Management", dummies.com. Catalyst 2960-XR guide,
    VTP. That a client overwrites a server by its revision: "Old CCIE Myths: VTP", blog.ipexpert.com, 2010.
"""

from __future__ import annotations

from collections.abc import Iterator

from vlancheck.findings.advertised import Sharing, sharing
from vlancheck.findings.case import Case
from vlancheck.findings.finding import Finding, Severity, Where, evidence
from vlancheck.vids import WIRE, text

CODE = "V104"
NAME = "One switch replaces the VLANs of another"
_OWN = 1 << 1 | 0b1111 << 1002  # VLANs that every switch has


def find(case: Case) -> Iterator[Finding]:
    """Yield a finding for each domain in which a higher revision has fewer VLANs."""
    taking = [one for one in sharing(case).values() if one.shares and one.revision is not None]
    for domain in sorted({one.domain for one in taking if one.domain}):
        mine = [one for one in taking if one.domain in (domain, "")]
        highest = max(one.revision or 0 for one in mine if one.domain == domain)
        above = [one for one in mine if one.domain == domain and one.revision == highest]
        below = {one.device: one for one in mine if (one.revision or 0) < highest}
        lost = {name: bits for name in below if (bits := _lost(case, name, above))}
        sure = bool(lost)
        if not sure:
            needed = {name: case.needed_on.get(name, 0) for name in below}
            lost = {name: bits for name in below if (bits := _lost(case, name, above, perhaps=True) & needed[name])}
        if lost:
            yield _finding(case, domain, above, [below[name] for name in lost], lost, sure=sure)


def _lost(case: Case, device: str, above: list[Sharing], *, perhaps: bool = False) -> int:
    """Return the VIDs that a switch has and that none of the others has, or perhaps has."""
    had, kept = 0, _OWN
    for bridge in case.devices[device].bridges.values():
        had |= bridge.exists.sure
    for one in above:
        for bridge in case.devices[one.device].bridges.values():
            kept |= bridge.exists.sure if perhaps else bridge.exists.possible
    return had & ~kept & WIRE


def _finding(
    case: Case, domain: str, above: list[Sharing], below: list[Sharing], lost: dict[str, int], *, sure: bool
) -> Finding:
    vids = needed = 0
    for name, bits in lost.items():
        vids |= bits
        needed |= bits & case.needed_on.get(name, 0)
    higher, lower = above[0], below[0]
    others = f" and {len(below) - 1} more" if len(below) > 1 else ""
    where: list[Where] = list(evidence(higher.device, higher.origins, f"revision {higher.revision}", True))
    for one in below:
        where += evidence(one.device, one.origins, f"revision {one.revision}")
    return Finding(
        code=CODE,
        name=NAME,
        severity=Severity.WARNING if sure else Severity.NOTE,
        headline=f"{higher.device} has VTP revision {higher.revision} in domain {domain} and {lower.device}{others} "
        f"a lower one: once they are joined, VLAN {text(vids)} {'is' if sure else 'may be'} gone there",
        why=f"the VLANs of {higher.device} replace those of every switch of the domain that it reaches"
        + (f"; VLAN {text(needed)} is needed" if needed else ""),
        where=tuple(where),
        vids=vids,
        at=frozenset(one.device for one in (*above, *below)),
        settled_by="" if sure else f"show vlan brief, on {higher.device}",
        cause=False,
    )
