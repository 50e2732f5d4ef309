"""Rows and chains of one survey in, what is plugged into its ports out: endpoints, cords, and what nobody knows."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence

from vlancheck.evidence import Origins, join
from vlancheck.places import split_place
from vlancheck.site.boxes import Plugs
from vlancheck.site.chains import Chain
from vlancheck.site.endpoints import endpoint_kinds
from vlancheck.site.ends import End, EndSort
from vlancheck.site.placed import PlacedHandoff
from vlancheck.site.places import PlaceError
from vlancheck.site.ports import Ports
from vlancheck.site.sheet import Doubt, Endpoint, LooseRow, PlacedRow, SheetCord
from vlancheck.site.stringer import Stringer, Strung

Rows = Sequence[SheetCord | LooseRow]


class Plugged:
    """Answers what is plugged in where."""

    def __init__(
        self,
        rows: Rows,
        doubts: Sequence[Doubt],
        ports: Ports,
        stringer: Stringer,
        strung: Strung,
        chains: Sequence[Chain],
    ) -> None:
        """Take the rows that something was made of, the doubtful ones, and the cords they make."""
        self.rows, self.doubts, self.ports = rows, doubts, ports
        self.stringer, self.strung, self.chains = stringer, strung, chains

    def row_places(self) -> list[PlacedRow]:
        """Return every row of the sheet with the name of its place and the ports its cord leads to."""
        of_cord: dict[int, tuple[str, ...]] = {}
        through: dict[str, tuple[str, ...]] = {}
        for chain in self.chains:
            through |= dict.fromkeys(chain.passed, chain.ports)
            for strand in chain.strands:
                of_cord |= {id(cord): chain.ports for cord in strand.cords}
        made: list[PlacedRow] = []
        for row in self.rows:
            nodes = [node for end in row.ends if (node := self.stringer.node(end)) is not None]
            outer = [node for node in nodes if node.sort in (EndSort.PANEL, EndSort.JACK)]
            name = (outer or nodes)[0].name
            ports = tuple(node.name for node in nodes if node.sort is EndSort.PORT)
            made.append(PlacedRow(row, name, of_cord.get(id(row), through.get(name, ports))))
        return made

    def endpoints(self) -> dict[str, Endpoint]:
        """Return what hangs at the far end of every port whose cord leads to no other device."""
        loose: dict[str, list[LooseRow]] = {}
        for row in self.rows:
            if isinstance(row, LooseRow) and row.serves and (node := self.stringer.node(row.end)) is not None:
                loose.setdefault(node.name, []).append(row)
        made: dict[str, Endpoint] = {}
        for chain in self.chains:
            said = list(_said(chain, loose))
            if chain.field_end() is not None and said:
                port = chain.ports[0]
                made[port] = _endpoint(chain.outermost(port) or port, said)
        for name, rows in loose.items():
            if split_place(name)[0] in self.ports.devices:
                made.setdefault(name, _endpoint(name, [(row.serves, row.origins) for row in rows]))
        return made

    def plugs(
        self, handoffs: Iterable[PlacedHandoff], endpoints: Mapping[str, Endpoint], seen: Mapping[str, Origins]
    ) -> Plugs:
        """Return which ports something is plugged into, which are free, and which nobody is sure of."""
        used: dict[str, Origins] = {}
        for strand in self.strung.strands:
            for node in strand.nodes:
                if node.sort is EndSort.PORT:
                    used[node.name] = join(used.get(node.name, ()), strand.origins)
        for handoff in handoffs:
            for place in handoff.spot.places:
                used[place] = join(used.get(place, ()), handoff.declared.where.origins)
        for place, endpoint in endpoints.items():
            used.setdefault(place, endpoint.origins)
        free = {node.name: origins for node, origins in self.stringer.free if node.sort is EndSort.PORT}
        covered: dict[str, Origins] = {}
        for row in self.rows:
            for end in row.ends:
                classed = self.stringer.names.classed(end)
                if classed.sort is EndSort.PORT:
                    covered.setdefault(classed.box, row.origins)
        unclear: dict[str, Origins] = {}
        for doubt in self.doubts:
            for name in self._named_in(doubt):
                covered.setdefault(split_place(name)[0], doubt.origins)
                unclear[name] = join(unclear.get(name, ()), doubt.origins)
        return Plugs(used, free, unclear, covered, dict(seen))

    def _named_in(self, doubt: Doubt) -> Iterator[str]:
        """Yield the ports that a doubtful row names, and the devices it names without a port that can be used."""
        for end in doubt.ends:
            classed = self.stringer.names.classed(end)
            if classed.sort is EndSort.PORT and classed.box in self.ports.devices:
                yield self._place(classed) or classed.box
        for box in doubt.boxes:
            device = self.stringer.names.device(box)
            if device is not None and device in self.ports.devices:
                yield device

    def _place(self, end: End) -> str:
        try:
            return self.ports.named(end.box, end.port)[0]
        except PlaceError:
            return ""


def _said(chain: Chain, loose: Mapping[str, Sequence[LooseRow]]) -> Iterator[tuple[str, Origins]]:
    """Yield the words about what hangs at the end of a chain, with the rows that say them."""
    for strand in chain.strands:
        for cord in strand.cords:
            if cord.serves:
                yield cord.serves, cord.origins
        for node in strand.nodes:
            if node.sort is EndSort.THING:
                yield node.name, strand.origins
    for name in chain.passed:
        for row in loose.get(name, ()):
            yield row.serves, row.origins


def _endpoint(at: str, said: Sequence[tuple[str, Origins]]) -> Endpoint:
    texts = list(dict.fromkeys(text for text, _ in said))
    kinds = dict.fromkeys(kind for text in texts for kind in endpoint_kinds(text))
    return Endpoint(at, " / ".join(texts), tuple(kinds), join(*(origins for _, origins in said)))
