"""Lines that patterns took come in; facts of a device, its bridges, VLANs, groups and ports go out.

Facts are replayed in line order, the last writer owns what it wrote, and a replay may start from the facts of an
earlier one: lines to be pasted into a device are just more lines.  What belongs to ports is replayed after the rest,
so that a port may name a VLAN that is defined further down.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from enum import StrEnum
from typing import NamedTuple, TypeAlias

from vlancheck.evidence import Cover, Fact, Origin, Origins, State
from vlancheck.evidence import Kind as Evidence
from vlancheck.reader.lists import Punctuation
from vlancheck.reader.pathlines import restored
from vlancheck.vids import WIRE, members


@dataclass(frozen=True, slots=True)
class Row:
    """One item of a fact that is a list: a translation, a member."""

    columns: Mapping[str, int | str]  # name -> bitset of VIDs, or a word
    origins: Origins  # who wrote it


Rows: TypeAlias = tuple[Row, ...]
Value: TypeAlias = "Fact[str] | Fact[int | None] | Cover | Rows"


class Of(StrEnum):
    """What a fact belongs to."""

    DEVICE = "device"
    BRIDGE = "bridge"
    VLAN = "vlan"
    GROUP = "group"
    PORT = "port"


class As(StrEnum):
    """What sort of value a fact has."""

    WORD = "word"  # a word
    VID = "vid"  # one VID, or none
    VIDS = "vids"  # a set of VIDs with the decider of each
    EDITS = "vid-edits"  # written as `add LIST`, `remove LIST`, `except LIST` or a bare list; read as a set
    ROWS = "rows"  # a list of rows


class Do(StrEnum):
    """What a line does to a fact."""

    PUT = "put"  # sets it
    ADD = "add"  # puts VIDs in
    REMOVE = "remove"  # takes VIDs out
    REPLACE = "replace"  # sets all VIDs anew
    RESET = "reset"  # as if no line had set it
    APPEND = "append"  # one more row
    TOUCH = "touch"  # the thing exists; no fact
    CLEAR = "clear"  # as if no line had said anything of the thing


@dataclass(slots=True)
class Entity:
    """A device, bridge, VLAN, group or port, and what lines say of it."""

    key: str  # its name; "" for the device
    facts: dict[str, Value] = field(default_factory=dict)  # written facts by name
    origins: Origins = ()  # where it is named first


@dataclass(frozen=True, slots=True)
class Key:
    """How the things a line speaks of are named by its VALUEs."""

    text: str  # VALUE names in braces, other text as it is; "" for the device
    needs: frozenset[str]  # VALUEs it uses
    many: bool  # the text is a list of ports
    alone: str = ""  # VALUE that is the whole text; "" there is more to it

    def __call__(self, values: Mapping[str, str]) -> str:
        """Return the name, or the list of names, in `values`."""
        if self.alone:
            return values[self.alone]
        text = self.text
        for name in self.needs:
            text = text.replace(f"{{{name}}}", values[name])
        return text


@dataclass(frozen=True, slots=True)
class Write:
    """What one VALUE of a line does to one fact."""

    value: str  # VALUE that triggers it
    of: Of  # what the fact belongs to
    key: Key  # which thing
    do: Do  # what happens
    fact: str  # name of the fact; "" for touch and clear
    kind: As  # what sort of value
    source: str = ""  # VALUE that holds the text; "" the constant
    constant: str = ""  # the text when no VALUE holds it
    rename: Mapping[str, str] = field(default_factory=dict)  # text -> what is stored
    emptied: str = ""  # `unknown`: taking the last VID out means all or none, by release
    columns: Mapping[str, tuple[str, bool]] = field(default_factory=dict)  # column -> (VALUE, whether it is VIDs)
    lists: Punctuation = field(default_factory=Punctuation)  # how VIDs are written
    typed: bool = True  # False: only a line that the device printed does it, not one that is to be pasted


@dataclass(frozen=True, slots=True)
class Saying:
    """What a line says of one thing, or of several that it names together."""

    of: Of  # what sort of thing
    key: Key  # how it is named
    lists: Punctuation  # how VIDs are written
    writes: tuple[Write, ...]  # what is said, in order


def sayings(writes: Sequence[Write]) -> tuple[Saying, ...]:
    """Return writes by what they belong to: those next to each other that name it alike are one saying."""
    found: list[Saying] = []
    for write in writes:
        last = found[-1] if found else None
        if (
            last
            and (last.of, last.key) == (write.of, write.key)
            and (write.of is not _VLAN or last.lists == write.lists)
        ):
            found[-1] = replace(last, writes=(*last.writes, write))
        else:
            found.append(Saying(write.of, write.key, write.lists, (write,)))
    return tuple(found)


Default = Callable[["Facts", Of, str], "Value | None"]
Expand = Callable[[str, bool], Sequence[str]]


class _Edit(NamedTuple):
    """How a line changes a fact that is a set or a list."""

    verb: str  # add, remove, replace, except or append
    bits: int  # VIDs
    row: Row | None  # the row appended


_EMPTIED = Origin(
    Evidence.ASSUMED,
    "releases differ in what a list means whose last VLAN is taken out: all VLANs, or none",
    settle="a line that says `none`, or one that gives the full list",
)
_PLAIN = frozenset({Do.CLEAR, Do.RESET})  # these need no text
_PORT, _VLAN, _DEVICE = Of.PORT, Of.VLAN, Of.DEVICE  # looked up once; facts are written very often
_WORD, _VID, _ROWS, _EDITS, _TOUCH = As.WORD, As.VID, As.ROWS, As.EDITS, Do.TOUCH


class Facts:
    """Everything the lines of one device say, as facts."""

    __slots__ = ("_default", "_names", "called", "device", "entities", "ports", "typing")

    def __init__(self, default: Default, ports: Expand) -> None:
        """Start with no fact.

        `default` says what a fact is before a line edits it; `ports` turns a port's name, or with True a list of
        ports, into names as the device prints them, and raises ValueError.
        """
        self._default = default
        self._names: dict[str, int] | None = None
        self.ports = ports
        self.typing = False  # whether the lines replayed now are to be pasted
        self.called: dict[str, int] | None = None  # names of VLANs when the lines replayed now were printed; None: now
        self.device = Entity("")
        self.entities: dict[Of, dict[str, Entity]] = {of: {} for of in Of}

    def copy(self) -> Facts:
        """Return facts that can be replayed upon without touching these."""
        made = Facts(self._default, self.ports)
        made.device = Entity("", dict(self.device.facts), self.device.origins)
        for of, things in self.entities.items():
            made.entities[of] = {key: Entity(key, dict(one.facts), one.origins) for key, one in things.items()}
        return made

    def names(self) -> dict[str, int]:
        """Return VLAN names and the VIDs they stand for."""
        if self.called is not None:
            return self.called
        if self._names is None:
            self._names = {}
            for key, vlan in self.entities[Of.VLAN].items():
                bits = vids_of(vlan)
                if bits is None:
                    continue
                self._names[key] = bits
                if isinstance(name := vlan.facts.get("name"), Fact) and isinstance(name.value, str):
                    self._names.setdefault(name.value, bits)
        return self._names

    def apply(self, said: tuple[Saying, ...], values: Mapping[str, str], origins: Origins) -> None:
        """Carry out what a line says; raise ValueError, and do nothing, when one of its values is not right."""
        done: list[tuple[Of, Sequence[str], list[tuple[Write, Value | _Edit | None]]]] = []
        for saying in said:
            edits: list[tuple[Write, Value | _Edit | None]] | None = None
            for write in saying.writes:
                if write.value not in values or (self.typing and not write.typed):
                    continue
                if edits is None:
                    if not values.keys() >= saying.key.needs:
                        break
                    edits = []
                    done.append((saying.of, self._keys(saying, values), edits))
                if write.do is not _TOUCH:
                    edits.append((write, self._parsed(write, values, origins)))
        for of, keys, changes in done:
            for key in keys:
                entity = self.thing(of, key, origins)
                for write, after in changes:
                    self._act(write, entity, after, origins)

    def _keys(self, saying: Saying, values: Mapping[str, str]) -> Sequence[str]:
        """Return the names of the things a line speaks of."""
        key = saying.key(values)
        if saying.of is _PORT:
            return list(self.entities[_PORT]) if key == "*" else self.ports(key, saying.key.many)
        if saying.of is _VLAN and _is_list(key):
            return [str(vid) for vid in members(saying.lists.vids(key, {}))]
        return (key,)

    def _parsed(self, write: Write, values: Mapping[str, str], origins: Origins) -> Value | _Edit | None:
        """Return the fact a line sets, or how it changes the fact before it."""
        if write.do in _PLAIN:
            return None
        text = values.get(write.source, "") if write.source else _filled(write.constant, values)
        text = write.rename.get(text, text)
        kind = write.kind
        if kind is _WORD:
            return Fact(restored(text), origins)
        if kind is _VID:
            return Fact(self._vid(write, text), origins)
        if kind is _ROWS:
            columns = {name: self._column(write, values, *column) for name, column in write.columns.items()}
            return _Edit("append", 0, Row(columns, origins))
        verb, _, rest = text.partition(" ") if kind is _EDITS else (str(write.do), "", text)
        if verb not in ("add", "remove", "except"):
            verb, rest = "replace", text
        return _Edit(verb, self._vids(write, rest), None)

    def _act(self, write: Write, entity: Entity, after: Value | _Edit | None, origins: Origins) -> None:
        if isinstance(after, _Edit):
            before = entity.facts.get(write.fact)
            if before is None and after.row is None:
                before = self._default(self, write.of, write.fact)
            entity.facts[write.fact] = _edited(before, after, write.emptied, origins)
        elif after is not None:
            entity.facts[write.fact] = after
        elif write.do is Do.CLEAR:
            entity.facts.clear()
        elif write.do is Do.RESET:
            entity.facts.pop(write.fact, None)
        if write.of is _VLAN and (write.fact in ("vid", "name") or write.do is Do.CLEAR):
            self._names = None

    def thing(self, of: Of, key: str, origins: Origins) -> Entity:
        """Return the thing called `key`, made at first mention."""
        if of is _DEVICE:
            return self.device
        things = self.entities[of]
        if (entity := things.get(key)) is None:
            entity = things[key] = Entity(key, origins=origins)
            if of is _VLAN:
                self._names = None
        return entity

    def _vids(self, write: Write, text: str) -> int:
        known = write.lists.known(text)
        return write.lists.vids(text, self.names()) if known is None else known

    def _vid(self, write: Write, text: str) -> int | None:
        bits = self._vids(write, text)
        if bits & (bits - 1):
            raise ValueError(f"{text!r} is more than one VID")
        return bits.bit_length() - 1 if bits else None

    def _column(self, write: Write, values: Mapping[str, str], value: str, vids: bool) -> int | str:
        text = values.get(value, "")
        return self._vids(write, text) if vids and text else restored(text)


def _filled(constant: str, values: Mapping[str, str]) -> str:
    """Return a constant with the VALUEs it names in braces."""
    if "{" in constant:
        for name, value in values.items():
            constant = constant.replace(f"{{{name}}}", value)
    return constant


def _is_list(key: str) -> bool:
    """Tell whether the name of a VLAN is a list of VIDs (`10,20-22`) that stands for each of them."""
    return not key.isdecimal() and key[0].isdecimal() and not key.strip("0123456789,-")


def vids_of(vlan: Entity) -> int | None:
    """Return the VIDs a VLAN stands for: its fact `vid`, else its key when that is a number."""
    vid = vlan.facts.get("vid")
    if isinstance(vid, Cover):
        return vid.sure
    if isinstance(vid, Fact):
        return 1 << vid.value if isinstance(vid.value, int) else None
    return 1 << int(vlan.key) if vlan.key.isdecimal() and len(vlan.key) < 5 else None


def _edited(before: Value | None, edit: _Edit, emptied: str, origins: Origins) -> Cover | Rows:
    if edit.row is not None:
        return (*before, edit.row) if isinstance(before, tuple) else (edit.row,)
    if edit.verb == "replace":
        return Cover.of(edit.bits, origins)
    if edit.verb == "except":
        return Cover.of(WIRE & ~edit.bits, origins)
    start = before if isinstance(before, Cover) else Cover.of(0, (Origin(Evidence.DEFAULT, "no line puts a VLAN in"),))
    after = start.write(edit.bits, State.IN if edit.verb == "add" else State.OUT, origins)
    if edit.verb == "remove" and emptied == "unknown" and not after.possible:
        return Cover.of(0, origins).write(WIRE, State.UNKNOWN, (*origins, _EMPTIED))
    return after
