"""A survey in; changes that make right what is wrong with it out, each tried on it before it is told.

A change is taken only if what it is for is right afterwards, nothing else is worse, nothing new leaks and nobody who
needs it is cut off.  Of those that pass, the one of the least weight is proposed, and the others are named.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from itertools import islice

import networkx as nx

from vlancheck.answering import Judged, against, findings_of, trusted
from vlancheck.dot1q.model import DeviceKind
from vlancheck.findings.case import Case
from vlancheck.findings.finding import Finding
from vlancheck.mend.amendment import Amendment
from vlancheck.mend.candidates import Candidates
from vlancheck.mend.harm import harm
from vlancheck.mend.proposal import Mend, Mended, Sureness, Unmended, described
from vlancheck.mend.risk import Weight, management_ports, weight
from vlancheck.mend.routes import Routes
from vlancheck.mend.typing import Desk, Typed
from vlancheck.mend.wants import About, Key, Standing, Want, standing, wants
from vlancheck.pipeline import Site, Survey
from vlancheck.places import split_place
from vlancheck.site.repatched import repatched
from vlancheck.verdicts.verdict import State
from vlancheck.writer import WriteError

_TRIED = 12  # changes that are tried for one thing, at most
_REFUSED = 2  # changes that would do harm, told beside the one that does none
_IN_VAIN = "it would not mend it"
_NOTHING = "no change of a port, a VLAN or a cord that the tool knows would mend it"


def mended(site: Site, survey: Survey, before: Survey | None = None) -> Mended:
    """Return what to type and which cords to move to make a survey right, beside an earlier one where it is given."""
    was = Judged(site, before) if before is not None else None
    if before is not None:
        survey, _ = trusted(site, before, survey)
    return _Mending(site, was, survey).result()


@dataclass(frozen=True)
class _State:
    """A survey as it stands, with what was changed so far; what takes long is worked out when it is asked for."""

    judged: Judged
    was: Judged | None  # the earlier survey it is held against

    @property
    def survey(self) -> Survey:
        return self.judged.survey

    @cached_property
    def case(self) -> Case:
        """The survey as checks look at it."""
        if self.was is None:
            return self.judged.case
        again = self.was.survey.files.captures != self.survey.files.captures
        return against(self.was, self.judged, seen_again=again)

    @cached_property
    def findings(self) -> tuple[Finding, ...]:
        """What all checks find."""
        return findings_of(self.judged, self.case)

    @cached_property
    def wants(self) -> tuple[Want, ...]:
        """Everything that is to be made right."""
        return wants(self.case, self.findings)

    @cached_property
    def declared(self) -> Standing:
        """How it stands with what is declared."""
        return standing(self.judged.case, ())

    @cached_property
    def standing(self) -> Standing:
        """How it stands with everything."""
        return standing(self.judged.case, self.findings)


@dataclass(frozen=True)
class _Passed:
    """A change that was tried and does what it is for."""

    amendment: Amendment
    typed: Typed
    weight: Weight
    state: _State


class _Mending:
    """Looks for changes, one thing after the other, each on the survey with those before it done."""

    def __init__(self, site: Site, was: Judged | None, survey: Survey) -> None:
        self.site, self.was, self.first = site, was, survey
        self.mends: list[Mend] = []
        self.unmended: list[tuple[Key, Unmended]] = []

    def result(self) -> Mended:
        """Return all proposals."""
        state = self._state(self.first)
        questions = _questions(state)
        done: set[Key] = set()
        later: list[Key] = []  # what touches the way by which people log in waits until all else is done
        while True:
            open_ = [one for one in state.wants if one.key not in done]
            want = next((one for one in open_ if one.key not in later), None) or next(iter(open_), None)
            if want is None:
                left = {one.key for one in state.wants}  # a later change may have mended one
                unmended = tuple(one for key, one in self.unmended if key in left)
                return Mended(tuple(self.mends), unmended, questions)
            passed, refused = self._search(want, state)
            if not passed:
                done.add(want.key)
                self.unmended.append((want.key, self._left(want, refused)))
                continue
            best = passed[0]
            if any(step.management for step in best.typed.steps) and want.key not in later:
                later.append(want.key)
                continue
            self.mends.append(self._mend(state, best, passed[1:], refused))
            done |= {want.key}
            state = best.state

    # ---- one change -----------------------------------------------------------------------------------------------

    def _search(self, want: Want, state: _State) -> tuple[list[_Passed], list[str]]:
        """Return the changes that make something right, the lightest first, and what those would do that may not be."""
        management = management_ports(state.case)
        candidates = Candidates(state.case, state.survey.boxes, Routes(state.case.network, management))
        desk = _desk(state, management)
        passed: list[_Passed] = []
        refused: list[str] = []
        for turn, amendment in enumerate(islice(candidates.of(want), _TRIED)):
            try:
                typed = desk.typed(amendment)
            except WriteError as error:
                refused.append(f"{'; '.join(described(amendment))}: {error}")
                continue
            if theirs := [name for name in amendment.devices if state.case.network.devices[name].owner]:
                refused.append(f"{theirs[0]} belongs to its {state.case.network.devices[theirs[0]].owner}: ask there")
                continue
            after = self._tried(amendment, typed, state)
            if why := self._why_not(want, state, after, amendment):
                refused.append(f"{'; '.join(described(amendment))}: {why}")
                continue
            weighed = weight(amendment, management, left=len(after.wants), lines=typed.lines, turn=turn)
            passed.append(_Passed(amendment, typed, weighed, after))
        return sorted(passed, key=lambda one: one.weight), refused

    def _tried(self, amendment: Amendment, typed: Typed, state: _State) -> _State:
        """Return the survey with a change made."""
        sheet = state.survey.sheet
        if amendment.cords:
            assert sheet is not None, "a cord that is moved stands in a sheet"
            sheet = repatched(sheet, [cord.end for cord in amendment.cords])
        return self._state(state.survey.changed(typed.boxes, typed.facts, sheet))

    def _why_not(self, want: Want, before: _State, after: _State, amendment: Amendment) -> str:
        """Return why a change may not be proposed; "" when it may."""
        if want.key[0] is not About.FINDING and not after.declared.met(want):
            return _IN_VAIN
        if worse := after.declared.worse(before.declared):
            return worse
        moved = {place for cord in amendment.cords for place in (cord.before, cord.after)}
        if cut := harm(before.judged.side, after.judged.side, want.places | moved):
            return cut
        return after.standing.worse(before.standing) if after.standing.met(want) else _IN_VAIN

    def _state(self, survey: Survey) -> _State:
        return _State(Judged(self.site, survey), self.was)

    # ---- its words ------------------------------------------------------------------------------------------------

    def _mend(self, before: _State, best: _Passed, others: list[_Passed], refused: list[str]) -> Mend:
        gone = {one.fingerprint for one in before.findings} - {one.fingerprint for one in best.state.findings}
        mended = [one for one in before.wants if best.state.standing.met(one)]
        instead = tuple(
            described(one.amendment)
            for one in others
            if all(one.state.standing.met(want) for want in mended) and not _includes(one.amendment, best.amendment)
        )
        steps = best.typed.steps
        if any(step.cord is not None and step.cord.ask for step in steps):
            sure = Sureness.ASK
        elif any(step.cord is None and not step.lines for step in steps):
            sure = Sureness.WORDS
        else:
            sure = Sureness.CHOICE if instead else Sureness.CERTAIN
        return Mend(
            tuple(sorted(gone)),
            tuple(dict.fromkeys(one.words for one in mended)),
            sure,
            best.amendment,
            steps,
            instead,
            self._between(before, best),
            tuple(one for one in refused if not one.endswith(_IN_VAIN))[:_REFUSED],
        )

    def _between(self, before: _State, best: _Passed) -> tuple[str, ...]:
        """Return what is out of service while steps are done, and was not before."""
        found: dict[str, None] = {}
        for boxes in best.typed.states[:-1]:
            now = self._state(before.survey.changed(boxes, {}, before.survey.sheet)).declared.endings
            for key, state in before.declared.endings.items():
                if state is State.CARRIED and now.get(key) not in (State.CARRIED, State.UNPROVEN):
                    found[key[1]] = None
        return tuple(found)

    def _left(self, want: Want, refused: list[str]) -> Unmended:
        why = f"tried, and not proposed: {refused[0]}" if refused else _NOTHING
        if len(refused) > 1:
            why += f" (and {len(refused) - 1} more)"
        reason = want.ending.reason if want.ending is not None else None
        settled = want.finding.settled_by if want.finding is not None else reason.settled_by if reason else ""
        return Unmended(want.words, why, settled)


def _includes(larger: Amendment, smaller: Amendment) -> bool:
    """Tell whether a change does all that another one does, and perhaps more."""
    return larger.joined(smaller) == larger


def _desk(state: _State, management: frozenset[str]) -> Desk:
    reading = state.survey.reading
    network = state.case.network
    return Desk(
        network.devices,
        {box.name: box for box in reading.devices},
        reading.gathered,
        _distances(state.case),
        management,
    )


def _distances(case: Case) -> dict[str, int]:
    """Return how many boxes each box is away from the routers, and without one from the handoffs."""
    graph: nx.Graph[str] = nx.Graph()
    graph.add_nodes_from(case.network.devices)
    graph.add_edges_from((split_place(link.one)[0], split_place(link.other)[0]) for link in case.network.links)
    routed = [
        name for name, box in case.network.devices.items() if box.kind in (DeviceKind.ROUTER, DeviceKind.FIREWALL)
    ]
    start = routed or sorted({split_place(place)[0] for place in case.network.handoffs})
    return dict(nx.multi_source_dijkstra_path_length(graph, start)) if start else {}


def _questions(state: _State) -> tuple[tuple[str, str], ...]:
    """Return what to ask a carrier: of what was declared, and of what was found at its handoffs."""
    case = state.case
    found = {(one.words, one.settled_by): None for verdict in case.verdicts for one in verdict.questions}
    for finding in state.findings:
        if finding.settled_by and finding.counts and finding.at & case.network.handoffs:
            found[f"{finding.code} {finding.headline}", finding.settled_by] = None
    return tuple(found)
