"""The fields of one line in, the value of the model they describe out."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from enum import StrEnum
from typing import TypeVar

from vlancheck.dot1q.macs import mac_address
from vlancheck.dot1q.model import (
    ADMIN_ASSUMED,
    ALL_ACTIVE,
    ALL_FORWARD,
    LINK_ASSUMED,
    TREE_UNKNOWN,
    Bridge,
    BridgePort,
    End,
    Foreign,
    Negotiation,
    Port,
    PortKind,
    PrivateKind,
    PrivatePart,
    PrivateRole,
    PrivateVlan,
    Rewrite,
    Seen,
    TagMatch,
)
from vlancheck.dot1q.properties import Property
from vlancheck.dot1q.tags import C_TAG
from vlancheck.evidence import UNKNOWN, Cover, Fact, Unknown, assumed
from vlancheck.notation import sets
from vlancheck.notation.words import Line, cut, items, nearest, pairs, said
from vlancheck.vids import EVERY

DEVICE = ("kind", "dialect", "owner", "lines", "passed-over")
BRIDGE = ("exists", "active", "tree", "address", "priority", "costs", "region", "instances", "without")
PORT = ("kind", "up", "link", "bundle", "bundle-mode", "description", "cost", "port-priority", "port-number")
RELAY = (
    "bridge",
    "pvid",
    "member",
    "admit",
    "untagged",
    "select",
    "takes",
    "tpids",
    "sends",
    "foreign",
    "forwarding",
    "private",
    "mapped",
    "isolation",
    "doubt",
)
BRIDGE_PORT = ("on", *RELAY, "up")
END = ("on", "select", "takes", "tpids", "up", "address")
ROW = ("match", "pop", "push", "drop", "sure", "variant")
PRIVATE = ("secondaries",)
NEGOTIATE = ("protocol", "mode", "alone", "outcomes")
VARIANT = ("name", "on", *RELAY, "up")
UNREAD = ("text", "matters", "why", "absent")
LOGGED = ("told", "text", "times")
ENTERED = ("text", "answer", "captured")
HEARS = ("vid", "neighbour", "port")
PROPERTIES = tuple(str(one) for one in Property)

TREES = ("per-vlan", "one-tree", "mst", "off", "unknown")
ALL_EXIST = Cover.of(EVERY, assumed("no `bridge` line says which VLANs this bridge has; it is taken to have all"))
UNKNOWN_MARK = "?"
_YES = {"yes": True, "no": False}

T = TypeVar("T")
E = TypeVar("E", bound=StrEnum)


class Fields:
    """The `KEY=VALUE` words of one line, read on demand; every fault raises NotationError at the line."""

    def __init__(self, line: Line, after: int, known: tuple[str, ...]) -> None:
        """Cut the words of `line` from number `after` on; only the keys in `known` are allowed."""
        self.line = line
        self.raw = pairs(line.words[after:], known, line)

    def read(self, key: str, how: Callable[[str], T], default: T) -> T:
        """Return the value of `key` as `how` reads it; a ValueError of `how` becomes the error of the line."""
        if key not in self.raw:
            return default
        try:
            return how(self.raw[key])
        except ValueError as error:
            self.line.fail(f"{key}: {error}", f"as written: {key}={self.raw[key]}")

    def text(self, key: str, default: str = "") -> str:
        """Return a name or other free text."""
        return said(self.raw[key], self.line) if key in self.raw else default

    def names(self, key: str) -> list[str]:
        """Return the names of a list."""
        return [said(item, self.line) for item in items(self.raw[key])] if key in self.raw else []

    def word(self, key: str, known: type[E], default: E) -> E:
        """Return one word of an enumeration."""
        if key not in self.raw:
            return default
        if self.raw[key] not in list(known):
            self.line.fail(f"{key}: there is no {self.raw[key]!r}", nearest(self.raw[key], list(known)))
        return known(self.raw[key])

    def yes(self, key: str, default: bool) -> bool:
        """Return `yes` or `no` as a bool."""
        return self.read(key, _yes, default)

    def fact(self, key: str, how: Callable[[str], T], default: Fact[T]) -> Fact[T]:
        """Return a fact that may be unknown (`?`), with the line behind it."""

        def read(text: str) -> Fact[T]:
            value: T | Unknown = UNKNOWN if text == UNKNOWN_MARK else how(text)
            return Fact(value, self.line.origins)

        return self.read(key, read, default)

    def cover(self, key: str, default: Cover) -> Cover:
        """Return a set of VIDs with three values."""
        return self.read(key, lambda text: sets.read_cover(text, self.line.origins), default)

    def number(self, key: str) -> int:
        """Return a count, 0 when it is not given."""
        return self.read(key, _count, 0)

    def select(self) -> tuple[TagMatch, ...]:
        """Return what is selected: `select` as it stands, `takes` for whole stacks."""
        if "select" in self.raw and "takes" in self.raw:
            self.line.fail("'select' and 'takes' are two ways to say one thing", "keep one of them")
        if "takes" in self.raw:
            return self.read("takes", sets.read_whole, ())
        return self.read("select", sets.read_levels, ())


def port(name: str, fields: Fields) -> Port:
    """Return the port of a `port` line."""
    return Port(
        name=name,
        kind=fields.word("kind", PortKind, PortKind.JACK),
        up=fields.fact("up", _yes, ADMIN_ASSUMED),
        link=fields.fact("link", _yes, LINK_ASSUMED),
        bundle=fields.text("bundle"),
        bundle_mode=fields.text("bundle-mode"),
        description=fields.text("description"),
        origins=fields.line.origins,
    )


def bridge_port(name: str, on: str, fields: Fields, *, up: Fact[bool] | None = None) -> BridgePort:
    """Return the bridge port of a line; `up` when the line's own `up` means the port."""
    because = fields.line.origins
    member = fields.cover("member", Cover.of(0, because))
    return BridgePort(
        name=name,
        port=on,
        bridge=fields.text("bridge"),
        pvid=fields.fact("pvid", _pvid, Fact(None, because)),
        admit=fields.cover("admit", member),
        member=member,
        untagged=fields.cover("untagged", Cover.of(0, because)),
        select=fields.select(),
        tpids=fields.read("tpids", sets.read_tpids, frozenset({C_TAG})),
        sends=fields.read("sends", sets.read_tpid, C_TAG),
        foreign=fields.word("foreign", Foreign, Foreign.PAYLOAD),
        tpid_origins=because,
        up=fields.fact("up", _yes, ADMIN_ASSUMED) if up is None else up,
        forwarding=fields.cover("forwarding", ALL_FORWARD),
        private=_private(fields),
        isolation=frozenset(fields.names("isolation")),
        isolation_origins=because if "isolation" in fields.raw else (),
        doubt=because if fields.yes("doubt", False) else (),
    )


