"""Findings of all checks and the verdicts in, one finding for each cause out, effects listed under it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from vlancheck.findings.case import Case
from vlancheck.findings.finding import Finding, Severity, in_order
from vlancheck.places import split_place
from vlancheck.verdicts.reasons import Hop, Reason
from vlancheck.verdicts.verdict import Certainty, State


@dataclass(frozen=True, slots=True)
class Effect:
    """What happened to something declared, and the places and VIDs on which it hangs."""

    words: str  # in one line
    spots: tuple[tuple[str, int | None], ...]  # (DEVICE:PORT, relay VID or None), the likeliest cause first


def grouped(case: Case, found: Iterable[Finding], general: frozenset[str]) -> tuple[Finding, ...]:
    """Return the findings with their effects, worst first.

    A finding that something declared hangs on is an error.  Those of `general` checks (codes), which tell effects where
    no check found the cause, are left out when another finding explains all that they are about.
    """
    particular: list[Finding] = []
    last: list[Finding] = []
    for one in found:
        (last if one.code in general else particular).append(one)
    claimed: set[str] = set()
    effects: dict[int, list[str]] = {}
    for effect in _effects(case):
        pairs = ((number, one, spot) for spot in effect.spots for number, one in enumerate(particular))
        place = next((number for number, one, spot in pairs if _explains(case, one, spot)), None)
        if place is not None:
            effects.setdefault(place, []).append(effect.words)
            claimed.add(effect.words)
    made = [_with(one, effects.get(number, [])) for number, one in enumerate(particular)]
    for one in last:
        left = tuple(words for words in one.effects if words not in claimed)
        if left or not one.effects:
            made.append(replace(one, effects=left))
    return in_order(_merged(made))


def effect_of_ending(order: str, at: str, state: State, reason: Reason | None) -> str:
    """Return an ending that is not as declared, in one line."""
    why = f": {reason.words}" if reason else ""
    return f"{order}: {at} is {state.value}{why}"


def effect_of_leak(order: str, at: str, what: str) -> str:
    """Return a leak in one line."""
    return f"{order}: leaks to {at}" + (f" ({what})" if what else "")


def _effects(case: Case) -> Iterator[Effect]:
    for verdict in case.verdicts:
        name = verdict.order.name
        for ending in verdict.endings:
            if ending.state in (State.DROPPED, State.MISMATCHED):
                words = effect_of_ending(name, ending.stop.name, ending.state, ending.reason)
                ways = [way for way in (ending.inward, ending.back) if way is not None and way.reason is not None]
                spots = [(way.reason.place, way.reason.vid) for way in ways if way.reason and way.reason.place]
                if ending.reason and ending.reason.place:
                    spots.insert(0, (ending.reason.place, ending.reason.vid))
                yield Effect(words, (*dict.fromkeys(spots), *_along(ending.path)))
        for leak in verdict.leaks:
            if leak.certainty is Certainty.PROVED:
                path = case.ground.reasons.path(leak.sender, leak.sent, leak.to)
                yield Effect(effect_of_leak(name, leak.at, leak.what), tuple(_along(path)))


def _along(path: Sequence[Hop]) -> Iterator[tuple[str, int | None]]:
    return ((hop.port, hop.vid) for hop in path)


def _explains(case: Case, finding: Finding, spot: tuple[str, int | None]) -> bool:
    place, vid = spot
    if finding.vids and vid is not None and not finding.vids >> vid & 1:
        return False
    names = {place, split_place(place)[0]}
    if far := case.network.peer.get(place):
        names.add(far)
    return not finding.at.isdisjoint(names)


def _with(finding: Finding, effects: list[str]) -> Finding:
    if not effects:
        return finding
    joined = tuple(dict.fromkeys((*finding.effects, *effects)))
    return replace(finding, effects=joined, severity=Severity.ERROR)


def _merged(found: Sequence[Finding]) -> list[Finding]:
    """Return findings of one check at the same places as one, with all their VIDs, evidence and effects."""
    made: dict[tuple[str, frozenset[str], str], Finding] = {}
    for one in found:
        key = one.code, one.at, one.headline if not one.at else ""
        if key not in made:
            made[key] = one
            continue
        first = made[key]
        made[key] = replace(
            first,
            vids=first.vids | one.vids if first.vids and one.vids else 0,
            where=tuple(dict.fromkeys((*first.where, *one.where))),
            effects=tuple(dict.fromkeys((*first.effects, *one.effects))),
            severity=min(first.severity, one.severity, key=list(Severity).index),
        )
    return list(made.values())
