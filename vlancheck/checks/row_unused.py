"""A row of a patch sheet says something of which nothing could be made.

What it finds
    A row that does not say which two ports a cord joins: an end that is missing, or a name that no capture and no
    other row knows.

Why it matters
    The cord may be there and is not in the verdicts: a port it leads to counts as it is without it.

Example
    bridge sw1 exists=10
    port sw1:1 member=10 pvid=10 untagged=10
    doubtful "row 7 names sw1 and no port"
    => W102

Instead
    bridge sw1 exists=10
    port sw1:1 member=10 pvid=10 untagged=10
    => clean

When it is intended
    When the row is a remark. Put it above the headings, or into a column for remarks.

Reference
    Common practice, no source: a row names both ends of a cord.
"""

from __future__ import annotations

from collections.abc import Iterator

from vlancheck.findings.case import Case
from vlancheck.findings.finding import Finding, Severity, evidence

CODE = "W102"
NAME = "A row of the sheet was not used"


def find(case: Case) -> Iterator[Finding]:
    """Yield one finding for every row nothing was made of."""
    for one in case.doubts:
        row = one.origins[0]
        name = one.boxes[0] if one.boxes else row.file
        tab = f", tab {row.sheet}" if row.sheet else ""
        at = f"{row.file}{tab}, row {row.line}: " if row.file and row.line else ""
        yield Finding(
            code=CODE,
            name=NAME,
            severity=Severity.NOTE,
            headline=f"{at}{one.why}",
            why="nothing was made of this row: its cord, if there is one, is missing here",
            where=evidence(name, one.origins, "this row", True),
            settled_by="a row that names both ports as the captures print them",
            cause=False,
        )