def end(name: str, fields: Fields) -> End:
    """Return the end of an `end` line."""
    return End(
        name=name,
        port=fields.text("on", name),
        select=fields.select(),
        tpids=fields.read("tpids", sets.read_tpids, frozenset({C_TAG})),
        up=fields.fact("up", _yes, ADMIN_ASSUMED),
        address=fields.yes("address", False),
        origins=fields.line.origins,
    )


def bridge(name: str, fields: Fields) -> Bridge:
    """Return the bridge of a `bridge` line."""
    return Bridge(
        name=name,
        exists=fields.cover("exists", ALL_EXIST),
        active=fields.cover("active", ALL_ACTIVE),
        spanning_tree=fields.fact("tree", _tree, TREE_UNKNOWN),
    )


def properties(fields: Fields) -> dict[Property, Fact[str]]:
    """Return what a `set` line sets a port to."""
    unknown: Fact[str] = Fact(UNKNOWN, fields.line.origins)
    return {Property(key): fields.fact(key, lambda text: said(text, fields.line), unknown) for key in fields.raw}


def row(fields: Fields) -> Rewrite:
    """Return the row of an `entry` or `exit` line."""
    if not any(key in fields.raw for key in ("match", "pop", "push", "drop")):
        fields.line.fail("the row says nothing", "write what it matches and does, such as match=310 pop=1 push=20")
    return Rewrite(
        match=fields.read("match", sets.read_levels, ()),
        pop=fields.number("pop"),
        push=fields.read("push", sets.read_pushes, ()),
        drop=fields.yes("drop", False),
        sure=fields.yes("sure", True),
        origins=fields.line.origins,
    )


