"""Two sub-interfaces of one port wait for the same tag.

What it finds
    Two interfaces on one port that are not shut and of which each takes frames with just the same single tag.

Why it matters
    Only one of them gets the frames, or the second line was refused when it was pasted: one of two VLANs has no
    gateway.

Example
    device r1 kind=router
    port r1:1
    end r1:1.10 on=1 takes=10
    end r1:1.20 on=1 takes=10
    => R105 r1:1

Instead
    device r1 kind=router
    port r1:1
    end r1:1.10 on=1 takes=10
    end r1:1.20 on=1 takes=20
    => clean

When it is intended
    When one of them is a leftover: shut it, and nothing is reported.

Reference
    IEEE Std 802.1Q-2022, 8.2 (a frame is taken by the interface that its tag selects), from memory.
"""

from __future__ import annotations

from collections.abc import Iterator

from vlancheck.dot1q.model import End
from vlancheck.findings.case import Case
from vlancheck.findings.finding import Finding, Severity, Where, evidence
from vlancheck.findings.routed import doubled, numbered
from vlancheck.vids import WIRE, first, of

CODE = "R105"
NAME = "Two sub-interfaces wait for one tag"


def find(case: Case) -> Iterator[Finding]:
    """Yield one finding for every port on which a tag has more than one interface."""
    for device, box in case.network.devices.items():
        twice: dict[str, list[tuple[End, ...]]] = {}
        for several in doubled(box.ends.values()):
            twice.setdefault(several[0].port, []).append(several)
        for port, groups in twice.items():
            place = f"{device}:{port}"
            vids = [first(group[0].select[0].vids & WIRE) for group in groups]
            told = "; ".join(
                f"{' and '.join(one.name for one in group)} both take the tag {vid}"
                for vid, group in zip(vids, groups, strict=True)
            )
            names = [vid for group in groups for end in group if (vid := numbered(end.name)) is not None]
            where: list[Where] = []
            for group in groups:
                for end in group:
                    where += evidence(place, end.origins, end.name, not where)
            yield Finding(
                code=CODE,
                name=NAME,
                severity=Severity.WARNING,
                headline=f"{place}: {told}",
                why="only one of them gets the frames; the other VLAN has no gateway",
                where=tuple(where),
                vids=of((*vids, *names)),
                at=frozenset({place}),
            )
