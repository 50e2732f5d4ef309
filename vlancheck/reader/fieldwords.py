"""The words of a port's row of meaning: YAML of a row comes in, what it sets goes out.

This module is the closed list: a word that is not here is refused with the file, the line and the nearest word.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from vlancheck import vids
from vlancheck.dot1q.macs import mac_address
from vlancheck.dot1q.model import NO_TAG, Foreign, PrivateRole, PrivateVlan, Push, Rewrite, Seen, TagMatch
from vlancheck.dot1q.properties import Property
from vlancheck.evidence import UNKNOWN, Cover, Fact, Kind, Origin, Origins, assumed, default, join
from vlancheck.reader.facts import Row, Rows, Value
from vlancheck.reader.meaning import Fields, PortRow, Setter, single
from vlancheck.reader.params import Parameters
from vlancheck.reader.terms import Names, Scope, Scopes, TermMaker, make_when, origins_of, value_of
from vlancheck.reader.treewords import PORT_TREE_WORDS, make_tree
from vlancheck.vids import EVERY
from vlancheck.yamltext import Items, Node, Table, Text

Level = Callable[[Scopes, Origins], tuple[list[TagMatch], bool]]  # matches, and whether they are certain
PORT_WORDS = (
    "what", "on", "inside", "up", "link", "bundle", "bundle-mode", "description", "bridge", "pvid", "admit", "member",
    "untagged", "forwarding", "select", "entry", "exit", "tpids", "sends", "foreign", "private", "isolation", "address",
    "shared-address", "seen", "properties", "tree", "negotiates", "doubt",
)  # fmt: skip
_SETS = ("admit", "member", "untagged", "forwarding")
_FLAGS = {"yes": True, "no": False, "unknown": UNKNOWN}


def sentence(params: Parameters) -> Origins:
    """Return the evidence that `because` and `source`, or `assumed`, of a row give to its constants."""
    if params.has("assumed"):
        return _assumed(params, "assumed")
    text, source = params.word("because", ""), params.word("source", "")
    if bool(text) is not bool(source):
        raise params.error("`because` and `source` go together", hint="or write `assumed` with a sentence")
    return default(text, source) if text else ()


def _assumed(params: Parameters, word: str) -> Origins:
    """Return the evidence of something taken for granted, with what would settle it."""
    return (Origin(Kind.ASSUMED, params.word(word), settle=params.word("settle", "")),)


def make_port_row(params: Parameters, names: Names, tables: Mapping[str, object]) -> PortRow:
    """Return the row of a port's meaning in `params`; raise DialectError for what is not known."""
    when = make_when(params, names)
    because = sentence(params)
    maker = _Setters(params, names, tables)
    setters = tuple(setter for word in PORT_WORDS if params.has(word) for setter in maker.make(word))
    params.done()
    if maker.constant and not because:
        raise params.error("a constant needs a sentence", hint="give `because` and `source`, or `assumed`")
    return PortRow(when, because, setters, maker.asks if {"when", "properties"}.issuperset(params.written()) else None)


