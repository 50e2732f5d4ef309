"""Which switch hears which at which port in, the cords between switches that are not where the sheet has them out."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import cached_property

import networkx as nx

from vlancheck.dot1q.model import DeviceKind
from vlancheck.evidence import Origins, join
from vlancheck.places import split_place
from vlancheck.reconciliation.carrying import does_alike
from vlancheck.reconciliation.moved import MoveCause, MoveKind, Sureness, shown
from vlancheck.reconciliation.placing import Placing
from vlancheck.reconciliation.sightings import Heard

_EVERY = -1  # frames of every VID, and untagged ones
Edge = frozenset[str]  # the two ends (DEVICE:PORT) of a cord between two switches


class Uplinks:
    """The cords between switches, as they should be and as they are heard."""

    def __init__(self, placing: Placing) -> None:
        """Take both surveys."""
        self.before, self.after = placing.before, placing.after
        self.network = self.after.side.ground.network
        self._was, self._now = placing.was.heard, placing.now.heard
        self._old: dict[Edge, Origins] = {}
        for one in self._was:
            self._old[_old_edge(one)] = join(self._old.get(_old_edge(one), ()), one.origins)

    @cached_property
    def planned(self) -> Mapping[Edge, Origins]:
        """The cords of the later survey between two switches, with the rows that say so."""
        bridges = {name for name, box in self.after.devices.items() if box.kind is DeviceKind.BRIDGE}
        return {
            frozenset((one, other)): origins
            for one, other, origins in self.after.cords
            if {split_place(one)[0], split_place(other)[0]} <= bridges
        }

    @cached_property
    def shown(self) -> Mapping[Edge, Origins]:
        """The cords that switches of the later survey were heard over, with the lines; both ends' ports are known."""
        last: dict[str, str] = {}
        for one in self._now:
            last[one.place] = max(last.get(one.place, ""), self._taken(one))
        found: dict[Edge, Origins] = {}
        for one in self._now:
            if one.port and not self._passed_on(one.place) and self._taken(one) in ("", last[one.place]):
                edge = frozenset((one.place, f"{one.device}:{one.port}"))
                found[edge] = join(found.get(edge, ()), one.origins)
        return found

    def _taken(self, one: Heard) -> str:
        return max(map(self.after.taken, one.origins), default="")

    def proved(self, place: str) -> Origins:
        """Return the lines that show the cord of a port to be where the sheet has it."""
        far = self.after.peers.get(place, "")
        exact = self.shown.get(frozenset((place, far)), ()) if far else ()
        if exact or not far:
            return exact
        mine, theirs = split_place(place)[0], split_place(far)[0]
        said = [
            one.origins
            for one in self._now
            if not one.port and (one.place, one.device) in ((place, theirs), (far, mine))
        ]
        return join(*said)

    def causes(self) -> Iterator[MoveCause]:
        """Yield a cause for every few cords whose ends went to each other's ports."""
        graph: nx.Graph[str] = nx.Graph()
        wrong = [edge for edge in self.shown if len(edge) == 2 and edge not in self.planned and self._moved(edge)]
        for edge in wrong:
            graph.add_edge(*sorted(edge))
        ends = {place for edge in wrong for place in edge}
        torn = [edge for edge in self.planned if len(edge) == 2 and edge & ends and edge not in self.shown]
        for edge in torn:
            graph.add_edge(*sorted(edge))
        for places in sorted(map(sorted, nx.connected_components(graph))):
            known = set(places)
            yield self._cause([edge for edge in wrong if edge <= known], [edge for edge in torn if edge <= known])

    def _moved(self, edge: Edge) -> bool:
        """Tell whether a cord that is in no row was moved there: the sheet has another, or another was heard before."""
        far = self.after.peers
        if any(frozenset((place, far[place])) in self.shown for place in edge if place in far):
            return False  # its own neighbour is heard there as well, over a box that passes on what others say
        if any(place in self.after.peers for place in edge):
            return self._was_called(edge) not in self._old or any(edge & other for other in self.planned)
        if self._was_called(edge) in self._old:
            return False
        heard = {place for old in self._old for place in old}
        return bool(self._was_called(edge) & heard)

    def _was_called(self, edge: Edge) -> Edge:
        return frozenset(self.after.side.was(place).casefold() for place in edge)

    def _cause(self, wrong: list[Edge], torn: list[Edge]) -> MoveCause:
        told = [" to ".join(sorted(edge)) for edge in sorted(wrong, key=sorted)]
        rows = [" to ".join(sorted(edge)) for edge in sorted(torn, key=sorted)]
        exchanged = len(torn) > 1
        words = f"the cords between switches lead from {' and from '.join(told)}"
        words += f", not from {' and from '.join(rows)}" if rows else ""
        lines = [told for edge in wrong for told in shown(min(edge), self.shown[edge])]
        old = [told for edge in torn for told in shown(min(edge), self._old.get(self._was_called(edge), ()))]
        if not old:
            ends = {name for edge in wrong for name in self._was_called(edge)}
            place = min(min(edge) for edge in wrong)
            old = [told for edge, found in self._old.items() if edge & ends for told in shown(place, found)]
        sure = Sureness.SEVERAL if len(lines) > 1 else Sureness.ONE
        if exchanged and len(wrong) < len(torn):
            sure = Sureness.CONSISTENT
        return MoveCause(
            kind=MoveKind.UPLINKS if exchanged else MoveKind.UPLINK,
            words=words,
            sure=sure,
            at=tuple(rows or told),
            ports=tuple(sorted({place for edge in wrong for place in edge})),
            planned=tuple(sorted({place for edge in torn for place in edge})),
            harmful=self._harmful(wrong, torn),
            instead=(MoveKind.UPLINK,) if exchanged and len(wrong) < len(torn) else (),
            before=tuple(old),
            after=tuple(lines),
            rows=tuple(told for edge in torn for told in shown(min(edge), self.planned[edge])),
        )

    def _harmful(self, wrong: list[Edge], torn: list[Edge]) -> bool | None:
        """Tell whether frames fare otherwise: not where each cord has one end exchanged for one that is alike."""
        whole = []
        for edge in torn:
            answers = []
            for mine in wrong:
                if len(edge & mine) == 1:
                    was, now = next(iter(edge - mine)), next(iter(mine - edge))
                    same = split_place(was)[0] == split_place(now)[0]
                    answers.append(same and does_alike(self.network, was, now, _EVERY))
            if answers:
                whole.append(True if True in answers else None if None in answers else False)
        if False in whole:
            return True if len(wrong) >= len(torn) else None  # else nobody knows where the other end went
        return None if None in whole or not whole else False

    def _passed_on(self, place: str) -> bool:
        """Tell whether who speaks at a port may be beyond a box that passes every frame on."""
        far = self.after.peers.get(place, "")
        kind = self.after.devices[split_place(far)[0]].kind if far else DeviceKind.BRIDGE
        return kind in (DeviceKind.THROUGH, DeviceKind.UNMANAGED, DeviceKind.CARRIER_BOX)


def _old_edge(one: Heard) -> Edge:
    return frozenset((one.place.casefold(), f"{one.device}:{one.port}".casefold()))
