"""Something was seen in another port than the later sheet says.

What it finds
    A row of cords shifted by one, cords exchanged or gone round, a cord in a wrong port, a handoff's cord that was
    moved, a cord that should be out: where addresses and neighbours of the earlier survey are seen in the later one,
    against where its patch sheet has them.  As few causes as explain all of it.

Why it matters
    The sheet and the configuration agree, and the desk is dead all the same.  Who puts the port into the VLAN of the
    device that is in it by mistake breaks the port for the one that belongs there: move the cord, do not change the
    port.  Where both ports carry the same, nothing is lost and the sheet is wrong.

Before
    bridge ACC-1 exists=10,20
    port ACC-1:1 pvid=10 member=10 untagged=10
    port ACC-1:2 pvid=20 member=20 untagged=20
    serves ACC-1:1 PC reception
    serves ACC-1:2 camera stairs
    hears ACC-1:1 02:00:5e:00:00:01
    hears ACC-1:2 02:00:5e:00:00:02

Example
    bridge ACC-1 exists=10,20
    port ACC-1:1 pvid=10 member=10 untagged=10
    port ACC-1:2 pvid=20 member=20 untagged=20
    serves ACC-1:1 PC reception
    serves ACC-1:2 camera stairs
    hears ACC-1:2 02:00:5e:00:00:01
    hears ACC-1:1 02:00:5e:00:00:02
    => C106 ACC-1:1 ACC-1:2

Instead
    bridge ACC-1 exists=10,20
    port ACC-1:1 pvid=10 member=10 untagged=10
    port ACC-1:2 pvid=20 member=20 untagged=20
    serves ACC-1:1 PC reception
    serves ACC-1:2 camera stairs
    hears ACC-1:1 02:00:5e:00:00:01
    hears ACC-1:2 02:00:5e:00:00:02
    => clean

When it is intended
    When the cord shall stay where it is: correct the row of the later sheet, and what is carried there is judged.

Reference
    Common practice, no source: most faults of a re-patch are cords one port off.
"""

from __future__ import annotations

from collections.abc import Iterator

from vlancheck.findings.case import Case
from vlancheck.findings.finding import Finding, Severity, Where, evidence
from vlancheck.reconciliation.moved import MoveCause, MoveKind

CODE = "C106"
NAME = "Seen in another port than the sheet says"
_KINDS = (MoveKind.HANDOFF, MoveKind.ROW, MoveKind.SWAP, MoveKind.CYCLE, MoveKind.WRONG, MoveKind.LEFT)


def find(case: Case) -> Iterator[Finding]:
    """Yield one finding for each cause for which cords are not where the later sheet has them."""
    for cause in case.moves.causes if case.moves else ():
        if cause.kind in _KINDS:
            yield _finding(cause)


def _finding(cause: MoveCause) -> Finding:
    return Finding(
        code=CODE,
        name=NAME,
        severity=_severity(cause),
        headline=cause.words,
        why=_why(cause),
        where=_where(cause),
        at=frozenset({*cause.ports, *cause.planned}),
        cause=False,
        settled_by=_settled(cause),
    )


def _severity(cause: MoveCause) -> Severity:
    """Return how much is at stake: only where both ports surely carry the same, nothing but the sheet is wrong."""
    if cause.kind is MoveKind.LEFT:
        return Severity.WARNING
    return {True: Severity.ERROR, None: Severity.WARNING, False: Severity.NOTE}[cause.harmful]


def _why(cause: MoveCause) -> str:
    sure = f"{cause.sure.value} {'addresses or neighbours' if cause.sure.value.endswith('several') else ''}".strip()
    if cause.sure.value.startswith("only"):
        sure = "only consistent with what was seen"
    if cause.kind is MoveKind.LEFT:
        return f"a cord that should be out is in; {sure}"
    if cause.harmful is False:
        return f"the ports carry the same, so nothing is lost: correct the sheet, or move back; {sure}"
    carry = "the ports do not carry the same" if cause.harmful else "nobody knows whether the ports carry the same"
    return f"{carry}: move the cord, do not change the port; {sure}"


def _where(cause: MoveCause) -> tuple[Where, ...]:
    now, planned = cause.ports[0], (cause.planned or cause.ports)[0]
    after = evidence(now, cause.after, "seen now", True)
    rows = evidence(planned, cause.rows, "the sheet")
    return (*after, *rows[:2], *evidence(planned, cause.before, "before")[:2])


def _settled(cause: MoveCause) -> str:
    if not cause.instead:
        return ""
    others = " or ".join(kind.value for kind in cause.instead)
    return f"a look at the cord: it may be {others} as well"
