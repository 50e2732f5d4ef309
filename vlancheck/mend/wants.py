"""A judged survey in, everything that is to be made right out: endings, leaks and findings, what is worst first."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from vlancheck.findings.case import Case
from vlancheck.findings.finding import Finding, Severity
from vlancheck.findings.grouping import effect_of_ending, effect_of_leak
from vlancheck.verdicts.verdict import Certainty, EndingVerdict, Leak, State, Verdict


class About(StrEnum):
    """What is to be made right."""

    ENDING = "ending"
    LEAK = "leak"
    FINDING = "finding"


Key = tuple[About, str, str]  # what it is known by, before and after a change


@dataclass(frozen=True, slots=True)
class Want:
    """One thing that is to be made right."""

    key: Key
    words: str  # what is wrong, in one line
    places: frozenset[str]  # DEVICE:PORT that it is about: what is carried there may change
    verdict: Verdict | None = None  # of an ending or a leak: what was declared
    ending: EndingVerdict | None = None  # the ending
    leak: Leak | None = None  # the leak
    finding: Finding | None = None  # the finding


@dataclass(frozen=True)
class Standing:
    """How a survey stands: what a change must not make worse."""

    endings: Mapping[Key, State]  # of everything declared
    leaks: frozenset[Key] = frozenset()  # proved and possible ones
    findings: Mapping[Key, Severity] = field(default_factory=dict)  # errors and warnings
    idle: frozenset[Key] = frozenset()  # those of them that explain nothing that is not told by an ending or a leak

    def met(self, want: Want) -> bool:
        """Tell whether something is right now."""
        match want.key[0]:
            case About.ENDING:
                return self.endings.get(want.key) is State.CARRIED
            case About.LEAK:
                return want.key not in self.leaks
            case About.FINDING:
                return want.key not in self.findings

    def worse(self, before: Standing) -> str:
        """Return what is worse than `before`, in words; "" when nothing is."""
        ranks = list(State)
        for key, state in self.endings.items():
            if key in before.endings and ranks.index(state) < ranks.index(before.endings[key]):
                return f"{key[1]} would be {state.value}"
        if more := sorted(self.leaks - before.leaks):
            return f"{more[0][1]} would leak to {more[0][2].split(' ')[0]}"
        severities = list(Severity)
        # What explains an ending is told by the ending: mend one fault, and the next one behind it comes to light.
        for key, severity in ((key, self.findings[key]) for key in sorted(self.idle)):
            was = before.findings.get(key)
            if was is None or severities.index(severity) < severities.index(was):
                return f"{key[1]} would be found at {key[2] or 'the site'}"
        return ""


def standing(case: Case, findings: Iterable[Finding]) -> Standing:
    """Return how a survey stands."""
    endings = {key: ending.state for key, _, ending in _endings(case)}
    leaks = frozenset(_leak_key(verdict, leak) for verdict in case.verdicts for leak in verdict.leaks)
    found: dict[Key, Severity] = {}
    idle: set[Key] = set()
    for one in findings:
        if one.severity is not Severity.NOTE:
            key = _finding_key(one)
            found[key] = min(found.get(key, one.severity), one.severity, key=list(Severity).index)
            if not one.effects:
                idle.add(key)
    return Standing(endings, leaks, found, frozenset(idle))


def wants(case: Case, findings: Iterable[Finding]) -> tuple[Want, ...]:
    """Return everything that is to be made right: what is declared first, then what may break with the next event."""
    made: list[Want] = []
    for key, verdict, ending in _endings(case):
        if ending.state in (State.DROPPED, State.MISMATCHED):
            words = effect_of_ending(verdict.order.name, ending.stop.name, ending.state, ending.reason)
            ways = [way for way in (ending.inward, ending.back) if way is not None]
            places = {ending.at, *(way.sender for way in ways), *(way.at for way in ways)} - {""}
            made.append(Want(key, words, frozenset(places), verdict, ending))
    for verdict in case.verdicts:
        for leak in verdict.leaks:
            if leak.certainty is Certainty.PROVED:
                words = effect_of_leak(verdict.order.name, leak.at, leak.what)
                made.append(Want(_leak_key(verdict, leak), words, frozenset({leak.at}), verdict, leak=leak))
    for one in findings:
        if wrong(one):
            made.append(Want(_finding_key(one), f"{one.code} {one.headline}", one.at, finding=one))
    return tuple(made)


def wrong(finding: Finding) -> bool:
    """Tell whether a finding is one that a change should make go away."""
    if not finding.counts:
        return False
    return finding.severity is Severity.ERROR or (finding.severity is Severity.WARNING and finding.cause)


def _endings(case: Case) -> Iterator[tuple[Key, Verdict, EndingVerdict]]:
    for verdict in case.verdicts:
        for number, ending in enumerate(verdict.endings):
            name = f"{verdict.order.name} at {ending.stop.name}"
            yield (About.ENDING, name, f"{verdict.order.kind} {number}"), verdict, ending


def _leak_key(verdict: Verdict, leak: Leak) -> Key:
    return About.LEAK, verdict.order.name, f"{leak.at} {leak.certainty.value}"


def _finding_key(finding: Finding) -> Key:
    return About.FINDING, finding.code, " ".join(sorted(finding.at))
