"""What a box runs is not what it has saved: a restart brings something else back.

What it finds
    Ports, and VLANs, that the saved configuration makes otherwise than the running one. Power-off is part of every
    move: the box comes up with what was saved.

Why it matters
    What works before the move is gone after it, and no line was typed in between. Nobody remembers what was changed
    two years ago and never saved.

Example
    bridge sw1 exists=10
    port sw1:1 member=10 pvid=10 untagged=10
    port sw1:2 member=10 pvid=10 untagged=10
    setting sw1 unsaved:1=yes
    vlan 10 -> sw1:1 untagged, sw1:2 untagged
    => U103 sw1:1

Instead
    bridge sw1 exists=10
    port sw1:1 member=10 pvid=10 untagged=10
    port sw1:2 member=10 pvid=10 untagged=10
    vlan 10 -> sw1:1 untagged, sw1:2 untagged
    => clean

When it is intended
    When somebody tries something that a restart is to take back. Save, or restart, before anything is unplugged, and
    capture both configurations again.

Reference
    Common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator

from vlancheck.findings.case import Case
from vlancheck.findings.finding import Finding, Severity, evidence

CODE = "U103"
NAME = "Not saved: a restart brings something else back"
_PORT, _VLANS = "unsaved:", "unsaved-vlans"
_SHOWN = 6  # ports named in the headline


def find(case: Case) -> Iterator[Finding]:
    """Yield one finding for each box of which the two configurations differ."""
    for device in case.devices.values():
        ports = [key.removeprefix(_PORT) for key in device.settings if key.startswith(_PORT)]
        if not ports and _VLANS not in device.settings:
            continue
        places = [f"{device.name}:{port}" for port in ports]
        shown = ", ".join(ports[:_SHOWN]) + (f" and {len(ports) - _SHOWN} more" if len(ports) > _SHOWN else "")
        what = shown if ports else "its VLANs"
        where = [
            one for port in ports for one in evidence(f"{device.name}:{port}", device.settings[_PORT + port].origins)
        ]
        if _VLANS in device.settings:
            where += evidence(device.name, device.settings[_VLANS].origins, "saved")
        yield Finding(
            code=CODE,
            name=NAME,
            severity=Severity.WARNING if case.needed_on.get(device.name, 0) else Severity.NOTE,
            headline=f"{device.name} runs otherwise than it is saved: {what}",
            why="the next power-off brings the saved configuration back; save it, or ask who wants which",
            where=tuple(where),
            at=frozenset(places or [device.name]),
            cause=False,
        )
