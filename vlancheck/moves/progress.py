"""Ticks of a night and the survey they are about in, what is done, not yet done and tested by hand out.

The rule: with ticks, a cord is done when its row of the re-patch or the acceptance sheet says pass or fail; with
places to look at alone, what is outside of them waits.  What waits, and what is reached only by way of a cord that is
not done, is `not yet`, whatever the model says of it.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import NamedTuple

from vlancheck.evidence import Origins, join
from vlancheck.places import split_place
from vlancheck.site.boxes import Boxes
from vlancheck.site.places import PlaceError
from vlancheck.site.spots import Spot
from vlancheck.site.strands import panel_key
from vlancheck.site.ticks import Result, Tick
from vlancheck.verdicts.judge import summed
from vlancheck.verdicts.orders import OrderKind
from vlancheck.verdicts.reasons import Reason
from vlancheck.verdicts.verdict import EndingVerdict, State, Verdict

REPATCH, ACCEPTANCE = "re-patch", "acceptance"
_UNTICKED = "its row is not ticked yet"
_OUTSIDE = "it is not among the places that were asked for"


class NotYet(NamedTuple):
    """Something that is not done yet."""

    name: str  # jack or DEVICE:PORT
    place: str  # DEVICE:PORT; "" when nothing is patched there
    why: str  # in words


@dataclass(frozen=True)
class Progress:
    """How far a night is."""

    waiting: Mapping[str, NotYet] = field(default_factory=dict)  # DEVICE:PORT, jack or panel port, as a key, and why
    unticked: Mapping[str, str] = field(default_factory=dict)  # key of a cord that is not ticked -> what it is called
    passed: Mapping[str, Origins] = field(default_factory=dict)  # the same, of places that passed by hand
    failed: Mapping[str, Origins] = field(default_factory=dict)  # place as told -> ticks that say it failed
    inside: frozenset[str] | None = None  # keys and devices that were asked for; None: all
    remarks: tuple[str, ...] = ()  # ticks that were not used, and why
    tried: tuple[tuple[str, Tick], ...] = ()  # places of the survey by name, and what came of a test by hand there

    def why_not(self, name: str, *places: str) -> str:
        """Return why a place of this name, at these ports, is not done yet; "" when it is."""
        keys = [panel_key(one) for one in (name, *places) if one]
        found = next((self.waiting[key] for key in keys if key in self.waiting), None)
        if found is not None:
            return found.why
        return "" if self._asked(keys) else _OUTSIDE

    def of(self, verdict: Verdict) -> Verdict:
        """Return a verdict with what waits as not yet, and what no capture proves as carried where a hand test says so.

        A hand test settles only what is unproven: against a proof it stands as a remark or a finding.
        """
        own = (
            verdict.order.kind is OrderKind.VLAN
        )  # the other ending that a VLAN is judged against is no way to this one
        return summed(verdict, [self._ending(one, own) for one in verdict.endings])

    def listed(self, verdicts: Iterable[Verdict]) -> tuple[NotYet, ...]:
        """Return everything that is not done yet, each once: cords, then endings that no cord leads to."""
        found = {one.name: one for one in self.waiting.values()}
        for verdict in verdicts:
            for ending in verdict.endings:
                why = self.why_not(ending.stop.name, ending.stop.place, ending.at)
                if why and panel_key(ending.stop.name) not in self.waiting:
                    place = ending.stop.place
                    if panel_key(place) not in self.waiting and panel_key(ending.at) not in self.waiting:
                        found.setdefault(ending.stop.name, NotYet(ending.stop.name, place, why))
        return tuple(found.values())

    def disagreeing(self, verdicts: Iterable[Verdict]) -> Iterator[str]:
        """Yield a remark for each ending that passed by hand and that the model says is not carried."""
        for verdict in verdicts:
            for ending in verdict.endings:
                if ending.state in (State.DROPPED, State.MISMATCHED) and (by := self._by_hand(ending)):
                    said = f"{verdict.order.name} is {ending.state} there by what was read"
                    yield f"{by[0].place}: {ending.stop.name} passed by hand, and {said}; a proof is not overruled"

    def _ending(self, ending: EndingVerdict, own: bool) -> EndingVerdict:
        if why := self.why_not(ending.stop.name, ending.stop.place, ending.at):
            reason = Reason(f"{ending.stop.name}: {why}", ending.at, settled_by="do the row, tick it, and verify again")
            return replace(ending, state=State.NOT_YET, reason=reason)
        by = self._by_hand(ending)
        if not by and (cord := self._on_the_way(ending, own)):
            words = f"on its way is {cord}, whose row is not ticked yet"
            reason = Reason(words, ending.at, settled_by="do that row, tick it, and verify again")
            return replace(ending, state=State.NOT_YET, reason=reason)
        if ending.state is State.UNPROVEN and by:
            words = f"no capture proves it; it passed by hand: {by[0].text}"
            return replace(ending, state=State.CARRIED, reason=Reason(words, ending.at, evidence=by), tested=by)
        return ending

    def _on_the_way(self, ending: EndingVerdict, own: bool) -> str:
        """Return a cord that is not ticked and that frames pass on their way to an ending; "" when there is none."""
        sender = ending.inward.sender if own and ending.inward else ""
        apart = self.unticked.get(panel_key(sender), "") if sender else ""
        cords = (self.unticked.get(panel_key(hop.port), "") for hop in ending.path)
        return next((cord for cord in cords if cord and cord != apart), "")

    def _by_hand(self, ending: EndingVerdict) -> Origins:
        keys = [panel_key(one) for one in (ending.stop.name, ending.stop.place, ending.at) if one]
        return next((self.passed[key] for key in keys if key in self.passed), ())

    def _asked(self, keys: Sequence[str]) -> bool:
        if self.inside is None:
            return True
        return any(key in self.inside or panel_key(split_place(key)[0]) in self.inside for key in keys)


def progress(boxes: Boxes, ticks: Sequence[Tick] | None, only: Iterable[str]) -> Progress:
    """Return how far the night is that ends in a survey; `ticks` are None where no file of them was given.

    Raises PlaceError for a place in `only` that is none.
    """
    asked = [one for text in only for one in _asked_for(boxes, text)]
    inside = frozenset(asked) if asked else None
    done: set[str] = set()
    passed: dict[str, Origins] = {}
    failed: dict[str, Origins] = {}
    tried: list[tuple[str, Tick]] = []
    remarks: Counter[str] = Counter()
    for tick in ticks or ():
        spot = _spot(boxes, tick.key) or _spot(boxes, tick.cord)
        keys = {panel_key(name) for name in (spot.name, *spot.places)} if spot else {panel_key(tick.key)}
        told = spot.name if spot else tick.key
        if tick.sheet == ACCEPTANCE and (tick.result is Result.FAIL or (tick.result is Result.PASS and tick.whole)):
            tried.append((told, tick))
        if tick.result is Result.FAIL:
            failed[told] = join(failed.get(told, ()), tick.origins)
        if tick.result is Result.NOT_TESTED or tick.sheet not in (REPATCH, ACCEPTANCE):
            continue
        if spot is None:
            remarks[
                f"{tick.origins[0].place}: no row of {boxes.survey} is called {tick.key}; the tick is not used"
            ] += 1
            continue
        done |= keys
        if tick.sheet == ACCEPTANCE and tick.result is Result.PASS:
            if not tick.whole:
                said = f"{tick.key} passed, and who, when or what is not said; it proves nothing"
                remarks[f"{tick.origins[0].place}: {said}"] += 1
                continue
            for key in keys:
                passed[key] = join(passed.get(key, ()), tick.origins)
    made = Progress(failed=failed, inside=inside, remarks=tuple(remarks), tried=tuple(tried))
    waiting = dict(_waiting(boxes, made, done if ticks is not None else None))
    everywhere = dict(_waiting(boxes, Progress(), done)) if ticks is not None else {}
    bad = {panel_key(place) for place in failed}
    unticked = {key: one.name for key, one in everywhere.items()}
    return replace(
        made, waiting=waiting, unticked=unticked, passed={key: by for key, by in passed.items() if key not in bad}
    )


def _waiting(boxes: Boxes, made: Progress, done: set[str] | None) -> Iterator[tuple[str, NotYet]]:
    """Yield the keys of every cord that is not done, or not asked for."""
    for chain in boxes.chains:
        names = [*chain.passed, *chain.ports]
        keys = [panel_key(name) for name in names]
        jack = chain.outermost(chain.ports[0]) if len(chain.ports) == 1 else ""
        place = chain.ports[0] if chain.ports else ""
        outside = made.why_not(names[0], *names[1:]) if names else ""
        if not (outside or (done is not None and done.isdisjoint(keys))):
            continue
        found = NotYet(jack or (names or [""])[0], place, outside or _UNTICKED)
        for key in keys:
            yield key, found
        for port in chain.ports:
            device, name = split_place(port)
            box = boxes.devices.get(device)
            if box is not None and name in box.ports and box.ports[name].bundle:
                yield panel_key(f"{device}:{box.ports[name].bundle}"), found


def _asked_for(boxes: Boxes, text: str) -> Iterator[str]:
    """Yield the keys that a place to look at stands for: a box or panel by its name, else what the survey calls so."""
    names = {*boxes.devices, *(panel.panel for panel in boxes.panels.values())}
    if panel_key(text.strip()) in {panel_key(name) for name in names if name}:
        yield panel_key(text.strip())
        return
    for spot in boxes.spots.find(text):
        yield from (panel_key(name) for name in (spot.name, *spot.places))


def _spot(boxes: Boxes, key: str) -> Spot | None:
    try:
        found = boxes.spots.find(key)
    except PlaceError:
        return None
    return found[0] if len(found) == 1 and not found[0].absent else None
