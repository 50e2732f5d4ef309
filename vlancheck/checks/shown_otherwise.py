"""A switch was shown to do otherwise than its lines ask.

What it finds
    A port whose `show` output gives another untagged VLAN, or another list of VLANs, than its configuration does. What
    the switch says that it does is what is walked, as long as the port, its cord and its far end are as they were.

Why it matters
    One of the two texts is older than the other, something puts the port in another VLAN (authentication, a voice or
    profile feature), or a VLAN in the list is pruned or suspended. After a reload, and in the rebuilt network, the
    lines count: what works tonight may not work tomorrow.

Example
    bridge sw1 exists=10,20
    port sw1:1 member=10 pvid=10 untagged=10
    configured sw1:1 member=20 pvid=20 untagged=20
    port sw1:2 member=10 pvid=10 untagged=10
    vlan 10 -> sw1:1 untagged, sw1:2 untagged
    => U102 sw1:1

Instead
    bridge sw1 exists=10,20
    port sw1:1 member=10 pvid=10 untagged=10
    configured sw1:1 member=10 pvid=10 untagged=10
    port sw1:2 member=10 pvid=10 untagged=10
    vlan 10 -> sw1:1 untagged, sw1:2 untagged
    => clean

When it is intended
    Where authentication puts users in VLANs, the configured VLAN is the one for nobody. Capture the port again after
    the rebuild with the same user on it.

Reference
    Common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator

from vlancheck.dot1q.model import BridgePort, Device, Port
from vlancheck.evidence import UNKNOWN, Origins, join
from vlancheck.findings.case import Case
from vlancheck.findings.finding import Finding, Severity, evidence
from vlancheck.places import split_place
from vlancheck.vids import WIRE, text

CODE = "U102"
NAME = "Shown to do otherwise than its lines ask"


def find(case: Case) -> Iterator[Finding]:
    """Yield one finding for every port at which what was shown and what is configured surely differ."""
    for device in case.devices.values():
        for port in device.ports.values():
            if port.configured is None or (shown := _now(device, port, port.configured)) is None:
                continue
            vids = _differ(port.configured, shown)
            if vids or _other_pvid(port.configured, shown):
                yield _finding(case, f"{device.name}:{port.name}", port.configured, shown, vids)


def _now(device: Device, port: Port, asked: BridgePort) -> BridgePort | None:
    """Return the bridge port that the lines asked for: of its name, else the only one that stands on the port."""
    standing = [one for one in device.bridge_ports.values() if one.port == port.name]
    return next((one for one in standing if one.name == asked.name), standing[0] if len(standing) == 1 else None)


def _differ(asked: BridgePort, shown: BridgePort) -> int:
    """Return the VIDs that surely leave in one way and not in the other."""
    member = asked.member.sure & ~shown.member.possible | shown.member.sure & ~asked.member.possible
    both = asked.member.sure & shown.member.sure
    bare = asked.untagged.sure & ~shown.untagged.possible | shown.untagged.sure & ~asked.untagged.possible
    return (member | both & bare) & WIRE


def _other_pvid(asked: BridgePort, shown: BridgePort) -> bool:
    return UNKNOWN not in (asked.pvid.value, shown.pvid.value) and asked.pvid.value != shown.pvid.value


def _finding(case: Case, place: str, asked: BridgePort, shown: BridgePort, vids: int) -> Finding:
    needed = case.needed_on.get(split_place(place)[0], 0)
    touched = vids | _bit(asked.pvid.value) | _bit(shown.pvid.value) if _other_pvid(asked, shown) else vids
    return Finding(
        code=CODE,
        name=NAME,
        severity=Severity.WARNING if needed & touched else Severity.NOTE,
        headline=f"{place} was shown to carry {_said(shown)}; its lines ask for {_said(asked)}",
        why="what was shown is walked; after a reload or a change here the lines count",
        where=(
            *evidence(place, _behind(shown, touched), f"shown: {_said(shown)}", primary=True),
            *evidence(place, _behind(asked, touched), f"asked: {_said(asked)}"),
        ),
        vids=touched,
        at=frozenset({place}),
        settled_by=f"the configuration and the switchport state of {split_place(place)[0]}, captured together",
    )


def _said(port: BridgePort) -> str:
    untagged = port.pvid.value if isinstance(port.pvid.value, int) else "nothing"
    tagged = port.member.sure & ~port.untagged.sure & WIRE
    return f"{untagged} untagged" + (f", {text(tagged)} tagged" if tagged else "")


def _behind(port: BridgePort, vids: int) -> Origins:
    """Return the lines that decide the VIDs in question."""
    parts = (origins for bits, _, origins in port.member.parts if bits & vids)
    return join(port.pvid.origins, *parts)


def _bit(pvid: object) -> int:
    return 1 << pvid if isinstance(pvid, int) else 0
