"""A member of a bundle was shown not to work in it.

What it finds
    A port of a bundle that its own box shows as suspended, as working by itself, as unsuitable, or, with a cord in
    it, as down, while nothing read here says why: its lines are those of the bundle, and both ends join in a way that
    pairs.

Why it matters
    The bundle is up, so nobody looks; the bandwidth is halved, and the next cord that fails takes the link down.

Example
    bridge sw1 exists=10 tree=per-vlan
    port sw1:po1 member=10
    port sw1:1 bundle=po1 bundle-mode=active
    port sw1:2 bundle=po1 bundle-mode=active
    set sw1:2 in-bundle=suspended
    => B105 sw1:2

Instead
    bridge sw1 exists=10 tree=per-vlan
    port sw1:po1 member=10
    port sw1:1 bundle=po1 bundle-mode=active
    port sw1:2 bundle=po1 bundle-mode=active
    => clean

When it is intended
    While the far end is not built yet. A member in hot standby is meant to wait, and is not reported.

Reference
    Catalyst 3560 software configuration guide OL-8553-06, "Displaying EtherChannel, PAgP, and LACP Status" (the flags
    of members), page from memory.
"""

from __future__ import annotations

from collections.abc import Iterator

from vlancheck.dot1q.properties import Property
from vlancheck.findings.bundled import bundle_members, torn_bundles
from vlancheck.findings.case import Case
from vlancheck.findings.finding import Finding, Severity, Where, evidence
from vlancheck.findings.members import bundles, differing_members
from vlancheck.findings.settings import lines, word
from vlancheck.places import split_place
from vlancheck.wiring.bundles import modes_pair

CODE = "B105"
NAME = "A member does not work in its bundle"
_OUT = frozenset({"suspended", "stand-alone", "unsuitable"})
_DOWN = "down"


def find(case: Case) -> Iterator[Finding]:
    """Yield one finding for each bundle of which members were shown out of use without a reason read here."""
    members = tuple(bundle_members(case))
    torn = torn_bundles(members)
    differing = {
        f"{device.name}:{one.name}"
        for device in case.devices.values()
        for bundle in bundles(device)
        for one in differing_members(device, bundle)
    }
    out: dict[str, list[str]] = {}
    for one in members:
        state = word(case.port(one.place), Property.IN_BUNDLE)
        explained = one.bundle in torn or one.place in differing
        explained |= bool(one.far and not (one.far_bundle and modes_pair(one.mode, one.far_mode)))
        if explained:
            continue
        if state in _OUT or (state == _DOWN and one.far and _enabled(case, one.place)):
            out.setdefault(one.bundle, []).append(one.place)
    for bundle, places in out.items():
        yield _finding(case, bundle, places)


def _enabled(case: Case, place: str) -> bool:
    port = case.port(place)
    return port is not None and port.up.value is not False and Property.SHUT_BY not in port.properties


def _finding(case: Case, bundle: str, places: list[str]) -> Finding:
    where: list[Where] = []
    for place in places:
        where += evidence(place, lines(case.port(place), Property.IN_BUNDLE), "shown", not where)
    states = ", ".join(f"{place} was shown {word(case.port(place), Property.IN_BUNDLE)}" for place in places)
    needed = case.needed_on.get(split_place(bundle)[0], 0)
    return Finding(
        code=CODE,
        name=NAME,
        severity=Severity.WARNING if needed else Severity.NOTE,
        headline=f"{bundle} works without all of its members: {states}",
        why="the link has fewer cords than it is built for, and one that fails may be the last",
        where=tuple(where),
        at=frozenset(places),
        settled_by="the bundle at both ends, as the devices print it, and their logs, which say why",
    )