@dataclass(slots=True)
class _Setters:
    """Makes what each word of a row sets."""

    params: Parameters  # the row
    names: Names  # fact names known
    tables: Mapping[str, object]  # names of negotiation tables
    constant: bool = False  # a constant was met
    asks: frozenset[str] | None = None  # facts of the port that properties hold; None where one is not the port's own

    def make(self, word: str) -> list[Setter]:
        """Return what `word` of the row sets."""
        node = self.params.node(word)
        assert node is not None
        match word:
            case "what":
                return [self._what(self.params.choice(word, ("bridge-port", "end", "port", "nothing")))]
            case "inside":
                return [_attribute(word, self.params.flag(word, default=False))]
            case "address" | "shared-address":
                return [self._address(word.replace("-", "_"), self.params.word(word))]
            case "properties":
                return self._properties()
            case "up" | "link":
                return [self._flag(word, self.params.word(word))]
            case "on" | "bundle" | "bundle-mode" | "description" | "bridge":
                return [self._word(word.replace("-", "_"), self.params.word(word))]
            case "pvid":
                return [self._pvid(node)]
            case "admit" | "member" | "untagged" | "forwarding":
                return [self._set(word, node)]
            case "select":
                return [self._select(node)]
            case "entry" | "exit":
                return [self._rewrites(word, node)]
            case "tpids" | "sends":
                return [self._tpids(word, node)]
            case "foreign":
                self.constant = True
                return [_attribute("foreign", Foreign(self.params.choice(word, list(Foreign))))]
            case "private":
                return [self._private()]
            case "isolation":
                return [self._isolation(node)]
            case "seen":
                return [self._seen(self.params.word(word))]
            case "tree":
                return [self._tree()]
            case "negotiates":
                table = self.params.choice(word, [*self.tables, "none"])
                return [_attribute("negotiates", "" if table == "none" else table)]
            case _:
                text = () if self.params.word("doubt") == "none" else _assumed(self.params, "doubt")
                return [lambda fields, scopes, because, why: setattr(fields, "doubt", text and join(text, why))]

    def _term(self, node: Node, columns: frozenset[str] = frozenset()) -> Callable[[Scopes, Origins], Cover]:
        known = {prefix: words | columns if not prefix else words for prefix, words in self.names.known.items()}
        maker = TermMaker(Names(known), self.params)
        term = maker.make(node)
        self.constant = self.constant or maker.constant
        return term

    def _what(self, word: str) -> Setter:
        def what(fields: Fields, scopes: Scopes, because: Origins, why: Origins) -> None:
            fields.what, fields.why = word, join(because, why)

        return what

    def _set(self, word: str, node: Node) -> Setter:
        term = self._term(node)

        def set_of_vids(fields: Fields, scopes: Scopes, because: Origins, why: Origins) -> None:
            setattr(fields, word, term(scopes, because).because(why))

        return set_of_vids

    def _pvid(self, node: Node) -> Setter:
        term = self._term(node)

        def pvid(fields: Fields, scopes: Scopes, because: Origins, why: Origins) -> None:
            fields.pvid = single(term(scopes, because), why)

        return pvid

    def _flag(self, word: str, text: str) -> Setter:
        if text in _FLAGS:
            self.constant = True
            return lambda fields, scopes, because, why: setattr(fields, word, Fact(_FLAGS[text], join(because, why)))
        name = self.names.split(text, self.params)

        def flag(fields: Fields, scopes: Scopes, because: Origins, why: Origins) -> None:
            value = value_of(scopes, name)
            if isinstance(value, Fact) and value.value in _FLAGS:
                setattr(fields, word, Fact(_FLAGS[str(value.value)], join(value.origins, why)))

        return flag

    def _word(self, attribute: str, text: str) -> Setter:
        name = self.names.split(text, self.params)

        def word(fields: Fields, scopes: Scopes, because: Origins, why: Origins) -> None:
            value = value_of(scopes, name)
            if isinstance(value, Fact) and value.value is not None:
                setattr(fields, attribute, str(value.value))

        return word

    def _isolation(self, node: Node) -> Setter:
        if not isinstance(node, Table):
            groups = frozenset(map(str, self.params.words("isolation")))

            def isolated(fields: Fields, scopes: Scopes, because: Origins, why: Origins) -> None:
                fields.isolation, fields.isolation_origins = groups, join(because, why)

            return isolated
        inner = self.params.below("isolation")
        name = self.names.split(inner.word("fact"), inner)
        inner.done()

        def isolation(fields: Fields, scopes: Scopes, because: Origins, why: Origins) -> None:
            value = value_of(scopes, name)
            if isinstance(value, Fact) and value.value is not None:
                fields.isolation, fields.isolation_origins = frozenset({str(value.value)}), join(value.origins, why)

        return isolation

    def _address(self, attribute: str, text: str) -> Setter:
        name = self.names.split(text, self.params)

        def address(fields: Fields, scopes: Scopes, because: Origins, why: Origins) -> None:
            if (fact := _said(value_of(scopes, name), why)) is not None:
                setattr(fields, attribute, fact)

        return address

    def _properties(self) -> list[Setter]:
        table = self.params.below("properties")
        named = {word: self.names.split(table.word(word), table) for word in Property if table.has(word)}
        table.done()
        if all(not prefix for prefix, _ in named.values()):
            self.asks = frozenset(name for _, name in named.values())

        def properties(fields: Fields, scopes: Scopes, because: Origins, why: Origins) -> None:
            for word, name in named.items():
                if (fact := _said(value_of(scopes, name), why)) is not None:
                    fields.properties[word] = fact

        return [properties]

    def _seen(self, text: str) -> Setter:
        name = self.names.split(text, self.params)

        def seen(fields: Fields, scopes: Scopes, because: Origins, why: Origins) -> None:
            found = (_shown(row) for row in _rows(value_of(scopes, name)))
            told = (one for one in found if one.mac or one.neighbour or one.neighbour_pvid or one.neighbour_vids)
            fields.seen = (*fields.seen, *told)

        return seen

    def _tree(self) -> Setter:
        setter, constant = make_tree(self.params, self.names, PORT_TREE_WORDS)
        self.constant = self.constant or constant

        def tree(fields: Fields, scopes: Scopes, because: Origins, why: Origins) -> None:
            setter(fields.tree, scopes, because, why)

        return tree

    # ---- tags ----

    def _levels(self, node: Node, columns: frozenset[str] = frozenset()) -> list[Level]:
        return [self._level(item, columns) for item in (node if isinstance(node, Items) else [node])]

    def _level(self, node: Node, columns: frozenset[str]) -> Level:
        tpids: frozenset[int] | None = None
        tpid_fact: tuple[str, str] | None = None
        if isinstance(node, Table) and Text("stack") in node:
            inner = Parameters(node, self.params.file, "a stack")
            name = self.names.split(inner.word("stack"), inner)
            inner.done()
            return lambda scopes, because: ([_stacked(row) for row in _rows(value_of(scopes, name))], True)
        if isinstance(node, Table) and Text("vids") in node:
            inner = Parameters(node, self.params.file, "a level of tags")
            named = inner.node("tpids")
            if isinstance(named, Table):
                fact = inner.below("tpids")
                tpid_fact = self.names.split(fact.word("fact"), inner)
                fact.done()
            else:
                tpids = frozenset(_hex(word, inner) for word in inner.words("tpids"))
            below = inner.node("vids")
            inner.done()
            node = below if below is not None else Text("any")
        bits, terms = 0, []
        for item in node if isinstance(node, Items) else [node]:
            if isinstance(item, Text) and item in _LEVELS:
                bits |= _LEVELS[item]
            else:
                terms.append(self._term(item, columns))

        def level(scopes: Scopes, because: Origins) -> tuple[list[TagMatch], bool]:
            found, sure = bits, True
            for term in terms:
                cover = term(scopes, because)
                found |= cover.possible
                sure = sure and cover.possible == cover.sure
            fact = value_of(scopes, tpid_fact) if tpid_fact else None
            tpid = _hex_or_none(str(fact.value)) if isinstance(fact, Fact) else None
            return [TagMatch(found, tpids if tpid is None else frozenset({tpid}))], sure

        return level

    def _select(self, node: Node) -> Setter:
        levels = self._levels(node)

        def select(fields: Fields, scopes: Scopes, because: Origins, why: Origins) -> None:
            found = [level(scopes, because) for level in levels]
            fields.select = tuple(match for matches, _ in found for match in matches)

        return select

    def _rewrites(self, word: str, node: Node) -> Setter:
        if not isinstance(node, Items):
            raise self.params.error(f"{word!r} must be a list of rows", node)
        makers = [self._rewrite(Parameters(item, self.params.file, f"{word} row", node.line)) for item in node]

        def rewrites(fields: Fields, scopes: Scopes, because: Origins, why: Origins) -> None:
            rows = [row for maker in makers for row in maker(scopes, because, why)]
            setattr(fields, word, tuple(row for row in rows if row is not None))
            if None in rows:
                fields.doubt = join(assumed("a tag is put on here whose VID is not known or not one"), why)

        return rewrites

    def _rewrite(self, params: Parameters) -> Callable[[Scopes, Origins, Origins], list[Rewrite | None]]:
        when = make_when(params, self.names)
        each = params.word("each", "")
        rows_name = self.names.split(each, params) if each else None
        columns = frozenset(map(str, params.words("columns")))
        match_node, push_node = params.node("match"), params.node("push")
        levels = self._levels(match_node, columns) if match_node is not None else []
        pop_word = params.word("pop", "0")
        pop_stack = None if pop_word.isdecimal() else self.names.split(pop_word, params)
        if push_node is not None and not isinstance(push_node, Items):
            raise params.error("'push' must be a list", push_node)
        pushes = [self._push(item, columns, params) for item in push_node] if isinstance(push_node, Items) else []
        drop = params.flag("drop", default=False)
        params.done()

        def one(scopes: Scopes, because: Origins, origins: Origins) -> Rewrite | None:
            found = [level(scopes, because) for level in levels]
            pushed = [push(scopes, because) for push in pushes]
            if any(tags is None for tags in pushed):
                return None
            pop = len(_rows(value_of(scopes, pop_stack))) if pop_stack else int(pop_word)
            return Rewrite(
                match=tuple(match for matches, _ in found for match in matches),
                pop=pop,
                push=tuple(tag for tags in pushed for tag in tags or ()),
                drop=drop,
                sure=all(sure for _, sure in found),
                origins=origins,
            )

        def rewrite(scopes: Scopes, because: Origins, why: Origins) -> list[Rewrite | None]:
            if (also := when.holds(scopes)) is None:
                return []
            if rows_name is None:
                return [one(scopes, because, join(because, why, also))]
            return [
                one(_with_columns(scopes, row), because, join(row.origins, why, also))
                for row in _rows(value_of(scopes, rows_name))
            ]

        return rewrite

    def _push(
        self, node: Node, columns: frozenset[str], params: Parameters
    ) -> Callable[[Scopes, Origins], list[Push] | None]:
        tpid: int | None = None
        if isinstance(node, Table) and Text("stack") in node:
            inner = Parameters(node, params.file, "a pushed stack")
            name = self.names.split(inner.word("stack"), inner)
            inner.done()
            return lambda scopes, because: [_pushed(row) for row in _rows(value_of(scopes, name))]
        if isinstance(node, Table):
            inner = Parameters(node, params.file, "a pushed tag")
            tpid = _hex(inner.word("tpid"), inner) if inner.has("tpid") else None
            below = inner.node("vid")
            inner.done()
            if below is None:
                raise inner.error("a pushed tag needs a `vid`")
            node = below
        term = self._term(node, columns)

        def push(scopes: Scopes, because: Origins) -> list[Push] | None:
            vid = term(scopes, because).single()
            return None if vid is None else [Push(vid, tpid)]

        return push

    def _tpids(self, word: str, node: Node) -> Setter:
        named: list[tuple[str, str]] = []
        listed: set[int] = set()
        for item in node if isinstance(node, Items) else [node]:
            if isinstance(item, Table):
                inner = Parameters(item, self.params.file, word)
                named.append(self.names.split(inner.word("fact"), inner))
                inner.done()
            elif item != "none":
                listed.add(_hex(str(item), self.params))
        self.constant = self.constant or not named or bool(listed)
        if word == "sends" and len(named) + len(listed) != 1:
            raise self.params.error("`sends` is one TPID", node)

        def tpids(fields: Fields, scopes: Scopes, because: Origins, why: Origins) -> None:
            values = [value_of(scopes, name) for name in named]
            facts = [_hex_or_none(str(value.value)) for value in values if isinstance(value, Fact)]
            if not facts and named:
                return
            found = frozenset(listed.union(tpid for tpid in facts if tpid is not None))
            if word == "tpids":
                fields.tpids = found
            elif found:
                fields.sends = next(iter(found))
            fields.tpid_origins = join(because, *(origins_of(value) for value in values), why)

        return tpids

    def _private(self) -> Setter:
        inner = self.params.below("private")
        role = PrivateRole(inner.choice("role", list(PrivateRole)))
        named = {
            word: self.names.split(inner.word(word), inner)
            for word in ("primary", "secondary", "mapped")
            if inner.has(word)
        }
        inner.done()

        def private(fields: Fields, scopes: Scopes, because: Origins, why: Origins) -> None:
            values = {word: value_of(scopes, name) for word, name in named.items()}
            mapped = values.get("mapped")
            fields.private = PrivateVlan(
                role,
                _vid(values.get("primary")),
                _vid(values.get("secondary")),
                mapped.sure if isinstance(mapped, Cover) else 0,
                join(*map(origins_of, values.values()), why),
            )

        return private


