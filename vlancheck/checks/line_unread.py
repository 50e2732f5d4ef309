"""A line that may touch VLANs was not read, at a port or a device that something declared uses.

What it finds
    A line of a capture that holds a word which could touch VLANs and that nothing here could read, under a port on
    the way of what is declared, or under no port of a device on the way. It is a doubt, not a fault; each line is
    told by itself.

Why it matters
    What the line does is not in the verdicts. What passes its port may be carried otherwise than it says here.

Example
    bridge sw1 exists=10
    port sw1:1 member=10 pvid=10 untagged=10
    port sw1:2 member=10 pvid=10 untagged=10
    unread sw1:2 text="vlan mapping default drop" matters=yes
    vlan 10 -> sw1:1 untagged, sw1:2 untagged
    => U101 sw1:2

Instead
    bridge sw1 exists=10
    port sw1:1 member=10 pvid=10 untagged=10
    port sw1:2 member=10 pvid=10 untagged=10
    port sw1:3 member=10 pvid=10 untagged=10
    unread sw1:3 text="vlan mapping default drop" matters=yes
    vlan 10 -> sw1:1 untagged, sw1:2 untagged
    => clean

When it is intended
    When the line is known to touch no VLAN: say so in the dialect, by name, and it is passed over.

Reference
    Common practice, no source: what was not read is not known.
"""

from __future__ import annotations

from collections.abc import Iterator

from vlancheck.dot1q.model import Unread
from vlancheck.findings.case import Case
from vlancheck.findings.finding import Finding, Severity, evidence
from vlancheck.findings.nameless import nameless
from vlancheck.places import split_place

CODE = "U101"
NAME = "A line that may matter was not read"


def find(case: Case) -> Iterator[Finding]:
    """Yield one finding for every such line, at a port or a device that is used."""
    used = _used(case)
    devices = {split_place(place)[0] for place in used}
    for device, box in case.devices.items():
        named = nameless(case, device) if device in case.network.devices else []  # another check tells of these
        for line in box.unread:
            if not line.matters or line in named:
                continue
            place = f"{device}:{line.port}"
            at_port = line.port in box.ports
            if (place in used or case.network.stands_for.get(place) in used) if at_port else device in devices:
                yield _finding(line, place if at_port else device, at_port)


def _finding(line: Unread, place: str, at_port: bool) -> Finding:
    written = line.origin[0].text.strip() if line.origin else ""
    return Finding(
        code=CODE,
        name=NAME,
        severity=Severity.WARNING if at_port else Severity.NOTE,
        headline=f"{place}: `{written}` was not read" + (f" ({line.why})" if line.why else ""),
        why=f"what it does to frames at {place} is not known, and something declared passes there",
        where=evidence(place, line.origin, "not read", True),
        at=frozenset({place}),
        settled_by="what the line does, from the device's manual or from what the device prints about the port",
        cause=False,
    )


def _used(case: Case) -> set[str]:
    """Return the ports on the way of what is declared, and those where it enters and ends."""
    found: set[str] = set()
    for verdict in case.verdicts:
        for stop in (*verdict.order.enters, *verdict.order.stops):
            if stop.place:
                found |= {stop.place, case.ground.judged_at(stop.place) or stop.place}
        for ending in verdict.endings:
            found.update(hop.port for hop in ending.path)
    found.update(way.reason.place for _, _, way in case.losses() if way.reason is not None and way.reason.place)
    for link in case.network.links:
        if case.needed_across(link):
            found |= {link.one, link.other}
    return found
