"""Findings and what is accepted of them in, the same findings marked out, and what is accepted and not there."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import replace

from vlancheck.findings.case import Case, Gone
from vlancheck.findings.finding import Acceptance, Finding, Severity
from vlancheck.places import fingerprint, split_place
from vlancheck.site.accepted import Accepted


def weighed(
    case: Case, found: Sequence[Finding], compared: Collection[str]
) -> tuple[tuple[Finding, ...], tuple[Gone, ...]]:
    """Return the findings, those that somebody answers for marked, and the entries whose finding is gone.

    A box that is called otherwise in this survey is the same box.  Nothing is said to be gone that this survey cannot
    tell: what only a comparison finds (the codes in `compared`), what lies beyond something out of service or not yet
    done, and what a stale capture hides.  Raises SiteError for an entry whose code is not the finding's.
    """
    marked = list(found)
    gone = []
    for entry in case.accepted:
        hits = [number for number, one in enumerate(marked) if entry.finding in _names(case, one)]
        for number in hits:
            one = marked[number]
            if one.code != entry.code:
                raise entry.where.error(f"the finding {entry.finding} is {one.code}, not {entry.code}")
            if one.counts:
                marked[number] = replace(one, accepted=_acceptance(case, entry, one, len(hits)))
        if not hits and _shows(case, entry, compared):
            gone.append(Gone(entry, _absent(case, entry)))
    return tuple(marked), tuple(gone)


def _names(case: Case, finding: Finding) -> set[str]:
    """Return a finding's fingerprint, and the one it has by the earlier names of its boxes and ports."""
    return {finding.fingerprint, fingerprint(finding.code, map(case.was, finding.places))}


def _acceptance(case: Case, entry: Accepted, finding: Finding, hits: int) -> Acceptance:
    ranks = list(Severity)
    ended = ""
    if entry.until and case.taken and case.taken[: len(entry.until)] > entry.until:
        ended = f"it was accepted until {entry.until}, and this survey was taken on {case.taken[: len(entry.until)]}"
    elif ranks.index(finding.severity) < ranks.index(Severity(entry.severity)):
        ended = f"it was accepted as {_a(entry.severity)}, and is {_a(finding.severity)} now"
    elif hits > entry.times:
        ended = f"{entry.times} of its fingerprint {'is' if entry.times == 1 else 'are'} accepted, and there are {hits}"
    return Acceptance(entry.by, entry.why, entry.where.origins[0], entry.until, bool(case.taken), ended)


def _a(severity: str) -> str:
    return f"an {severity}" if severity == Severity.ERROR else f"a {severity}"


def _shows(case: Case, entry: Accepted, compared: Collection[str]) -> bool:
    """Tell whether a finding that is not there is one that this survey would show."""
    if not case.whole or (case.earlier is None and entry.code in compared):
        return False
    return not any(split_place(place)[0] in case.stale for place in entry.at)


def _absent(case: Case, entry: Accepted) -> tuple[str, ...]:
    """Return the boxes of an entry that this survey has not, under their earlier names either."""
    known = {*case.devices, *map(case.was, case.devices)}
    named = [split_place(place)[0] for place in entry.at if split_place(place)[1]]
    return tuple(dict.fromkeys(one for one in named if one not in known))
