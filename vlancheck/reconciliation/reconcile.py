"""Two surveys in, why things are not where the later sheet has them, and what stands behind each of its rows, out.

An address that was not seen proves nothing: its device may have said nothing while the table was captured.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import datetime, timedelta

from vlancheck.dot1q.model import DeviceKind
from vlancheck.evidence import Origins, join
from vlancheck.places import split_place
from vlancheck.reconciliation.explain import explained
from vlancheck.reconciliation.moved import HandTest, JackProof, MoveCause, MoveKind, Proof, Reconciled, Sureness, shown
from vlancheck.reconciliation.placing import Hung, Placing
from vlancheck.reconciliation.sightings import Row, Sighted
from vlancheck.reconciliation.uplinks import Uplinks
from vlancheck.site.anchors import Anchor, AnchorKind
from vlancheck.site.strands import panel_key

_TABLES, _APART = 3, timedelta(hours=24)  # tables, over a day at least, that let a device be gone (common practice)
_LINES = 3  # lines that a proof shows of each survey


def reconcile(before: Sighted, after: Sighted, tests: Sequence[HandTest] = ()) -> Reconciled:
    """Return the fewest causes that explain where things are, and the proof of every row of the later sheet.

    `tests` are what people found out by hand; a test that was passed proves its row, one that was not takes every proof
    from it.
    """
    placing = Placing(before, after)
    uplinks = Uplinks(placing)
    causes = [*explained(placing), *uplinks.causes()]
    jacks = tuple(_Proofs(placing, uplinks, tests).all())
    told = {name for cause in causes for name in cause.at}
    causes += _gone(placing, told)
    told |= {name for cause in causes for name in cause.at}
    causes += _newcomers(placing)
    causes += _silent(placing, jacks, told)
    order = list(MoveKind)
    causes.sort(key=lambda cause: (order.index(cause.kind), cause.ports, cause.at))
    return Reconciled(tuple(causes), jacks)


class _Proofs:
    """What stands behind each row of the later sheet."""

    def __init__(self, placing: Placing, uplinks: Uplinks, tests: Sequence[HandTest]) -> None:
        self.placing, self.uplinks, self.after = placing, uplinks, placing.after
        self.tests: dict[str, list[HandTest]] = {}
        for test in tests:
            self.tests.setdefault(panel_key(test.at), []).append(test)

    def all(self) -> Iterator[JackProof]:
        """Yield the proof of every row, each once."""
        done: set[tuple[str, str]] = set()
        for row in self.after.rows:
            place = self._near(row)
            if (row.name, place) not in done:
                done.add((row.name, place))
                yield self._proof(row, place)

    def _near(self, row: Row) -> str:
        """Return the port of a row: of two, the one of a switch before that of an endpoint."""
        switches = [place for place in row.places if self._kind(place) is DeviceKind.BRIDGE]
        return (switches or [*row.places])[0]

    def _proof(self, row: Row, place: str) -> JackProof:
        tests = [test for name in {row.name, place} for test in self.tests.get(panel_key(name), ())]
        if tests:
            lines = join(*(test.origins for test in tests))
            return JackProof(row.name, place, Proof.PROVED if all(t.passed for t in tests) else Proof.UNPROVEN, lines)
        if len(row.places) == 2 and all(self._kind(end) is DeviceKind.BRIDGE for end in row.places):
            return self._of_uplink(row, place)
        hung = self._hung(place)
        if hung is not None and hung.home:
            now = join(*[*hung.home.values()][:_LINES])
            return JackProof(row.name, place, Proof.PROVED, join(hung.before(hung.home)[:_LINES], now))
        if hung is not None and hung.away:
            shown = [lines for tokens in hung.away.values() for lines in tokens.values()][:_LINES]
            known = join(*(hung.before(tokens) for tokens in hung.away.values()))[:_LINES]
            return JackProof(row.name, place, Proof.UNPROVEN, join(known, *shown), tuple(hung.away))
        acting = self.after.acting(place)
        there = self.placing.unknown_at(acting)
        if there:
            return JackProof(row.name, place, Proof.INFERRED, join(*[*there.values()][:_LINES]))
        if link := self._trusted_link(place):
            return JackProof(row.name, place, Proof.INFERRED, link[:_LINES])
        return JackProof(row.name, place, Proof.UNPROVEN)

    def _of_uplink(self, row: Row, place: str) -> JackProof:
        if lines := self.uplinks.proved(place):
            return JackProof(row.name, place, Proof.PROVED, lines[:_LINES])
        links = [self._trusted_link(end) for end in row.places]
        if lines := join(*links):
            return JackProof(row.name, place, Proof.INFERRED, lines[:_LINES])
        return JackProof(row.name, place, Proof.UNPROVEN)

    def _trusted_link(self, place: str) -> Origins:
        return () if split_place(place)[0] in self.after.distrusted else self.placing.linked(place)

    def _hung(self, place: str) -> Hung | None:
        return self.placing.jacks.get(self.after.acting(place)) or self.placing.jacks.get(place)

    def _kind(self, place: str) -> DeviceKind | None:
        box = self.after.devices.get(split_place(place)[0])
        return box.kind if box else None


def _gone(placing: Placing, told: set[str]) -> Iterator[MoveCause]:
    """Yield a cause for each jack without a link whose device several tables, over a day at least, do not show."""
    for one in placing.hung.values():
        device = split_place(one.planned)[0]
        if one.observed or not one.planned or not one.known or one.name in told:
            continue
        if any(token in placing.now.passing for token in one.known):
            continue
        unlinked = placing.after.unlinked.get(one.planned, ())
        if not unlinked or not _over_a_day(placing.now.tables.get(device, set())):
            continue
        before = one.before(one.known)
        if not before:
            continue
        yield MoveCause(
            kind=MoveKind.GONE,
            words=f"what hung at {one.name} is in none of the tables of a day, and {one.planned} shows no link",
            sure=Sureness.CONSISTENT,
            at=(one.name,),
            ports=(),
            planned=(one.planned,),
            before=shown(one.name, before[:_LINES]),
            after=shown(one.planned, unlinked[:_LINES]),
        )


def _over_a_day(times: set[str]) -> bool:
    """Tell whether tables were taken often enough, and long enough, for an absence to mean something."""
    if "" in times or len(times) < _TABLES or len({written[19:] for written in times}) > 1:
        return False
    return datetime.fromisoformat(max(times)[:19]) - datetime.fromisoformat(min(times)[:19]) >= _APART


def _newcomers(placing: Placing) -> Iterator[MoveCause]:
    """Yield one cause for everything seen where the earlier survey captured a table and did not see it anywhere."""
    known, side = placing.known_before, placing.after.side
    found: dict[str, dict[str, Origins]] = {}
    for token, places in placing.now.places.items():
        if token in known:
            continue
        for place, lines in places.items():
            old = split_place(side.was(place))[0].casefold()
            if any(name.casefold() == old for name in placing.was.tables):
                found.setdefault(place, {})[token] = lines
    if not found:
        return
    names = [_name_at(placing, place) for place in found]
    count = sum(len(tokens) for tokens in found.values())
    yield MoveCause(
        kind=MoveKind.NEW,
        words=f"{count} not seen before, at {_some(names)}",
        sure=Sureness.SEVERAL if count > 1 else Sureness.ONE,
        at=tuple(names),
        ports=tuple(found),
        after=tuple(
            told
            for place, tokens in found.items()
            for lines in [*tokens.values()][:1]
            for told in shown(place, lines[:1])
        ),
    )


def _silent(placing: Placing, jacks: Sequence[JackProof], told: set[str]) -> Iterator[MoveCause]:
    """Yield one cause for all rows of which nothing was seen though tables of their switch were captured."""
    names: dict[str, str] = {}
    for one in jacks:
        hung = placing.jacks.get(placing.after.acting(one.port))
        name = hung.name if hung else one.at
        device = split_place(one.port)[0]
        untold = one.at not in told and name not in told
        if untold and one.state is Proof.UNPROVEN and not one.elsewhere and device in placing.now.tables:
            names.setdefault(one.at, one.port)
    if names:
        yield MoveCause(
            kind=MoveKind.SILENT,
            words=f"nothing was seen of {_some([*names])}: test by hand, what is not seen may still be there",
            sure=Sureness.CONSISTENT,
            at=tuple(names),
            ports=(),
            planned=tuple(dict.fromkeys(names.values())),
        )


def _name_at(placing: Placing, place: str) -> str:
    there: Hung | None = placing.jacks.get(place)
    if there is not None:
        return there.name
    anchor: Anchor | None = placing.after.side.anchors.get(place)
    return anchor.name if anchor is not None and anchor.kind is not AnchorKind.PORT else place


def _some(names: Sequence[str], most: int = 4) -> str:
    several = list(dict.fromkeys(names))
    return ", ".join(several[:most]) + (f" and {len(several) - most} more" if len(several) > most else "")