_LEVELS = {"untagged": 1 << NO_TAG, "priority": 1, "any": EVERY, "tagged": (1 << NO_TAG) - 2}


def _attribute(name: str, value: object) -> Setter:
    return lambda fields, scopes, because, why: setattr(fields, name, value)


def _rows(value: object) -> Rows:
    return value if isinstance(value, tuple) else ()


def _shown(row: Row) -> Seen:
    """Return what a row shows; a word that is no MAC address is left out of it."""
    vids, words = row.columns.get("vid"), {name: cell for name, cell in row.columns.items() if isinstance(cell, str)}
    return Seen(
        mac=mac_address(words.get("mac", "")),
        vid=vids.bit_length() - 1 if isinstance(vids, int) and vids else None,
        neighbour=words.get("neighbour", ""),
        neighbour_port=words.get("port", ""),
        neighbour_pvid=_told(row.columns.get("pvid")),
        neighbour_vids=told if isinstance(told := row.columns.get("vids"), int) else 0,
        origins=row.origins,
    )


def _told(cell: int | str | None) -> int | None:
    """Return a VID that a neighbour tells; 0 stands for none (IEEE Std 802.1Q, D.2.1.1)."""
    if isinstance(cell, str):
        return int(cell) if cell.isdecimal() and 0 < int(cell) < 4095 else None
    return cell.bit_length() - 1 if cell else None


