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
from typing import assert_never

from vlancheck.changes.signing import must_sign
from vlancheck.findings.case import Case
from vlancheck.findings.finding import Finding, Severity
from vlancheck.findings.seen import lines_of
from vlancheck.reconciliation.moved import MoveCause, MoveKind, Sureness

CODE = "C106"
NAME = "Seen in another port than the sheet says"
_KINDS = (MoveKind.HANDOFF, MoveKind.ROW, MoveKind.SWAP, MoveKind.CYCLE, MoveKind.WRONG, MoveKind.LEFT)


def find(case: Case) -> Iterator[Finding]:
    """Yield one finding for each cause for which cords are not where the later sheet has them."""
    for cause in case.moves.causes if case.moves else ():
        told = cause.kind in _KINDS and (cause.rows or cause.harmful is not False or cause.kind is MoveKind.LEFT)
        if told:  # where no row says otherwise, a cord may be in any port that carries the same
            signed = dict.fromkeys(why for place in cause.planned if (why := _signed(case, place)))
            yield _finding(cause, ", ".join(signed))


def _signed(case: Case, place: str) -> str:
    """Return why somebody must sign for a cord that left a port; "" when nobody must."""
    known = place.partition(":")[0] in case.network.devices
    return must_sign(case.ground, case.endpoints, place) if known else ""


def _finding(cause: MoveCause, signed: str) -> Finding:
    severity = _severity(cause)
    return Finding(
        code=CODE,
        name=NAME,
        severity=Severity.WARNING if signed and severity is Severity.NOTE else severity,
        headline=f"{cause.words} ({signed})" if signed else cause.words,
        why=_why(cause),
        where=lines_of(cause, "seen now"),
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
    match cause.sure:
        case Sureness.SEVERAL:
            sure = "proved by several addresses or neighbours"
        case Sureness.ONE:
            sure = "proved by one address or neighbour"
        case Sureness.CONSISTENT:
            sure = "only consistent with what was seen"
        case _:
            assert_never(cause.sure)
    if cause.kind is MoveKind.LEFT:
        return f"a cord that should be out is in; {sure}"
    if cause.harmful is False:
        return f"the ports carry the same, so nothing is lost: correct the sheet, or move back; {sure}"
    carry = "the ports do not carry the same" if cause.harmful else "nobody knows whether the ports carry the same"
    return f"{carry}: move the cord, do not change the port; {sure}"


def _settled(cause: MoveCause) -> str:
    if not cause.instead:
        return ""
    others = " or ".join(kind.value for kind in cause.instead)
    return f"a look at the cord: it may be {others} as well"
