"""Somebody answers for a finding that is no longer found.

What it finds
    An entry under `accepted` in site.yaml whose finding this survey does not have: it was mended, or the boxes and
    ports it is about are others now. What only a comparison of two surveys can find is looked for in a comparison
    alone.

Why it matters
    An entry that is left behind hides the same fault when it comes back, and nobody is told.

Example
    bridge sw1 exists=10
    port sw1:1 pvid=10 member=10 untagged=10
    accepted L101 sw1:1,sw2:1 by="A. Example" why="the carrier's list is longer"
    => G101 sw1:1 sw2:1

Instead
    bridge sw1 exists=10
    port sw1:1 pvid=10 member=10 untagged=10
    => clean

When it is intended
    Where the finding comes and goes. Where it is one of another survey, say so: `survey: as-found`.

Reference
    Common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator

from vlancheck.findings.case import Case
from vlancheck.findings.finding import Finding, Severity, evidence

CODE = "G101"
NAME = "Accepted, and no longer found"
LAST = True


def find(case: Case) -> Iterator[Finding]:
    """Yield one finding for each entry whose finding is gone."""
    for gone in case.gone:
        entry = gone.entry
        away = f"; {' and '.join(gone.absent)} {'is' if len(gone.absent) == 1 else 'are'} not in this survey"
        yield Finding(
            code=CODE,
            name=NAME,
            severity=Severity.NOTE,
            headline=f"accepted by {entry.by}, and no longer found: {entry.called}{away if gone.absent else ''}",
            why="left there, the entry would hide it when it comes back; take it out, or say of which survey it is",
            where=evidence(entry.at[0] if entry.at else entry.where.file, entry.where.origins, "accepted here", True),
            at=frozenset(entry.at),
            cause=False,
        )
