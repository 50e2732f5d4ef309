"""A capture of the later survey was not taken after the earlier one: it proves nothing about the rebuild.

What it finds
    A device whose later capture states a time not later than the earlier one's, or is the very same text where no time
    is known.  Everything that passes the device is unproven.

Why it matters
    An old file in the new folder makes a rebuilt switch look as it did before the move.

Example
    bridge ACC-1 exists=10
    port ACC-1:1 pvid=10 member=10 untagged=10
    stale ACC-1 "this capture says 2026-03-14 09:00, not later than the earlier survey's"
    => C104 ACC-1

Instead
    bridge ACC-1 exists=10
    port ACC-1:1 pvid=10 member=10 untagged=10
    => clean

When it is intended
    When a device was not touched at all, capture it again, or state the time under `taken:` of the survey.

Reference
    Common practice, no source: acceptance rests on what was seen after the work.
"""

from __future__ import annotations

from collections.abc import Iterator

from vlancheck.findings.case import Case
from vlancheck.findings.finding import Finding, Severity, evidence

CODE = "C104"
NAME = "Capture from before the move"


def find(case: Case) -> Iterator[Finding]:
    """Yield a finding for each device whose captures are stale."""
    for device, why in case.stale.items():
        yield Finding(
            code=CODE,
            name=NAME,
            severity=Severity.WARNING,
            headline=f"{device}: {why[0].text}",
            why="nothing that passes it is proven",
            where=evidence(device, why, "captured here", True),
            at=frozenset({device}),
            settled_by=why[0].settle,
        )