def _said(value: Value | None, why: Origins) -> Fact[str] | None:
    """Return what a fact of a port says, as a word."""
    if isinstance(value, Fact):
        word = value.value
        return Fact(str(word), join(value.origins, why)) if isinstance(word, str | int) else None
    if isinstance(value, Cover):
        return Fact(vids.text(value.sure), join(*(by for _, _, by in value.parts), why)) if value.sure else None
    if not value:
        return None
    words = ",".join(str(row.columns["word"]) for row in value if "word" in row.columns)
    return Fact(words, join(*(row.origins for row in value), why))


def _with_columns(scopes: Scopes, row: Row) -> Scopes:
    own = scopes[""]
    columns = {
        name: Cover.of(cell, row.origins) if isinstance(cell, int) else Fact(cell, row.origins)
        for name, cell in row.columns.items()
    }
    return {**scopes, "": Scope(own.written, {**own.all, **columns})}


def _stacked(row: Row) -> TagMatch:
    vids, tpid = row.columns["vid"], _hex_or_none(str(row.columns.get("tpid", "")))
    return TagMatch(vids if isinstance(vids, int) else EVERY, None if tpid is None else frozenset({tpid}))


def _pushed(row: Row) -> Push:
    vids = row.columns["vid"]
    return Push(vids.bit_length() - 1 if isinstance(vids, int) else 0, _hex_or_none(str(row.columns.get("tpid", ""))))


def _hex_or_none(text: str) -> int | None:
    try:
        return int(text.lower().removeprefix("0x"), 16) if len(text.removeprefix("0x")) == 4 else None
    except ValueError:
        return None


def _hex(word: str, params: Parameters) -> int:
    tpid = _hex_or_none(word)
    if tpid is None:
        raise params.error(
            f"{str(word)!r} is no TPID: four hexadecimal digits", word if isinstance(word, Text) else None
        )
    return tpid


def _vid(value: object) -> int | None:
    if isinstance(value, Fact):
        return value.value if isinstance(value.value, int) else None
    return value.single() if isinstance(value, Cover) else None
