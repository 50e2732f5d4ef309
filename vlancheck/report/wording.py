"""The answer of a report in words: one sentence, counts per state, one line for each verdict."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from vlancheck.findings.finding import Finding, Severity
from vlancheck.outcome import CLEAN, FAULTY, Report
from vlancheck.verdicts.verdict import Certainty, Direction, EndingVerdict, State, Verdict, Way

SIGNS = {
    State.DROPPED: "x",
    State.MISMATCHED: "#",
    State.LEAKED: "!",
    State.UNPROVEN: "?",
    State.NOT_YET: "-",
    State.CARRIED: "+",
}  # beside the word, so that colour is never alone


def sentence(report: Report) -> str:
    """Return the verdict in one sentence, with how much of it somebody answers for."""
    answered = f"; {several(len(report.accepted), 'finding')} accepted" if report.accepted else ""
    return f"{_verdict(report)}{answered}."


def _verdict(report: Report) -> str:
    against = f" against {report.before}" if report.before else ""
    without = f" without {', '.join(report.without)}" if report.without else ""
    start = f"{report.site}, {report.survey}{against}{without}"
    if report.verdict == FAULTY:
        return f"{start}: FAULTY, {_worst(report)}"
    if report.verdict == CLEAN:
        changed = ", and nothing that is needed changed" if report.before else ""
        beyond = " beyond what is accepted" if changed and report.accepted else ""
        return f"{start}: CLEAN, everything declared is carried{changed}{beyond}"
    if not report.verdicts:
        return f"{start}: UNPROVEN, since nothing is declared (add services or vlans to site.yaml)"
    return f"{start}: UNPROVEN, {_open(report)}"


def counts(report: Report) -> str:
    """Return how many services, VLANs and findings there are of each state and severity."""
    parts = []
    for word, verdicts in (("service", report.services), ("VLAN", report.vlans)):
        if verdicts:
            parts.append(f"{several(len(verdicts), word)}: {states(verdicts)}")
    severities = Counter(finding.severity for finding in report.counted)
    shown = [several(severities[one], one.value) for one in Severity if severities[one]]
    shown += [f"{len(report.accepted)} accepted"] if report.accepted else []
    parts.append(", ".join(shown) or "no findings")
    return "; ".join(parts)


def states(verdicts: Sequence[Verdict]) -> str:
    """Return how many verdicts there are of each state, worst first."""
    counted = Counter(verdict.state for verdict in verdicts)
    return ", ".join(f"{counted[state]} {state.value}" for state in State if counted[state])


def title(verdict: Verdict) -> str:
    """Return what a verdict is about: the name and the tag."""
    return verdict.order.title


def answered_for(finding: Finding) -> str:
    """Return who answers for a finding, until when and why; "" when nobody does."""
    if (accepted := finding.accepted) is None:
        return ""
    undated = "" if accepted.dated else ", and nothing says when this survey was taken"
    until = f" until {accepted.until}{undated}" if accepted.until else ""
    return f"accepted by {accepted.by}{until}: {accepted.why}"


def acceptance(finding: Finding) -> str:
    """Return who answers for a finding, or why nobody does any longer; "" when nobody ever did."""
    if finding.accepted is not None and finding.accepted.ended:
        return f"no longer accepted, since {finding.accepted.ended}"
    return answered_for(finding)


def ways(ending: EndingVerdict) -> str:
    """Return what is known of an ending in both directions."""
    return f"in {_way(ending.inward)}, back {_way(ending.back)}"


def _way(direction: Direction | None) -> str:
    if direction is None:
        return "unknown"
    return "mismatched" if direction.way is Way.OTHERWISE else direction.way.value


def _worst(report: Report) -> str:
    """Return the worst things, in words: leaks to a handoff or a hold before all."""
    verdicts = report.verdicts
    parts = []
    toward = [v for v in verdicts if any(k.what and k.certainty is Certainty.PROVED for k in v.leaks)]
    if toward:
        first = next(k for v in toward for k in v.leaks if k.what and k.certainty is Certainty.PROVED)
        more = f" (and {len(toward) - 1} more leak)" if len(toward) > 1 else ""
        parts.append(f"{title(toward[0])} leaks to {first.at}, {_a(first.what)}{more}")
    for state in (State.DROPPED, State.MISMATCHED):
        hit = [verdict for verdict in verdicts if verdict.state is state]
        if hit:
            parts.append(f"{_named(hit)} {state.value}")
    if not parts:
        hit = [verdict for verdict in verdicts if verdict.state is State.LEAKED]
        if hit:
            parts.append(f"{_named(hit)} leaked")
    if not parts:
        errors = [finding for finding in report.counted if finding.severity is Severity.ERROR]
        parts.append(f"{several(len(errors), 'error')}, the first: {errors[0].headline}")
    return "; ".join(parts)


def _open(report: Report) -> str:
    hit = [verdict for verdict in report.verdicts if verdict.state is State.UNPROVEN]
    if hit:
        return f"no fault is found, but {_named(hit)} cannot be proved"
    if report.not_yet:
        return f"no fault is found, and {several(len(report.not_yet), 'row')} not yet done"
    return "no fault is found, but not everything can be compared"


def _named(verdicts: Sequence[Verdict]) -> str:
    names = [title(verdict) for verdict in verdicts]
    shown = ", ".join(names[:3])
    return shown + (f" and {len(names) - 3} more" if len(names) > 3 else "")


def several(count: int, word: str) -> str:
    return f"{count} {word}" if count == 1 else f"{count} {word}s"


def _a(what: str) -> str:
    return f"a {what}" if what in ("handoff", "hold") else what
