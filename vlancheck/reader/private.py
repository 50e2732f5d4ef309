"""What lines make of the VLANs of a device comes in; which of them make up a private VLAN (RFC 5517) goes out.

A primary and a secondary VLAN belong together when the one is made primary, the other isolated or a community, and
the first names the second; what lacks one of these is left out here, and stays in the table of the bridge.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from vlancheck.dot1q.model import PrivateKind, PrivatePart
from vlancheck.evidence import Cover, Fact, Origins, State, join
from vlancheck.reader.facts import Entity, Facts, Of, Row, Rows, Value, vids_of
from vlancheck.vids import members, of

ITSELF = "private-itself"  # fact of a primary VLAN: its VID
PRIMARY = "private-primary"  # fact of a secondary VLAN: its primary one
SECONDARIES, COMMUNITIES = "private-secondaries", "private-communities"  # facts of a primary VLAN
OF_ROWS = ("working", "primaries", "secondaries", "communities")  # behind the name of rows: what of them works
OF_SETS = ("above", "beneath", "primaries", "isolated", "communities")  # behind the name of a set of VIDs
_PRIMARY_COLUMN, _SECONDARY_COLUMN = "primary", "secondary"


@dataclass(frozen=True, slots=True)
class _Vlan:
    """A VLAN as lines make it."""

    entity: Entity  # its facts
    kind: PrivateKind | None  # what it is made; None nothing
    named: Cover | None  # VIDs that it is associated with
    origins: Origins  # who makes it so


@dataclass(frozen=True, slots=True)
class PrivateVlans:
    """Join primary and secondary VLANs, and the rows of ports that name pairs of them."""

    kind: str  # fact of a VLAN: primary, isolated or community
    named: str  # fact of a primary VLAN: VIDs of its secondary ones
    rows: tuple[str, ...]  # facts of ports, rows with columns `primary` and `secondary`
    sets: tuple[str, ...] = ()  # facts of ports, sets of VIDs or one VID
    unsaid: PrivateKind | None = None  # what a VLAN that is named is where no line says its kind; None: nothing

    def __call__(self, facts: Facts, parts: object) -> None:
        """Write the joined facts."""
        vlans = self._vlans(facts)
        pairs: dict[tuple[int, int], Origins] = {}
        for vid, one in vlans.items():
            if one.kind is not PrivateKind.PRIMARY:
                continue
            one.entity.facts[ITSELF] = Cover.of(1 << vid, one.origins)
            made: dict[PrivateKind, Cover] = {}
            for other, origins in self._working(one, vlans):
                pairs[vid, other] = origins
                kind = vlans[other].kind
                assert kind is not None, "a working pair has a secondary VLAN of a kind"
                before = made.get(kind, Cover.of(0, one.origins))
                made[kind] = before.write(1 << other, State.IN, origins)
                above = vlans[other].entity.facts.get(PRIMARY)
                first = above if isinstance(above, Cover) else Cover.of(0, origins)
                vlans[other].entity.facts[PRIMARY] = first.write(1 << vid, State.IN, origins)
            isolated, communities = (
                made.get(kind, Cover.of(0, one.origins)) for kind in (PrivateKind.ISOLATED, PrivateKind.COMMUNITY)
            )
            one.entity.facts[SECONDARIES], one.entity.facts[COMMUNITIES] = isolated | communities, communities
        kinds = {vid: one.kind for vid, one in vlans.items() if one.kind is not None}
        self._ports(facts, pairs, {vid for vid, kind in kinds.items() if kind is PrivateKind.COMMUNITY})
        if pairs:
            self._memberships(facts, pairs, kinds)

    def table(self, facts: Facts) -> Mapping[int, PrivatePart]:
        """Return the VLANs of private VLANs by VID, also those that lack what they need."""
        vlans = self._vlans(facts)
        found: dict[int, PrivatePart] = {}
        for vid, one in vlans.items():
            named = one.named.sure if one.named is not None else 0
            if one.kind is not None or named:
                found[vid] = PrivatePart(one.kind, named, join(one.origins, *_said(one.named)))
        for one in vlans.values():
            for other in members(one.named.sure) if one.named is not None else ():
                found.setdefault(other, PrivatePart(None, 0, one.named.why(other)[1] if one.named else ()))
        return dict(sorted(found.items()))

    def _vlans(self, facts: Facts) -> dict[int, _Vlan]:
        found: dict[int, _Vlan] = {}
        for entity in facts.entities[Of.VLAN].values():
            bits = vids_of(entity)
            kind, named = entity.facts.get(self.kind), entity.facts.get(self.named)
            if not bits or bits & (bits - 1) or (kind is None and named is None):
                continue
            word = kind.value if isinstance(kind, Fact) else None
            known = PrivateKind(word) if isinstance(word, str) and word in list(PrivateKind) else None
            origins = kind.origins if isinstance(kind, Fact) else ()
            cover = named if isinstance(named, Cover) else _called(named, facts) if isinstance(named, tuple) else None
            known = PrivateKind.PRIMARY if known is None and isinstance(named, tuple) else known
            found[bits.bit_length() - 1] = _Vlan(entity, known, cover, origins)
        if self.unsaid is not None:
            self._fill(facts, found)
        return found

    def _fill(self, facts: Facts, found: dict[int, _Vlan]) -> None:
        """Add the VLANs that a primary one names and of which no line says what they are."""
        for primary in list(found.values()):
            for vid in members(primary.named.sure) if primary.named is not None else ():
                if vid not in found and primary.named is not None:
                    said = primary.named.why(vid)[1]
                    found[vid] = _Vlan(facts.thing(Of.VLAN, str(vid), said), self.unsaid, None, said)

    def _working(self, primary: _Vlan, vlans: Mapping[int, _Vlan]) -> Iterator[tuple[int, Origins]]:
        for vid in members(primary.named.sure) if primary.named is not None else ():
            other = vlans.get(vid)
            if other is not None and other.kind in (PrivateKind.ISOLATED, PrivateKind.COMMUNITY):
                told = primary.named.why(vid)[1] if primary.named is not None else ()
                yield vid, join(told, primary.origins, other.origins)

    def _ports(self, facts: Facts, pairs: Mapping[tuple[int, int], Origins], communities: set[int]) -> None:
        for port in facts.entities[Of.PORT].values():
            for name in self.rows:
                rows = port.facts.get(name)
                if not isinstance(rows, tuple):
                    continue
                kept = tuple(_kept(rows, pairs))
                silent = join(*(row.origins for row in rows))
                above = [(int(row.columns[_PRIMARY_COLUMN]), row.origins) for row in kept]
                below = [(int(row.columns[_SECONDARY_COLUMN]), row.origins) for row in kept]
                shared = [(bits & of(communities), origins) for bits, origins in below]
                found: list[Value] = [kept, *(_cover(several, silent) for several in (above, below, shared))]
                port.facts.update(zip((f"{name}-{word}" for word in OF_ROWS), found, strict=True))

    def _memberships(
        self, facts: Facts, pairs: Mapping[tuple[int, int], Origins], kinds: Mapping[int, PrivateKind]
    ) -> None:
        """Write, for sets of VIDs that ports are in, what working pairs make of them; nothing where there is none."""
        for port in facts.entities[Of.PORT].values():
            for name in self.sets:
                cover = _set(port.facts.get(name))
                if cover is None:
                    continue
                parts: dict[str, list[tuple[int, Origins]]] = {word: [] for word in OF_SETS}
                for (above, below), origins in pairs.items():
                    if cover.sure >> above & 1:
                        parts["primaries"].append((1 << above, join(cover.why(above)[1], origins)))
                        parts["beneath"].append((1 << below, join(cover.why(above)[1], origins)))
                    if cover.sure >> below & 1:
                        why = join(cover.why(below)[1], origins)
                        parts["above"].append((1 << above, why))
                        parts["communities" if kinds[below] is PrivateKind.COMMUNITY else "isolated"].append(
                            (1 << below, why)
                        )
                silent = join(*(by for _, state, by in cover.parts if state is State.IN))
                port.facts.update({f"{name}-{word}": _cover(some, silent) for word, some in parts.items() if some})


def _set(value: Value | None) -> Cover | None:
    """Return a fact that is a set of VIDs, or one VID, as a set."""
    if isinstance(value, Fact):
        return Cover.of(1 << value.value, value.origins) if isinstance(value.value, int) else None
    return value if isinstance(value, Cover) else None


def _called(rows: Rows, facts: Facts) -> Cover:
    """Return the VIDs of the VLANs that rows name, wherever these are defined."""
    made = Cover.of(0)
    for row in rows:
        if (bits := facts.names().get(str(row.columns.get("word")), 0)) or str(row.columns.get("word")).isdecimal():
            made = made.write(bits or 1 << int(str(row.columns["word"])), State.IN, row.origins)
    return made


def _kept(rows: Rows, pairs: Mapping[tuple[int, int], Origins]) -> Iterator[Row]:
    """Yield the rows whose primary VLAN works, each with those of its secondary ones that work with it."""
    for row in rows:
        primary, secondary = row.columns.get(_PRIMARY_COLUMN), row.columns.get(_SECONDARY_COLUMN)
        if not isinstance(primary, int) or not isinstance(secondary, int):
            continue
        first = primary.bit_length() - 1
        working = {vid: pairs[first, vid] for vid in members(secondary) if (first, vid) in pairs}
        if working:
            columns: dict[str, int | str] = {_PRIMARY_COLUMN: primary, _SECONDARY_COLUMN: of(working)}
            yield Row(columns, join(row.origins, *working.values()))


def _cover(several: Iterable[tuple[int, Origins]], silent: Origins) -> Cover:
    made = Cover.of(0, silent)
    for bits, origins in several:
        made = made.write(bits, State.IN, origins)
    return made


def _said(cover: Cover | None) -> Iterator[Origins]:
    for _, state, by in cover.parts if cover is not None else ():
        if state is State.IN:
            yield by