def negotiation(fields: Fields, variants: dict[str, BridgePort]) -> Negotiation:
    """Return the negotiation of a `negotiate` line, whose outcomes are among `variants`."""
    line = fields.line
    for key in ("protocol", "mode", "alone"):
        if key not in fields.raw:
            line.fail(f"{key!r} is not said", f"write {key}=VALUE; a negotiation needs protocol, mode and alone")
    outcomes: dict[str, str] = {}
    for item in items(fields.raw["outcomes"]) if "outcomes" in fields.raw else ():
        theirs, mine = cut(item, ":")
        if mine is None:
            line.fail(f"outcomes: {item!r} has no colon", "write THEIRS:VARIANT, such as auto:trunk")
        if said(theirs, line) in outcomes:
            line.fail(f"outcomes: {said(theirs, line)!r} is given twice", "keep one of them")
        outcomes[said(theirs, line)] = said(mine, line)
    made = Negotiation(
        protocol=fields.text("protocol"),
        mode=fields.text("mode"),
        outcomes=outcomes,
        alone=fields.text("alone"),
        variants=variants,
        origins=line.origins,
    )
    for name in (made.alone, *outcomes.values()):
        if name not in variants:
            line.fail(
                f"there is no variant {name!r} of this port", f"{nearest(name, variants)}; a `variant` line adds it"
            )
    return made


def _yes(text: str) -> bool:
    if text not in _YES:
        raise ValueError(f"{text!r} is neither yes nor no")
    return _YES[text]


def _pvid(text: str) -> int | None:
    return None if text == "none" else sets.read_vid(text)


def _tree(text: str) -> str:
    if text not in TREES:
        raise ValueError(f"there is no spanning tree {text!r}; known: {', '.join(TREES)}, ?")
    return text


def _count(text: str) -> int:
    if not (text.isascii() and text.isdecimal() and len(text) < 10):
        raise ValueError(f"{text!r} is not a count")
    return int(text)


def _private(fields: Fields) -> PrivateVlan | None:
    """Return the private-VLAN part of a bridge port, or None."""
    part = fields.read("private", lambda text: _private_part(text, fields.line), None)
    if "mapped" not in fields.raw:
        return part
    if part is None:
        fields.line.fail("'mapped' says what a private port hears", "write private=promiscuous/PRIMARY beside it")
    return replace(part, mapped=fields.read("mapped", _bits, 0))


def _private_part(text: str, line: Line) -> PrivateVlan:
    role, *numbers = text.split("/")
    if role not in list(PrivateRole) or len(numbers) > 2:
        raise ValueError(
            f"{text!r} is not ROLE, ROLE/PRIMARY or ROLE/PRIMARY/SECONDARY; roles: {', '.join(PrivateRole)}"
        )
    primary, secondary = [*(None if one == "none" else sets.read_vid(one) for one in numbers), None, None][:2]
    return PrivateVlan(PrivateRole(role), primary, secondary, origins=line.origins)


def private_part(line: Line) -> tuple[int, PrivatePart]:
    """Return the VID of a `private-vlan` line, and what that VLAN is."""
    kinds = [*PrivateKind, UNKNOWN_MARK]
    if len(line.words) < 4 or line.words[3] not in kinds:
        line.fail("nothing says what this VLAN is", f"write private-vlan DEVICE VID KIND, one of {', '.join(kinds)}")
    found = Fields(line, 4, PRIVATE)
    try:
        vid = sets.read_vid(line.words[2])
    except ValueError as error:
        line.fail(str(error), "write private-vlan DEVICE VID KIND")
    kind = None if line.words[3] == UNKNOWN_MARK else PrivateKind(line.words[3])
    return vid, PrivatePart(kind, found.read("secondaries", _bits, 0), line.origins)


def _bits(text: str) -> int:
    cover = sets.read_cover(text, ())
    if cover.sure != cover.possible:
        raise ValueError(f"{text!r} holds VIDs of which nothing is known")
    return cover.sure


def seen(line: Line) -> tuple[Seen, ...]:
    """Return what a `hears` line shows behind a port: addresses, each in the same VLAN, or a neighbour."""
    macs = [said(word, line) for word in line.words[2:] if cut(word, "=")[1] is None]
    found = Fields(line, 2 + len(macs), HEARS)
    for text in macs:
        if not mac_address(text):
            line.fail(
                f"{text!r} is no MAC address", "write hears DEVICE:PORT 02:00:5e:00:00:01, fields behind addresses"
            )
    vid = found.read("vid", sets.read_vid, None)
    name, port = found.text("neighbour"), found.text("port")
    if not macs and not name:
        line.fail("nothing is heard", "write hears DEVICE:PORT MAC, or neighbour=NAME port=PORT")
    heard = [Seen(mac=mac_address(text), vid=vid, origins=line.origins) for text in macs]
    return (*heard, *([Seen(neighbour=name, neighbour_port=port, origins=line.origins)] if name else []))
