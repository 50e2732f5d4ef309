"""Cords of one fibre link do not go together: glass, connectors, polish, or a pair that is crossed once too often.

What it finds
    Cords one behind the other of which the patch sheet says that they do not fit: single-mode on multimode glass,
    copper on fibre, an angled connector (APC) on a flat one (UPC), LC on SC; and, between two devices, a link of
    which every piece says A-to-A or A-to-B, with an even number of A-to-B. What the sheet does not say is not judged.

Why it matters
    There is no link, or one that fails with the next bend or the next cleaning, and every configuration is right.
    An angled end pressed on a flat one is scratched, and so is whatever is plugged onto it later.

Example
    bridge sw1 exists=10
    port sw1:1 member=10
    bridge sw2 exists=10
    port sw2:1 member=10
    row sw1:1 TRAY-A:1 kind="LC-LC OM4"
    row TRAY-A:1 TRAY-B:1 kind="permanent LC OS2"
    row TRAY-B:1 sw2:1 kind="LC-LC OS2"
    => W106 sw1:1 sw2:1

Instead
    bridge sw1 exists=10
    port sw1:1 member=10
    bridge sw2 exists=10
    port sw2:1 member=10
    row sw1:1 TRAY-A:1 kind="LC-LC OS2 A-to-B"
    row TRAY-A:1 TRAY-B:1 kind="permanent LC OS2 A-to-A"
    row TRAY-B:1 sw2:1 kind="LC-LC OS2 A-to-A"
    => clean

When it is intended
    Where a special piece joins them (a hybrid adapter, a conditioning cord): write its row, with what it is.

Reference
    ISO/IEC 11801-1, 10 (which connectors and fibres may be joined), from memory. A transmitter reaches a receiver
    when the pair is crossed an odd number of times: ANSI/TIA-568 (A-to-B cords cross it), and with it the rule that
    one A-to-A cord goes with an odd number of straight permanent links (published by a laboratory for its cabling).
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from vlancheck.findings.case import Case
from vlancheck.findings.finding import Finding, Severity, Where, evidence
from vlancheck.site.cordkinds import CordKind, names_kind
from vlancheck.site.fibre import LASER, fibre, fit
from vlancheck.site.pieces import Piece, Run

CODE = "W106"
NAME = "Fibre that does not go together"


def find(case: Case) -> Iterator[Finding]:
    """Yield one finding for each joint of unlike cords, and for each link whose pair is not crossed."""
    for run in case.runs:
        ends = [name for piece in (run[0], run[-1]) for name in piece.sockets if case.port(name) is not None]
        for one, other in pairwise(run):
            if (unlike := _unlike(one, other)) is not None:
                socket = next((name for name in one.sockets if name in other.sockets), one.sockets[-1])
                words, severity = unlike
                headline = f"{_between(run)}: {words} at {socket}"
                why = "there is no light at the far end, or too little, and the ends may be spoilt"
                yield _finding(headline, why, severity, (one, other), ends or [socket])
        said = [told.crossed for piece in run if (told := fibre(piece.kind)) is not None]
        if len(said) == len(run) and None not in said and len(set(ends)) > 1 and sum(map(bool, said)) % 2 == 0:
            headline = f"{_between(run)}: its pair is crossed {sum(map(bool, said))} times, so that A meets A"
            why = "each end sends into the other's sender: there is no link; one cord more or less of the other sort"
            yield _finding(headline, why, Severity.WARNING, run, ends)


def _unlike(one: Piece, other: Piece) -> tuple[str, Severity] | None:
    """Return how two cords do not go together, and how much that is; None where nothing is said against it."""
    here, there = fibre(one.kind), fibre(other.kind)
    for glass, copper in ((here, other), (there, one)):
        if glass is not None and fibre(copper.kind) is None and _only_copper(copper.kind):
            return "fibre meets copper", Severity.WARNING
    if here is None or there is None:
        return None
    if here.glass and there.glass and here.glass != there.glass:
        return f"{here.glass} glass meets {there.glass}", Severity.WARNING
    if (unlike := fit(here, there)) is not None:
        polish = any("PC" in word for word in unlike)
        return f"{unlike[0]} meets {unlike[1]}", Severity.WARNING if polish else Severity.NOTE
    return None


def _only_copper(kind: str) -> bool:
    kind = kind.casefold().replace("ethernet", "")  # which runs over either
    return names_kind(kind, CordKind.COPPER) and not names_kind(kind, CordKind.FIBRE_PAIR)


def _between(run: Run) -> str:
    """Return a link by its two outermost sockets."""
    if len(run) == 1:
        return " to ".join(run[0].sockets)
    first = next((name for name in run[0].sockets if name not in run[1].sockets), run[0].sockets[0])
    last = next((name for name in run[-1].sockets if name not in run[-2].sockets), run[-1].sockets[-1])
    return f"{first} to {last}"


def _finding(headline: str, why: str, severity: Severity, pieces: Run, at: list[str]) -> Finding:
    where: list[Where] = []
    for piece in pieces:
        where += evidence(piece.sockets[0], piece.origins, piece.kind, not where)
    return Finding(
        code=CODE,
        name=NAME,
        severity=severity,
        headline=headline,
        why=f"{why}; {LASER}",
        where=tuple(where),
        at=frozenset(at),
        settled_by="what is printed on the cords, or the rows that say it wrong",
        cause=False,
    )
