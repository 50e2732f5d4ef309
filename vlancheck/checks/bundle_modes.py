"""The two ends of a bundle's cords do not form a bundle: their modes do not pair, or one end is in no bundle.

What it finds
    Cords of which one end is in a bundle and the other end joins in a mode that never forms one with it (static
    with LACP, passive with passive), or is in no bundle at all; also members of one bundle that join in modes that
    cannot be mixed. All such cords between the same two bundles are one finding.

Why it matters
    Ports that find no partner are put out of use, or work each by itself beside the others: frames come back over
    the neighbour, or half of the traffic is lost. Which of it happens differs from family to family.

Example
    bridge sw1 exists=10 tree=per-vlan
    port sw1:po1 member=10
    port sw1:1 bundle=po1 bundle-mode=on
    bridge sw2 exists=10 tree=per-vlan
    port sw2:po1 member=10
    port sw2:1 bundle=po1 bundle-mode=active
    port sw2:9 member=10 pvid=10 untagged=10
    link sw1:1 sw2:1
    => B101 sw1:1 sw1:po1 sw2:1 sw2:po1

Instead
    bridge sw1 exists=10 tree=per-vlan
    port sw1:po1 member=10
    port sw1:1 bundle=po1 bundle-mode=active
    bridge sw2 exists=10 tree=per-vlan
    port sw2:po1 member=10
    port sw2:1 bundle=po1 bundle-mode=active
    port sw2:9 member=10 pvid=10 untagged=10
    link sw1:1 sw2:1
    => clean

When it is intended
    For a while, when one end is rebuilt before the other, and the family's rule keeps such a port working by
    itself.

Reference
    IEEE Std 802.1AX (LACP forms a bundle when at least one end is active; a static bundle sends no LACP), from
    memory.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from vlancheck.dot1q.model import BridgePort, Device, DeviceKind
from vlancheck.findings.bundled import Member, bundle_members, torn_bundles
from vlancheck.findings.case import Case
from vlancheck.findings.finding import Finding, Severity, Where, evidence
from vlancheck.places import split_place
from vlancheck.wiring.bundles import modes_pair

CODE = "B101"
NAME = "The ends of a bundle do not form one"
_STATIC = "on"


def find(case: Case) -> Iterator[Finding]:
    """Yield one finding for every two bundles, or bundle and device, whose cords do not join, or whose modes mix."""
    members = tuple(bundle_members(case))
    broken: dict[frozenset[str], list[Member]] = {}
    torn = torn_bundles(members)  # a cord of one that leads to no bundle is told as that
    for one in members:
        if one.far and not _joins(case, one) and (one.far_bundle or one.bundle not in torn):
            broken.setdefault(frozenset((one.bundle, one.target)), []).append(one)
    told: set[str] = set()
    for several in broken.values():
        told.update(place for one in several for place in (one.bundle, one.far_bundle))
        yield _finding(case, several)
    by_bundle: dict[str, list[Member]] = {}
    for one in members:
        by_bundle.setdefault(one.bundle, []).append(one)
    for bundle, several in by_bundle.items():
        static = {(one.mode or _STATIC) == _STATIC for one in several}
        if len(static) > 1 and bundle not in told:
            yield _mixed(case, bundle, several)


def _joins(case: Case, one: Member) -> bool:
    if one.far_bundle:
        return modes_pair(one.mode, one.far_mode)
    far = case.devices[split_place(one.far)[0]]
    bridging = far.kind is DeviceKind.BRIDGE and any(port.port == split_place(one.far)[1] for port in _ports(far))
    return not bridging or bool(far.owner)


def _ports(device: Device) -> Sequence[BridgePort]:
    return tuple(device.bridge_ports.values())


def _finding(case: Case, several: Sequence[Member]) -> Finding:
    first = several[0]
    at = {place for one in several for place in (one.place, one.bundle, one.far, one.far_bundle) if place}
    if first.far_bundle:
        far = f"{first.far} ({first.far_bundle}) joins {_called(first.far_mode)}"
        why = "a bundle does not form between them: the ports are put out of use, or each works by itself"
    else:
        far = f"{first.far} at its far end is in no bundle"
        why = "the far end sends each frame where it likes and sends back over one port what came in by another"
    more = _more(several)
    where: list[Where] = []
    for one in several:
        where += evidence(one.place, case.named_at(one.place), f"joins {_called(one.mode)}", not where)
        far_label = f"joins {_called(one.far_mode)}" if one.far_bundle else "in no bundle"
        where += evidence(one.far, case.named_at(one.far), far_label)
    return Finding(
        code=CODE,
        name=NAME,
        severity=Severity.WARNING,
        headline=f"{first.place} ({first.bundle}) joins {_called(first.mode)}, {far}{more}",
        why=why,
        where=tuple(dict.fromkeys(where)),
        at=frozenset(at),
    )


def _more(several: Sequence[Member]) -> str:
    cords = {frozenset((one.place, one.far)) for one in several}
    return f", and {len(cords) - 1} more" if len(cords) > 1 else ""


def _mixed(case: Case, bundle: str, several: Sequence[Member]) -> Finding:
    told = ", ".join(f"{one.place} {_called(one.mode)}" for one in several)
    where: list[Where] = []
    for one in several:
        where += evidence(one.place, case.named_at(one.place), f"joins {_called(one.mode)}", not where)
    return Finding(
        code=CODE,
        name=NAME,
        severity=Severity.WARNING,
        headline=f"the members of {bundle} join in modes that cannot be mixed: {told}",
        why="a bundle is static or negotiated as a whole: some of its ports are put out of use",
        where=tuple(where),
        at=frozenset((bundle, *(one.place for one in several))),
    )


def _called(mode: str) -> str:
    return f"as `{mode}`" if mode else "statically (no mode is said)"
