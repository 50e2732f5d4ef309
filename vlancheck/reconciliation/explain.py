"""Where everything is and where it should be in, the fewest causes that explain the difference out."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import islice, product

from vlancheck.dot1q.tags import UNTAGGED
from vlancheck.evidence import Origins, join
from vlancheck.places import split_place
from vlancheck.reconciliation.carrying import carries_alike
from vlancheck.reconciliation.moved import MoveCause, MoveKind, Sureness, shown
from vlancheck.reconciliation.placing import Hung, Placing
from vlancheck.reconciliation.shifted import Misplaced, Rows, Run, numbered
from vlancheck.site.anchors import AnchorKind

_LINES = 3  # lines of each side that a cause shows for one jack
_NO_CORD = (MoveKind.CARRIED, MoveKind.LEFT)  # no port is asked to carry what another one should


def explained(placing: Placing) -> Iterator[MoveCause]:
    """Yield the causes: what several jacks have in common is one cause, and no jack has two."""
    yield from _Explaining(placing).causes()


class _Explaining:
    """The misplaced cords of one pair of surveys, taken away as they are explained."""

    def __init__(self, placing: Placing) -> None:
        self.placing, self.jacks = placing, placing.jacks
        self.network = placing.after.side.ground.network
        self.rows: dict[str, Origins] = {}
        for row in placing.after.rows:
            for place in row.places:
                self.rows[place] = join(self.rows.get(place, ()), row.origins)

    def causes(self) -> Iterator[MoveCause]:
        """Yield all causes."""
        found = list(self._misplaced())
        yield from (cause for one in self.placing.hung.values() for cause in self._at_several(one))
        yield from (cause for one in self.placing.hung.values() for cause in self._carried(one))
        yield from self._unpatched(found)
        yield from self._shared(found)
        rows = Rows(found, self.jacks, self._exists)
        while (run := rows.longest()) is not None:
            run, displaced = self._displaced(run, found)
            rows.drop(run, displaced)
            for one in (*run.moved, *displaced):
                found.remove(one)
            yield self._row(run, displaced)
        yield from self._chained(found, rows)

    def _misplaced(self) -> Iterator[Misplaced]:
        """Yield what is seen at one other port, and not where it should be."""
        for one in self.placing.hung.values():
            if one.away and not one.home and len(one.away) == 1 and not one.several:
                place, tokens = next(iter(one.away.items()))
                if one.planned or one.anchor.kind is not AnchorKind.PORT:
                    yield Misplaced(one, place, tokens)

    # ---- what is no cord ---------------------------------------------------------------------------------------

    def _at_several(self, one: Hung) -> Iterator[MoveCause]:
        """Yield a cause where the same is seen at several ports of one switch: two cords lead to it."""
        if not one.several:
            return
        ports = tuple(sorted({place for found in one.several.values() for place in found}))
        lines = [(place, lines) for found in one.several.values() for place, lines in found.items()]
        yield MoveCause(
            kind=MoveKind.DOUBLE,
            words=f"what hangs at {one.name} is seen at {_listed(ports)}: two cords may lead to it, in a loop",
            sure=Sureness.SEVERAL if len(one.several) > 1 else Sureness.ONE,
            at=(one.name,),
            ports=ports,
            planned=(one.planned,) if one.planned else (),
            before=shown(one.name, one.before(dict.fromkeys(one.several, ()))[:_LINES]),
            after=tuple(told for place, found in lines[: 2 * _LINES] for told in shown(place, found[:1])),
            rows=shown(one.planned, self.rows.get(one.planned, ())),
        )

    def _carried(self, one: Hung) -> Iterator[MoveCause]:
        """Yield a cause for what went elsewhere while the cord stayed, or went to several places."""
        if not one.away or not (one.home or len(one.away) > 1):
            return
        for place, tokens in one.away.items():
            sure = Sureness.CONSISTENT if not one.home else _sureness(len(tokens))
            kept = "while its cord is where it should be" if one.home else "and more of it elsewhere"
            words = f"something of {one.name} is at {self._called(place)} now, {kept}"
            yield self._cause(MoveKind.CARRIED, words, [Misplaced(one, place, tokens)], sure=sure)

    def _unpatched(self, found: list[Misplaced]) -> Iterator[MoveCause]:
        """Yield a cause for what no row of the later sheet patches any more, and is seen."""
        for one in [one for one in found if not one.hung.planned]:
            found.remove(one)
            there = self.jacks.get(one.port)
            if there is not None and there.anchor.kind is not AnchorKind.PORT:
                words = f"what hung at {one.hung.name} is at {self._called(one.port)} now"
                yield self._cause(MoveKind.CARRIED, words, [one])
                continue
            still = "still" if one.port == one.hung.stayed else "now"
            words = f"the sheet has no cord for {one.hung.name} any more; it is {still} in {one.port}"
            yield self._cause(MoveKind.LEFT, words, [one])

    def _shared(self, found: list[Misplaced]) -> Iterator[MoveCause]:
        """Yield a cause where what hung at two jacks is behind one port: a small switch, or somebody sat down there."""
        behind: dict[str, list[Misplaced]] = {}
        for one in found:
            behind.setdefault(one.port, []).append(one)
        for port, several in behind.items():
            there = self.jacks.get(port)
            there = there if there is not None and there.home else None
            if there is None and len(several) < 2:
                continue
            for one in several:
                found.remove(one)
            names = [one.hung.name for one in several]
            sits = all(len(one.tokens) == 1 and not next(iter(one.tokens)).startswith("~") for one in several)
            sits = sits and not any(self._is_handoff(one.hung) for one in several)
            if there is not None and sits:
                words = f"what hung at {_listed(names)} is at {self._called(port)} now, beside what belongs there"
                yield self._cause(MoveKind.CARRIED, words, several, instead=(MoveKind.SHARED,))
            else:
                names += [there.name] if there is not None else []
                words = f"what hung at {_listed(names)} is all behind {port}"
                yield self._cause(MoveKind.SHARED, words, several, beside=there)

    # ---- cords -------------------------------------------------------------------------------------------------

    def _row(self, run: Run, displaced: Sequence[Misplaced]) -> MoveCause:
        """Return the cause that a row is, with the cords that it displaced into the ports it left."""
        span = sorted(one.number for place in run.sources if (one := numbered(place)))
        device, first = split_place(f"{run.source}{span[0]}")
        if run.source == run.target:
            words = f"row shifted by {run.offset:+d} from port {first} to {span[-1]} of {device}"
        else:
            words = f"row from port {first} to {span[-1]} of {device} is in {run.target}{span[0] + run.offset} and on"
        if displaced:
            words += f", and the cords of {_listed([one.hung.name for one in displaced])} are in the ports it left"
        seen = len(run.moved) > 2
        instead = () if seen else (MoveKind.CYCLE, MoveKind.SWAP, MoveKind.WRONG)
        sure = Sureness.SEVERAL if seen else Sureness.CONSISTENT
        return self._cause(MoveKind.ROW, words, [*run.moved, *displaced], silent=run.silent, sure=sure, instead=instead)

    def _displaced(self, run: Run, found: list[Misplaced]) -> tuple[Run, list[Misplaced]]:
        """Return the cords that a row pushed out of its way into the ports it left, and the row that explains most."""
        best: tuple[Run, list[Misplaced]] = run, []
        near = [one for one in found if one not in run.moved and _rows_of(one) == (run.target, run.source)]
        below, above = map(len, run.beside)
        for lower, upper in sorted(product(range(below + 1), range(above + 1)), key=sum):
            longer = run.longer(lower, upper)
            into, left = longer.targets - longer.sources, longer.sources - longer.targets
            out = [one for one in near if one.hung.planned in into and one.port in left]
            if len(out) > len(best[1]):
                best = longer, out
        return best

    def _chained(self, found: list[Misplaced], rows: Rows) -> Iterator[MoveCause]:
        """Yield exchanges, circles and single cords: each cord leads on to the one whose port it is in."""
        at = {one.hung.planned: one for one in found}
        entered = {one.port for one in found}
        starts = [one for one in found if one.hung.planned not in entered]
        done: set[str] = set()
        for first in (*starts, *found):
            chain: list[Misplaced] = []
            one: Misplaced | None = first
            while one is not None and one.hung.planned not in done:
                done.add(one.hung.planned)
                chain.append(one)
                one = at.get(one.port)
            if not chain:
                continue
            if chain[-1].port == first.hung.planned:
                yield self._circle(chain, None)
            else:
                for cause in self._open(chain):
                    shift = any(rows.may_hold(one) for one in chain if one.hung.name in cause.at)
                    yield replace(cause, instead=(*cause.instead, *([MoveKind.ROW] if shift else [])))

    def _open(self, chain: list[Misplaced]) -> Iterator[MoveCause]:
        """Yield the causes of a chain that ends in a port of which nobody who belongs there is seen elsewhere."""
        first, last = chain[0], chain[-1]
        there = self.jacks.get(last.port)
        silent = there if there is not None and self._may_be_silent(there) else None
        begins = first.hung.planned
        alive = bool(self.placing.linked(begins) or self.placing.unknown_at(begins))
        if silent is not None and (len(chain) > 1 or alive):
            yield self._circle(chain, silent)
            return
        for one in chain:
            handoff = self._is_handoff(one.hung)
            instead: tuple[MoveKind, ...] = ()
            if silent is not None:
                instead = (MoveKind.SWAP, *self._circle_of_silent(), *self._carried_off(one))
            still = "still " if one.port == one.hung.stayed else ""
            words = f"the cord of {one.hung.name} is {still}in {one.port}, not in {one.hung.planned}"
            if one.hung.anchor.kind is AnchorKind.PORT:  # no row says what it is, or where it should be
                words = f"what hung at {one.hung.planned} before is in {one.port} now"
            yield self._cause(MoveKind.HANDOFF if handoff else MoveKind.WRONG, words, [one], instead=instead)

    def _circle(self, chain: list[Misplaced], silent: Hung | None) -> MoveCause:
        """Return the cause of cords that went round; `silent` is the one of which nothing is seen."""
        names = [one.hung.name for one in chain] + ([silent.name] if silent else [])
        kind = MoveKind.SWAP if len(names) == 2 else MoveKind.CYCLE
        told = [f"{one.hung.name} is in {one.port}" for one in chain]
        words = f"the cords of {_listed(names)} are exchanged{'' if kind is MoveKind.SWAP else ' in a circle'}: "
        sure = Sureness.CONSISTENT if silent else Sureness.SEVERAL
        instead: tuple[MoveKind, ...] = ()
        if silent and len(chain) == 1:
            alone = MoveKind.HANDOFF if self._is_handoff(chain[0].hung) else MoveKind.WRONG
            instead = (alone, *self._circle_of_silent(), *self._carried_off(chain[0]))
        words += ", ".join(told) + (f"; of {silent.name} nothing is seen" if silent else "")
        return self._cause(kind, words, chain, silent=(silent,) if silent else (), sure=sure, instead=instead)

    def _circle_of_silent(self) -> tuple[MoveKind, ...]:
        """Return the circle that one cord may be part of, where nothing is seen of two others."""
        silent = islice((one for one in self.jacks.values() if self._may_be_silent(one)), 2)
        return (MoveKind.CYCLE,) if len(list(silent)) > 1 else ()

    def _carried_off(self, one: Misplaced) -> tuple[MoveKind, ...]:
        """Return that a device was carried there, where it may be one alone."""
        return () if self._is_handoff(one.hung) or len(one.tokens) > 1 else (MoveKind.CARRIED,)

    # ---- what they have in common ------------------------------------------------------------------------------

    def _cause(
        self,
        kind: MoveKind,
        words: str,
        moved: Sequence[Misplaced],
        *,
        silent: Sequence[Hung] = (),
        sure: Sureness | None = None,
        instead: tuple[MoveKind, ...] = (),
        beside: Hung | None = None,
    ) -> MoveCause:
        tokens = sum(len(one.tokens) for one in moved)
        seen = [(one.port, one.tokens) for one in moved] + ([(beside.planned, beside.home)] if beside else [])
        lines = [(port, found[:1]) for port, tokens in seen for found in [*tokens.values()][:_LINES]]
        planned = [one.hung.planned for one in moved] + [one.planned for one in silent]
        return MoveCause(
            kind=kind,
            words=words,
            sure=sure or _sureness(tokens),
            at=tuple(one.hung.name for one in moved)
            + tuple(one.name for one in (*silent, *((beside,) if beside else ()))),
            ports=tuple(dict.fromkeys(one.port for one in moved)),
            planned=tuple(dict.fromkeys(filter(None, planned))),
            harmful=None if kind in _NO_CORD else self._harmful(moved),
            instead=instead,
            before=tuple(told for one in moved for told in shown(one.hung.name, one.hung.before(one.tokens)[:_LINES])),
            after=tuple(dict.fromkeys(told for port, found in lines for told in shown(port, found))),
            rows=tuple(told for place in planned for told in shown(place, self.rows.get(place, ()))),
        )

    def _harmful(self, moved: Sequence[Misplaced]) -> bool | None:
        """Tell whether some of the cords get what they need no more; None when nobody knows."""
        answers = []
        for one in moved:
            if not one.hung.planned:
                return None
            side = self.placing.after.side
            frames = side.needed.get(side.place.get(one.hung.anchor, ""), 0) or side.needed.get(one.hung.planned, 0)
            answers.append(carries_alike(side.ground, one.hung.planned, one.port, frames or UNTAGGED))
        return True if False in answers else None if None in answers else False

    def _may_be_silent(self, hung: Hung) -> bool:
        """Tell whether a cord is known to belong to a port, and nothing of it is seen anywhere."""
        return not hung.observed and (bool(hung.known) or hung.anchor.kind is not AnchorKind.PORT)

    def _is_handoff(self, hung: Hung) -> bool:
        place = self.placing.after.side.place.get(hung.anchor, "")
        return hung.anchor.kind is AnchorKind.CIRCUIT or place in self.network.handoffs

    def _exists(self, place: str) -> bool:
        device, port = split_place(place)
        return device in self.network.devices and port in self.network.devices[device].ports

    def _called(self, place: str) -> str:
        """Return a port with the name of the jack that belongs there."""
        there = self.jacks.get(place)
        return place if there is None or there.name == place else f"{there.name} ({place})"


def _rows_of(one: Misplaced) -> tuple[str, str]:
    """Return the rows of ports where a cord should be and where it is; "" for a port without a number."""
    was, now = numbered(one.hung.planned), numbered(one.port)
    return was.row if was else "", now.row if now else ""


def _sureness(tokens: int) -> Sureness:
    return Sureness.SEVERAL if tokens > 1 else Sureness.ONE


def _listed(names: Sequence[str]) -> str:
    several = list(dict.fromkeys(names))
    return several[0] if len(several) == 1 else f"{', '.join(several[:-1])} and {several[-1]}"
