"""A cord goes into something that is marked bad.

What it finds
    A port, a panel port, a jack or a cord label that a note of the earlier patch sheet, or of another row of this
    one, marks bad, and that a cord of this one uses. Where the note says which part of its row is meant (port,
    panel, jack, cord), that part alone; else all of them, as a note.

Why it matters
    Somebody found out with some work that it fails, and the next one finds out again: it works on the night, and
    drops out under load or when somebody touches the cord.

Before
    bridge sw1 exists=10
    port sw1:1 member=10 pvid=10 untagged=10
    port sw1:2 member=10 pvid=10 untagged=10
    row sw1:1 note="bad, do not use"

Example
    bridge sw1 exists=10
    port sw1:1 member=10 pvid=10 untagged=10
    port sw1:2 member=10 pvid=10 untagged=10
    row PANEL-B:07 sw1:1 label=C-007
    => W107 sw1:1

Instead
    bridge sw1 exists=10
    port sw1:1 member=10 pvid=10 untagged=10
    port sw1:2 member=10 pvid=10 untagged=10
    row PANEL-B:07 sw1:2 label=C-007
    => clean

When it is intended
    When it was mended: say so in the note of its row (repaired, replaced, tested ok).

Reference
    Common practice, no source: a bad port is closed by a plug that says so.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

from vlancheck.findings.case import Case
from vlancheck.findings.finding import Finding, Severity, Where, evidence
from vlancheck.site.badmarks import cleared, marked_bad, meant
from vlancheck.site.pieces import Piece
from vlancheck.site.strands import panel_key

CODE = "W107"
NAME = "Marked bad, and used"


def find(case: Case) -> Iterator[Finding]:
    """Yield one finding for every row that marks something bad which a cord of this sheet uses."""
    using: dict[str, list[tuple[str, Piece]]] = {}
    for piece in case.pieces:
        if piece.is_cord and not cleared(piece.note):
            for name in dict.fromkeys(filter(None, (*piece.sockets, piece.jack, piece.label))):
                using.setdefault(panel_key(case.was(name) if ":" in name else name), []).append((name, piece))
    earlier = case.earlier.pieces if case.earlier else ()
    told = {(mark.sockets, mark.note) for mark in earlier}
    marks = [(mark, case.earlier or case) for mark in earlier]
    marks += [(mark, case) for mark in case.pieces if (mark.sockets, mark.note) not in told]
    for mark, of in marks:
        if not marked_bad(mark.note):
            continue
        names = meant(mark, partial(_is_port, of))
        used = [one for name in names for one in using.get(panel_key(name), ()) if one[1] is not mark]
        if used:
            yield _finding(mark, used, sure=len(names) == 1 or not mark.is_cord)


def _is_port(case: Case, name: str) -> bool:
    return case.port(name) is not None


def _finding(mark: Piece, used: list[tuple[str, Piece]], *, sure: bool) -> Finding:
    names = list(dict.fromkeys(name for name, _ in used))
    where: list[Where] = []
    for name, piece in used:
        where += evidence(name, piece.origins, "the cord that uses it", not where)
    where += evidence(names[0], mark.origins, "the row that marks it")
    told = names[0] if sure else f"{names[0]}, or what its cord of then went to,"
    return Finding(
        code=CODE,
        name=NAME,
        severity=Severity.WARNING if sure else Severity.NOTE,
        headline=f"{told} is marked '{mark.note}', and {_cord(used[0][1])} uses {'it' if sure else names[0]}",
        why="what somebody found to fail is used again",
        where=tuple(where),
        at=frozenset(names),
        settled_by="" if sure else "a test of the port, the cord and the jack, each by itself",
        cause=False,
    )


def _cord(piece: Piece) -> str:
    return f"the cord {piece.label}" if piece.label else f"the cord between {' and '.join(piece.sockets)}"
