"""The facts of a device and its unread lines come in, the device of the 802.1Q model goes out."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from vlancheck import vids
from vlancheck.dot1q.model import (
    ADMIN_ASSUMED,
    Bridge,
    BridgePort,
    Device,
    DeviceKind,
    End,
    Negotiation,
    Port,
    PortKind,
    Shown,
    Unread,
)
from vlancheck.evidence import UNKNOWN, Cover, Fact, Kind, Origins, State, join
from vlancheck.reader.derive import Inherit
from vlancheck.reader.dialect import Dialect
from vlancheck.reader.facts import Entity, Facts, Of, Value
from vlancheck.reader.meaning import Fields, bridge_fields, port_fields
from vlancheck.reader.pathlines import PathLine
from vlancheck.reader.private import PrivateVlans
from vlancheck.reader.terms import NOTHING, Scope, Scopes


@dataclass(frozen=True, slots=True)
class Missed:
    """A line nobody read, with what it needs to be placed."""

    line: PathLine  # as the patterns saw it
    origins: Origins  # the line
    why: str  # "" no pattern took it; else why its meaning is not clear
    matters: bool  # it holds a sensitive word, or a pattern took it and could not
    absent: str = ""  # name that it gives for a VLAN, and that no VLAN has


@dataclass(frozen=True, slots=True)
class Counts:
    """How much text a device was read from."""

    lines: int  # lines that are not blank
    passed_over: int  # of those, the ones passed over on purpose


def build(
    dialect: Dialect, name: str, facts: Facts, missed: Sequence[Missed], counts: Counts, doubt: Origins
) -> Device:
    """Return the device; `doubt`, when not empty, is why nothing at its ports is proven (a capture that was cut)."""
    joined = facts.copy() if any(not isinstance(step, Inherit) for step in dialect.steps) else facts
    for step in dialect.steps:
        step(joined, dialect.parts)
    return _Builder(dialect, name, joined, missed, doubt).device(counts)


class _Builder:
    """Builds one device."""

    def __init__(self, dialect: Dialect, name: str, facts: Facts, missed: Sequence[Missed], doubt: Origins) -> None:
        self.dialect = dialect
        self.name = name
        self.facts = facts
        self.defaults = {of: self._defaults(of) for of in Of}
        self.device_scope = self._scope(Of.DEVICE, facts.device)
        self.device_written = frozenset(facts.device.facts)
        self.inherits = [step for step in dialect.steps if isinstance(step, Inherit)]
        self.unread: list[Unread] = []
        self.port_doubts: dict[str, Origins] = {}
        self.shares: dict[str, str] = {}  # a port -> the one whose doubts it shares
        self.every_port = self.cut = doubt
        self.vlan_doubts: list[tuple[int, Origins]] = []
        for one in missed:
            self._place(one)
        self.ports: dict[str, Port] = {}
        self.bridge_ports: dict[str, BridgePort] = {}
        self.ends: dict[str, End] = {}
        self.addresses: dict[str, Fact[str]] = {}
        self.shown_above: dict[str, list[Shown]] = {}  # a port -> what bridge ports that stand on it were shown to do

    def device(self, counts: Counts) -> Device:
        """Return the finished device."""
        for entity in self.facts.entities[Of.PORT].values():
            self._port(entity)
        for name, shown in self.shown_above.items():
            if len(shown) == 1 and name in self.ports and self.ports[name].shown is None:
                self.ports[name] = replace(self.ports[name], shown=shown[0])
        wanted = dict.fromkeys(self.facts.entities[Of.BRIDGE])
        wanted.update(dict.fromkeys(port.bridge for port in self._all_bridge_ports()))
        scopes = {"": self.device_scope, "device": self.device_scope}
        kind = "bridge" if self.bridge_ports or not self.ends else "router"
        for row in self.dialect.device_rows:
            if row.when.holds(scopes) is not None:
                kind = row.kind
        settings: dict[str, Fact[str]] = {}
        for setting, fact in self.dialect.settings.items():
            settings.update(_settings(setting, self.device_scope.all.get(fact)))
        settings.update(self.addresses)
        return Device(
            name=self.name,
            kind=DeviceKind(kind),
            dialect=self.dialect.name,
            bridges={bridge: self._bridge(bridge) for bridge in wanted},
            ports=self.ports,
            bridge_ports=self.bridge_ports,
            ends=self.ends,
            unread=tuple(self.unread),
            settings=settings,
            lines=counts.lines,
            passed_over=counts.passed_over,
        )

    # ---- facts with defaults ----

    def _defaults(self, of: Of) -> dict[str, Value]:
        found = {}
        for name in self.dialect.defaults.get(of, {}):
            if (value := self.dialect.default(self.facts, of, name)) is not None:
                found[name] = value
        return found

    def _scope(self, of: Of, entity: Entity) -> Scope:
        return Scope(entity.facts, {**self.defaults[of], **entity.facts})

    def _scopes(self, of: Of, entity: Entity) -> dict[str, Scope]:
        own = self._scope(of, entity)
        scopes = {"": own, "device": self.device_scope}
        if of is Of.PORT:
            scopes["name"] = self._name_scope(entity)
            for step in self.inherits:
                prefix, _, word = step.by.rpartition(".")
                value = scopes[prefix].all.get(word) if prefix in ("", "name") else None
                key = str(value.value) if isinstance(value, Fact) else None
                other = self.facts.entities[step.of].get(key) if key is not None else None
                if step.doubts and other is not None:
                    self.shares[entity.key] = other.key
                scopes[step.prefix] = self._scope(step.of, other) if other else Scope({}, self.defaults[step.of])
        return scopes

    def _name_scope(self, entity: Entity) -> Scope:
        parts = {name: _name_part(name, text, entity.origins) for name, text in self.dialect.parts(entity.key).items()}
        return Scope(parts, parts) if parts else NOTHING

    # ---- ports ----

    def _fields(self, scopes: Mapping[str, Scope]) -> Fields:
        sort = scopes["name"].all.get("class")
        named = sort.value if isinstance(sort, Fact) and isinstance(sort.value, str) else None
        return port_fields(self.dialect.rows_for(frozenset(scopes[""].written), self.device_written, named), scopes)

    def _shown(self, scopes: Scopes, name: str, on: str = "") -> Shown | None:
        """Return the bridge port (on port `on`) as the device showed that it does, or None where it showed nothing."""
        own = scopes[""]
        if self.dialect.live_by.isdisjoint(own.written):
            return None
        live = {fact: own.written[shown] for fact, shown in self.dialect.live.items() if shown in own.written}
        scopes = {**scopes, "": Scope({**own.written, **live}, {**own.all, **live})}
        fields = self._fields(scopes)
        if fields.what != "bridge-port" or fields.on != on:
            return None
        settled = fields.negotiates and self.dialect.negotiated[fields.negotiates].fact in live
        return Shown(self._bridge_port(fields, name), None if settled else self._negotiation(fields, scopes, name))

    def _port(self, entity: Entity) -> None:
        scopes = self._scopes(Of.PORT, entity)
        fields = self._fields(scopes)
        if fields.what == "nothing":
            if fields.on and fields.address is not None:
                self.addresses[f"address:{entity.key}"] = fields.address  # of a sub-interface without a tag
            self._unclear(entity, fields)
            return
        name, stands_on = entity.key, fields.on or entity.key
        if not fields.on:
            self.ports[name] = Port(
                name=name,
                kind=PortKind.INSIDE if fields.inside else PortKind.JACK,
                up=fields.up,
                link=fields.link,
                bundle=fields.bundle,
                bundle_mode=fields.bundle_mode,
                description=fields.description,
                seen=fields.seen,
                properties=fields.properties,
                tree=fields.tree.of_port(),
                negotiation=self._negotiation(fields, scopes, name),
                shown=self._shown(scopes, name),
                origins=entity.origins,
            )
        elif stands_on not in self.ports and stands_on not in self.facts.entities[Of.PORT]:
            self.ports[stands_on] = Port(name=stands_on, origins=entity.origins)
        for word, fact in (("address", fields.address), ("shared-address", fields.shared_address)):
            if fact is not None:
                self.addresses[f"{word}:{name}"] = fact
        if fields.what == "bridge-port":
            self.bridge_ports[name] = self._bridge_port(fields, name)
            if fields.on and (shown := self._shown(scopes, name, fields.on)):
                self.shown_above.setdefault(fields.on, []).append(shown)
        elif fields.what == "end":
            doubt = self._doubt(name, fields)
            up: Fact[bool] = Fact(UNKNOWN, doubt) if doubt else fields.up
            origins = join(entity.origins, fields.why)
            self.ends[name] = End(
                name=name,
                port=stands_on,
                select=fields.select,
                tpids=fields.tpids,
                up=up,
                address=fields.address is not None,
                origins=origins,
            )

    def _unclear(self, entity: Entity, fields: Fields) -> None:
        """Let an interface of which an unread line may say which frames it takes take any frame, perhaps."""
        if fields.on and (doubt := self.port_doubts.get(entity.key)):
            up: Fact[bool] = Fact(UNKNOWN, doubt)
            self.ends[entity.key] = End(name=entity.key, port=fields.on, up=up, origins=entity.origins)

    def _bridge_port(self, fields: Fields, name: str) -> BridgePort:
        return BridgePort(
            name=name,
            port=fields.on or name,
            bridge=fields.bridge,
            pvid=fields.pvid,
            admit=fields.admit,
            member=fields.member,
            untagged=fields.untagged,
            select=fields.select,
            entry=fields.entry,
            exit=fields.exit,
            tpids=fields.tpids,
            sends=fields.sends,
            foreign=fields.foreign,
            tpid_origins=fields.tpid_origins,
            up=fields.up if fields.on else ADMIN_ASSUMED,
            forwarding=fields.forwarding,
            private=fields.private,
            isolation=fields.isolation,
            isolation_origins=fields.isolation_origins,
            doubt=join(self._doubt(name, fields), fields.unsaid()),
        )

    def _doubt(self, name: str, fields: Fields) -> Origins:
        if not self.port_doubts:
            return join(fields.doubt, self.every_port)
        others = (name, fields.on, self.shares.get(name, ""))
        return join(fields.doubt, self.every_port, *(self.port_doubts.get(other, ()) for other in others))

    def _negotiation(self, fields: Fields, scopes: Scopes, name: str) -> Negotiation | None:
        if not fields.negotiates or fields.what != "bridge-port":
            return None
        table = self.dialect.negotiated[fields.negotiates]
        own = scopes[""]
        said = own.all.get(table.fact)
        if not isinstance(said, Fact) or not isinstance(said.value, str) or said.value not in table.outcomes:
            return None
        outcomes = table.outcomes[said.value]
        alone = table.alone.get(said.value, said.value)
        variants = {}
        for value in dict.fromkeys((alone, *outcomes.values())):
            settled = Fact(value, join(said.origins, table.origins))
            facts = {**scopes, "": Scope({**own.written, table.fact: settled}, {**own.all, table.fact: settled})}
            variants[value] = self._bridge_port(self._fields(facts), name)
        return Negotiation(
            protocol=table.protocol,
            mode=said.value,
            outcomes=outcomes,
            alone=alone,
            variants=variants,
            origins=join(said.origins, table.origins),
        )

    # ---- bridges ----

    def _all_bridge_ports(self) -> list[BridgePort]:
        return list(self.bridge_ports.values())

    def _bridge(self, name: str) -> Bridge:
        entity = self.facts.entities[Of.BRIDGE].get(name) or Entity(name)
        fields = bridge_fields(self.dialect.bridge_rows, self._scopes(Of.BRIDGE, entity))
        exists = fields.exists
        for bits, origins in self.vlan_doubts:
            exists = _doubted(exists, bits, origins)
        shown = any(one.kind is Kind.SHOW for _, _, by in exists.parts for one in by)
        if cut := tuple(one for one in self.cut if one.kind is Kind.SHOW or not shown):
            exists = _doubted(exists, ~exists.sure, cut)  # what a cut text does not say may be in the rest of it
        steps = [step for step in self.dialect.steps if isinstance(step, PrivateVlans)]
        private = steps[0].table(self.facts) if steps else {}
        return Bridge(
            name=name,
            exists=exists,
            active=fields.active,
            spanning_tree=fields.spanning_tree,
            private=private,
            tree=fields.tree.of_bridge(),
        )

    # ---- unread lines ----

    def _place(self, missed: Missed) -> None:
        """List an unread line, and put what it stands under in doubt when it matters."""
        port, doubts, bits = "", "vlans", -1
        for owner in self.dialect.owners:
            if found := owner.like.search(missed.line.text):
                doubts = owner.doubts
                parts = found.groupdict()
                port = (parts.get("port") or "").strip()
                bits = self._vids(parts.get("vlan") or "")
                break
        names = self._port_names(port) if port else ()
        for one in names or ("",):
            self.unread.append(Unread(missed.origins, self.name, one, missed.matters, missed.why, missed.absent))
        if not missed.matters:
            return
        match doubts:
            case "port" if names:
                for one in names:
                    self.port_doubts[one] = join(self.port_doubts.get(one, ()), missed.origins)
            case "port" | "ports":
                self.every_port = join(self.every_port, missed.origins)
            case "vlan" | "vlans":
                self.vlan_doubts.append((bits if doubts == "vlan" else -1, missed.origins))

    def _port_names(self, text: str) -> tuple[str, ...]:
        try:
            return tuple(self.dialect.expand(text, True))
        except ValueError:
            return ()

    def _vids(self, text: str) -> int:
        """Return the VIDs of the VLAN an unread line stands under; all when nothing says which it is."""
        try:
            return self.dialect.vids.vids(text, self.facts.names()) or -1
        except ValueError:
            return -1


def _settings(name: str, value: Value | None) -> Iterator[tuple[str, Fact[str]]]:
    """Yield a fact of the box as settings: a word, the list of a set's VIDs, or for rows with a key one each."""
    if isinstance(value, Cover):
        known = join(*(by for _, state, by in value.parts if state is State.IN))
        if value.sure > 0:
            yield name, Fact(vids.text(value.sure), known)
    elif isinstance(value, Fact):
        yield name, Fact(UNKNOWN if value.value is None else str(value.value), value.origins)
    elif value is not None:
        yield from ((f"{name}:{row.columns['key']}", Fact(str(row.columns["word"]), row.origins)) for row in value)


def _name_part(group: str, text: str, origins: Origins) -> Value:
    """Return a part of a port's name as a fact; the part called `vid` is a VID."""
    if group == "vid" and text.isdecimal():
        vid: Fact[int | None] = Fact(int(text), origins)  # a subscripted call fails on frozen slots in Python 3.11
        return vid
    return Fact(text, origins)


def _doubted(cover: Cover, bits: int, origins: Origins) -> Cover:
    """Return the cover with `bits` unknown because of `origins`; what was behind them stays behind them."""
    parts = []
    for mine, state, by in cover.parts:
        if kept := mine & ~bits:
            parts.append((kept, state, by))
        if hit := mine & bits:
            parts.append((hit, State.UNKNOWN, join(origins, by)))
    return Cover(tuple(parts))
