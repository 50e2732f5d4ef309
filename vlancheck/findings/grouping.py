"""Findings of all checks and the verdicts in, one finding for each cause out, effects listed under it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from vlancheck.changes.change import Change, Kind
from vlancheck.findings.case import Case
from vlancheck.findings.finding import Finding, Severity, in_order
from vlancheck.places import split_place
from vlancheck.verdicts.reasons import Hop, Reason
from vlancheck.verdicts.verdict import Certainty, State
from vlancheck.vids import members


@dataclass(frozen=True, slots=True)
class Effect:
    """What happened to something declared, and the places and VIDs on which it hangs."""

    words: str  # in one line
    spots: tuple[tuple[str, int | None], ...]  # (DEVICE:PORT, relay VID or None), the likeliest cause first


def grouped(case: Case, found: Iterable[Finding], general: Mapping[str, int]) -> tuple[Finding, ...]:
    """Return the findings with their effects, worst first.

    A finding that something declared hangs on is an error.  Those of `general` checks (code -> rank), which tell what
    happened where no check found the cause, give their effects to a finding of lower rank that explains them.
    """
    kept: list[Finding] = []
    waiting: list[Finding] = []
    for one in found:
        (waiting if one.code in general else kept).append(one)
    claimed: set[str] = set()
    for effect in _effects(case):
        if (host := _host(case, kept, effect.spots)) is not None:
            kept[host] = _with(kept[host], [effect.words])
            claimed.add(effect.words)
    senders = _senders(case)
    for rank in sorted(set(general.values())):
        known = list(kept)
        for one in (one for one in waiting if general[one.code] == rank):
            left = [words for words in one.effects if words not in claimed]
            if not left:
                continue
            spots = [(place, vid) for place in sorted(one.at) for vid in (members(one.vids) if one.vids else (None,))]
            if rank > 1:
                host = _host(case, known, spots)
            else:
                host = _astray(kept, one.code, {senders.get(words, "") for words in left}, general)
            if host is None:
                kept.append(replace(one, effects=tuple(left)))
            else:
                kept[host] = _with(kept[host], left, needed=one.severity is Severity.ERROR)
    return in_order(_merged(kept))


def _host(case: Case, found: Sequence[Finding], spots: Sequence[tuple[str, int | None]]) -> int | None:
    """Return the number of the finding that explains the likeliest of some spots; None when none does."""
    pairs = ((number, one, spot) for spot in spots for number, one in enumerate(found))
    return next((number for number, one, spot in pairs if one.cause and _explains(case, one, spot)), None)


def _astray(found: Sequence[Finding], code: str, senders: set[str], general: Mapping[str, int]) -> int | None:
    """Return the number of the finding that what is put in at the one port leaks come from does not get through."""
    return next(
        (n for n, one in enumerate(found) if one.code in general and one.code != code and one.at == senders), None
    )


def _senders(case: Case) -> Mapping[str, str]:
    """Return the ports that what leaks is put in at, by the words of the leak."""
    return {
        effect_of_leak(verdict.order.name, leak.at, leak.what): leak.sender
        for verdict in case.verdicts
        for leak in verdict.leaks
        if leak.certainty is Certainty.PROVED
    }


def effect_of_ending(order: str, at: str, state: State, reason: Reason | None) -> str:
    """Return an ending that is not as declared, in one line."""
    why = f": {reason.words}" if reason else ""
    return f"{order}: {at} is {state.value}{why}"


def effect_of_leak(order: str, at: str, what: str) -> str:
    """Return a leak in one line."""
    return f"{order}: leaks to {at}" + (f" ({what})" if what else "")


def effect_of_change(row: Change) -> str:
    """Return a change of carriage at one anchor, in one line."""
    at = f"{row.anchor.name}, {row.frame}"
    match row.kind:
        case Kind.LOST:
            verb, _, partners = row.before.partition(" ")
            return f"{at}: no longer {'hears' if verb == 'heard' else 'reaches'} {partners}"
        case Kind.GAINED | Kind.REPAIRED:
            return f"{at}: now {row.after}"
        case _:
            return f"{row.anchor.name}: was {row.before}, is {row.after}"


def _effects(case: Case) -> Iterator[Effect]:
    for verdict in case.verdicts:
        name = verdict.order.name
        for ending in verdict.endings:
            if ending.state in (State.DROPPED, State.MISMATCHED):
                words = effect_of_ending(name, ending.stop.name, ending.state, ending.reason)
                ways = [way for way in (ending.inward, ending.back) if way is not None and way.reason is not None]
                reasons = [ending.reason, *(way.reason for way in ways)]
                spots = [(one.place, one.vid) for one in reasons if one is not None and one.place]
                yield Effect(words, (*dict.fromkeys(spots), *_along(ending.path)))
        for leak in verdict.leaks:
            if leak.certainty is Certainty.PROVED:
                path = case.ground.reasons.path(leak.sender, leak.sent, leak.to)
                yield Effect(effect_of_leak(name, leak.at, leak.what), tuple(_along(path)))
    for cause in case.comparison.causes if case.comparison else ():
        vids = tuple(members(cause.place.vids)) if cause.place.vids else (None,)
        told = tuple((port, vid) for port in cause.place.ports for vid in vids)
        for row in cause.told:
            if row.needed and not row.expected:
                yield Effect(effect_of_change(row), told)


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


def _with(finding: Finding, effects: list[str], *, needed: bool = True) -> Finding:
    if not effects:
        return finding
    joined = tuple(dict.fromkeys((*finding.effects, *effects)))
    return replace(finding, effects=joined, severity=Severity.ERROR if needed else finding.severity)


def _merged(found: Sequence[Finding]) -> list[Finding]:
    """Return findings of one check at the same places as one, with all their VIDs, evidence and effects."""
    made: dict[tuple[str, frozenset[str], str], Finding] = {}
    for one in found:
        key = one.code, one.at, "" if one.at and one.cause else one.headline
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
