"""Lines were typed at a box after its configuration was captured.

What it finds
    A console log in which lines of configuration are typed at a box, and taken, behind the last configuration that
    it printed. What is read is the box as it was before them. All lines of a box are one finding.

Why it matters
    Every answer about the box is about a box that is no more. A line that was half typed, and sent off by the key that
    leaves configuration mode, was carried out as it stood.

Example
    port ACC-1:1 member=10 pvid=10 untagged=10
    port ACC-1:2 member=10 pvid=10 untagged=10
    entered ACC-1 text="no vlan 10^Z" captured=no
    => T105 ACC-1

Instead
    port ACC-1:1 member=10 pvid=10 untagged=10
    port ACC-1:2 member=10 pvid=10 untagged=10
    => clean

When it is intended
    When the log is cut there on purpose. Lines that are still to be typed belong into the edits of a plan.

Reference
    Common practice, no source. "127 With One Blow!", mostlynetworks.com, 2011 (a line that is half typed is carried
    out when the session leaves configuration mode).
"""

from __future__ import annotations

from collections.abc import Iterator

from vlancheck.dot1q.model import Device, Entered
from vlancheck.findings.case import Case
from vlancheck.findings.finding import Finding, Severity, Where, evidence

CODE = "T105"
NAME = "Lines were typed after the configuration was captured"
_SHOWN = 3  # lines that are quoted


def find(case: Case) -> Iterator[Finding]:
    """Yield a finding for each box that took lines behind its configuration."""
    for device in case.devices.values():
        taken = [one for one in device.entered if not one.answer and one.captured is False]
        if taken:
            yield _finding(device, taken)


def _finding(device: Device, taken: list[Entered]) -> Finding:
    told = ", ".join(f"`{one.origins[0].text}`" + (f" at {one.port}" if one.port else "") for one in taken[:_SHOWN])
    more = f" and {len(taken) - _SHOWN} more" if len(taken) > _SHOWN else ""
    where: list[Where] = []
    for one in taken:
        place = f"{device.name}:{one.port}" if one.port else device.name
        where += evidence(place, one.origins, "typed after the configuration was printed", not where)
    return Finding(
        code=CODE,
        name=NAME,
        severity=Severity.WARNING,
        headline=f"{device.name} took lines after its configuration was captured: {told}{more}",
        why=f"what is said of {device.name} holds for the time before them",
        where=tuple(where),
        at=frozenset({device.name}),
        settled_by=f"the configuration of {device.name}, captured again",
        cause=False,
    )
