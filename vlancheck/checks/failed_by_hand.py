"""Somebody tried something at a jack, a port or a box, and it failed.

What it finds
    A row of a worksheet that is ticked as failed, with who, when and what, as the file of ticks has it.

Why it matters
    A test at the jack sees what no configuration tells: a cord in the wrong socket, a bad pair, a service that does not
    answer.  Where everything read says that the frames are carried, the fault is beyond what was read.

Example
    bridge ACC-1 exists=10
    port ACC-1:1 pvid=10 member=10 untagged=10
    failed ACC-1:1 "ACC-1:1: fail, no address; Lee, 02:10"
    => A101 ACC-1:1

Instead
    bridge ACC-1 exists=10
    port ACC-1:1 pvid=10 member=10 untagged=10
    => clean

When it is intended
    When what failed was mended and tried again: tick it as passed and save the ticks anew; a file that still says fail
    counts.

Reference
    Common practice, no source: acceptance is tested jack by jack.
"""

from __future__ import annotations

from collections.abc import Iterator

from vlancheck.findings.case import Case
from vlancheck.findings.finding import Finding, Severity, evidence

CODE = "A101"
NAME = "Failed when tried by hand"


def find(case: Case) -> Iterator[Finding]:
    """Yield a finding for each place where something was tried and failed."""
    for place, ticks in case.failed.items():
        yield Finding(
            code=CODE,
            name=NAME,
            severity=Severity.ERROR,
            headline=ticks[0].text,
            why="what was tried there did not work, whatever was read says",
            where=evidence(place, ticks, "ticked", True),
            at=frozenset({place}),
            cause=False,
        )
