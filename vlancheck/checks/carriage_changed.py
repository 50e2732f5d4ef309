"""Frames reach other places than in the earlier survey, and no other check found the cause.

What it finds
    Every change of carriage between two surveys, one finding for each cause: frames that were carried between two
    anchors (jack, endpoint, circuit, port) and are not, that were not and are, or that arrive in other tags.

Why it matters
    The rebuilt network must carry what the old one did.  What nobody declared may still be in use.

Before
    bridge ACC-1 exists=10,20
    port ACC-1:1 pvid=10 member=10 untagged=10
    port ACC-1:2 pvid=10 member=10 untagged=10
    serves ACC-1:1 PC
    serves ACC-1:2 PC

Example
    bridge ACC-1 exists=10,20
    port ACC-1:1 pvid=10 member=10 untagged=10
    port ACC-1:2 pvid=20 member=20 untagged=20
    serves ACC-1:1 PC
    serves ACC-1:2 PC
    => C101 ACC-1:2

Instead
    bridge ACC-1 exists=10,20
    port ACC-1:1 pvid=10 member=10 untagged=10
    port ACC-1:2 pvid=10 member=10 untagged=10
    serves ACC-1:1 PC
    serves ACC-1:2 PC
    => clean

When it is intended
    Say so under `expected:` in site.yaml, with the frames that are gained or lost: it is then checked and not counted.

Reference
    Common practice, no source: a move is accepted when every jack does after it what it did before.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from vlancheck.changes.change import Cause
from vlancheck.findings.case import Case
from vlancheck.findings.finding import Finding, Severity, Where, evidence
from vlancheck.findings.grouping import effect_of_change
from vlancheck.places import split_place

CODE = "C101"
NAME = "Carried otherwise than before"
GENERAL = 3
_SHOWN = 4  # ports that a headline names


def find(case: Case) -> Iterator[Finding]:
    """Yield a finding for each cause of changed carriage that is not meant.

    Causes of one sort at several ports of one box, that nothing needed hangs on, are one note.
    """
    small: dict[tuple[str, str], list[Cause]] = {}
    for cause in case.comparison.causes if case.comparison else ():
        if cause.expected or (cause.place.cord and cause.needed):
            continue
        if cause.needed:
            yield _finding([cause])
        else:
            device = split_place(cause.place.ports[0])[0] if cause.place.ports else ""
            small.setdefault((device, cause.place.words.partition(": ")[2] or cause.place.words), []).append(cause)
    for (_, words), several in small.items():
        yield replace(_finding(several), headline=f"{_ports(several)}: {words}")


def _finding(causes: list[Cause]) -> Finding:
    rows = [row for cause in causes for row in cause.told if not row.expected]
    ports = [port for cause in causes for port in cause.place.ports]
    vids = 0
    for cause in causes:
        vids |= cause.place.vids
    return Finding(
        code=CODE,
        name=NAME,
        severity=Severity.ERROR if causes[0].needed else Severity.NOTE,
        headline=f"{_ports(causes)}: {causes[0].place.words}",
        why="" if causes[0].needed else "nothing that is declared, and no endpoint's own frame, is touched",
        where=_lines(causes[0]),
        vids=vids if all(cause.place.vids for cause in causes) else 0,
        at=frozenset(ports),
        effects=tuple(effect_of_change(row) for row in rows),
    )


def _ports(causes: list[Cause]) -> str:
    ports = [port for cause in causes for port in cause.place.ports]
    shown = ", ".join(ports[:_SHOWN]) + (f" and {len(ports) - _SHOWN} more" if len(ports) > _SHOWN else "")
    return shown or "the cords"


def _lines(cause: Cause) -> tuple[Where, ...]:
    place = cause.place.ports[0] if cause.place.ports else "cords"
    now = evidence(place, cause.place.after, "now", True)
    return (*now, *evidence(place, cause.place.before, "before", not now))
