"""Rows of a dialect's meaning and the facts of a thing come in, 802.1Q fields with their origins go out.

Every row whose conditions hold applies, top to bottom; a later row overrides what an earlier one said of a field.
The evidence of a field is that of its value and of the conditions under which the row holds.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field

from vlancheck.dot1q.model import (
    ADMIN_ASSUMED,
    ALL_ACTIVE,
    ALL_FORWARD,
    LINK_ASSUMED,
    TREE_UNKNOWN,
    Foreign,
    PrivateVlan,
    Rewrite,
    Seen,
    TagMatch,
)
from vlancheck.dot1q.properties import Property
from vlancheck.dot1q.tags import C_TAG
from vlancheck.evidence import UNKNOWN, Cover, Fact, Origins, assumed, join
from vlancheck.reader.terms import Scopes, When
from vlancheck.reader.treewords import TreeFields, TreeSetter

UNSAID = assumed("the dialect does not say what this port does with frames")
NO_SETS = Cover.of(0, UNSAID)
NO_PVID: Fact[int | None] = Fact(None, UNSAID)


@dataclass(slots=True)
class Fields:
    """What the rows said of one port so far."""

    what: str = "nothing"  # `bridge-port`, `end`, `port` or `nothing`
    on: str = ""  # port it stands on; "" it is a port itself
    inside: bool = False  # no cord can go in
    why: Origins = ()  # who decided what it is
    up: Fact[bool] = ADMIN_ASSUMED  # admin state
    link: Fact[bool] = LINK_ASSUMED  # link state
    bundle: str = ""  # bundle it is a member of
    bundle_mode: str = ""  # how it joins
    description: str = ""  # what people wrote on it
    bridge: str = ""  # bridge it belongs to
    pvid: Fact[int | None] = NO_PVID
    admit: Cover = NO_SETS  # VIDs accepted when tagged
    member: Cover = NO_SETS  # VIDs that may leave
    untagged: Cover = NO_SETS  # of those, the ones whose tag goes
    forwarding: Cover = ALL_FORWARD  # VIDs spanning tree forwards
    select: tuple[TagMatch, ...] = ()  # frames that are its own
    entry: tuple[Rewrite, ...] = ()  # rows on arrival
    exit: tuple[Rewrite, ...] = ()  # rows on departure
    tpids: frozenset[int] = frozenset({C_TAG})  # TPIDs that count
    sends: int = C_TAG  # TPID put on
    tpid_origins: Origins = ()  # who decided the TPIDs
    foreign: Foreign = Foreign.PAYLOAD  # what becomes of other TPIDs
    private: PrivateVlan | None = None  # private-VLAN part
    isolation: frozenset[str] = frozenset()  # isolation groups
    isolation_origins: Origins = ()  # who put it into them
    address: Fact[str] | None = None  # an address of its own
    shared_address: Fact[str] | None = None  # an address that it shares with other routers
    properties: dict[Property, Fact[str]] = field(default_factory=dict)  # what it is set to beside VLANs
    seen: tuple[Seen, ...] = ()  # what captures show behind it
    tree: TreeFields = field(default_factory=TreeFields)  # what decides its part in spanning tree
    negotiates: str = ""  # table by which its mode is settled; "" none
    doubt: Origins = ()  # why nothing here is proven

    def unsaid(self) -> Origins:
        """Return the evidence that no row said what a bridge port must have, or ()."""
        said = self.pvid is not NO_PVID and all(one is not NO_SETS for one in (self.admit, self.member, self.untagged))
        return () if said else UNSAID


Setter = Callable[[Fields, Scopes, Origins, Origins], None]  # fields, facts, the row's sentence, why the row holds


@dataclass(frozen=True, slots=True)
class PortRow:
    """What a port's facts mean under some conditions."""

    when: When  # conditions
    because: Origins  # evidence of its constants
    setters: tuple[Setter, ...]  # what it says
    asks: frozenset[str] | None = (
        None  # facts of the port without which it says nothing; None: it says something anyhow
    )


@dataclass(frozen=True, slots=True)
class BridgeRow:
    """What a bridge's facts mean under some conditions."""

    when: When  # conditions
    because: Origins  # evidence of its constants
    exists: Callable[[Scopes, Origins], Cover] | None  # VLANs it has
    active: Callable[[Scopes, Origins], Cover] | None  # VLANs that are not suspended
    spanning_tree: str  # which spanning tree it speaks; "" nothing said
    tree: TreeSetter | None  # what decides its place in it


@dataclass(frozen=True, slots=True)
class DeviceRow:
    """What kind of device it is under some conditions."""

    when: When  # conditions
    kind: str  # value of a DeviceKind


@dataclass(frozen=True, slots=True)
class Negotiated:
    """A mode that two neighbours settle."""

    protocol: str  # name that both ends share
    fact: str  # fact of the port that is settled
    alone: Mapping[str, str]  # what this end says -> what the fact becomes without a known neighbour
    outcomes: Mapping[str, Mapping[str, str]]  # what this end says -> what the other says -> what the fact becomes
    origins: Origins  # where the table is written


def port_fields(rows: Sequence[PortRow], scopes: Scopes) -> Fields:
    """Return what the rows that hold say of a port."""
    fields = Fields()
    for row in rows:
        if (why := row.when.holds(scopes)) is not None:
            for setter in row.setters:
                setter(fields, scopes, row.because, why)
    return fields


@dataclass(slots=True)
class BridgeFields:
    """What the rows said of one bridge."""

    exists: Cover  # VLANs it has
    active: Cover  # VLANs that are not suspended
    spanning_tree: Fact[str]  # which spanning tree it speaks
    tree: TreeFields = field(default_factory=TreeFields)  # what decides its place in it


def bridge_fields(rows: Sequence[BridgeRow], scopes: Scopes) -> BridgeFields:
    """Return what the rows that hold say of a bridge."""
    unsaid = assumed("nothing says which VLANs this bridge has")
    fields = BridgeFields(Cover.unknown(unsaid), ALL_ACTIVE, TREE_UNKNOWN)
    for row in rows:
        if (why := row.when.holds(scopes)) is None:
            continue
        if row.exists:
            fields.exists = row.exists(scopes, row.because).because(why)
        if row.active:
            fields.active = row.active(scopes, row.because).because(why)
        if row.spanning_tree:
            fields.spanning_tree = Fact(row.spanning_tree, join(row.because, why))
        if row.tree:
            row.tree(fields.tree, scopes, row.because, why)
    return fields


def single(cover: Cover, why: Origins) -> Fact[int | None]:
    """Return the one VID of a set as a fact: none when it is empty, unknown when nothing says which it is."""
    if cover.sure == cover.possible:
        vid = cover.single()
        if vid is not None:
            return Fact(vid, join(cover.why(vid)[1], why))
        if not cover.sure:
            return Fact(None, join(*(by for _, _, by in cover.parts), why))
    return Fact(UNKNOWN, join(*(by for bits, _, by in cover.parts if bits & cover.possible), why))
