"""Findings of a report in, the entries out by which site.yaml accepts them."""

from __future__ import annotations

from collections.abc import Iterable

import yaml

from vlancheck.errors import UsageError
from vlancheck.findings.finding import Finding, Severity
from vlancheck.outcome import Report

_LEAST = 4  # letters of a fingerprint that are enough where no other begins so
_SHOWN = 8  # places of a finding that its entry names
_LISTED = 6  # fingerprints that an error lists


def asked_for(report: Report, marks: Iterable[str]) -> tuple[Finding, ...]:
    """Return the findings with these fingerprints, or beginnings of them, once each.

    Raises UsageError for one that no finding has, that several begin with, and that is accepted already.
    """
    found: dict[str, Finding] = {}
    for mark in marks:
        hits = {one.fingerprint: one for one in report.findings if one.fingerprint.startswith(mark.casefold())}
        if len(mark) < _LEAST or len(hits) != 1:
            known = list(hits) or list(dict.fromkeys(one.fingerprint for one in report.counted))
            what = "begins several fingerprints" if len(hits) > 1 else "is no fingerprint of a finding"
            more = " ..." if len(known) > _LISTED else ""
            raise UsageError(
                f"{mark!r} {what} of {report.survey}", hint=f"known: {', '.join(known[:_LISTED]) or 'none'}{more}"
            )
        ((name, one),) = hits.items()
        if one.accepted is not None and not one.accepted.ended:
            raise UsageError(f"{name} is accepted already, at {one.accepted.origin.place}", hint="leave it out")
        found[name] = one
    return tuple(found.values())


def entries(report: Report, findings: Iterable[Finding], why: str, by: str, until: str = "") -> str:
    """Return the entries as lines of YAML, each below what its finding says; the places where they are few."""
    ranks = list(Severity)
    made = []
    for finding in findings:
        alike = [one for one in report.findings if one.fingerprint == finding.fingerprint]
        entry: dict[str, object] = {"finding": finding.fingerprint, "code": finding.code}
        if len(finding.places) <= _SHOWN:
            entry["at"] = list(finding.places)
        entry["severity"] = min((one.severity for one in alike), key=ranks.index).value
        if len(alike) > 1:
            entry["times"] = len(alike)
        entry |= {"why": why, "by": by}
        if until:
            entry["until"] = until
        made += [f"# {one.headline}" for one in alike]
        made.append(yaml.safe_dump([entry], sort_keys=False, allow_unicode=True, width=1000).rstrip())
    return "\n".join(made)
