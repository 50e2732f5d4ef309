"""The forwarding rules of one bridge port: what becomes of a frame that arrives, and how a frame leaves.

The rules work on sets of sent frames at once, so that one frame's walk and the whole carriage obey the
same code.  A tag's VID is a number, or one of the symbols OUTER and INNER: "the tag as it was sent".  The
value that travels with a frame is the set of sent frames it stands for, in the terms of a `Values` algebra.

Facts of three values are seen twice: `SURE` takes every unknown as out, `POSSIBLE` as in (and where an
unknown decides between two ways, `POSSIBLE` goes both and `SURE` neither).  What happens in `SURE`
happens whatever the unknown facts are; what does not happen in `POSSIBLE` never does.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum
from typing import Generic, NamedTuple, Protocol, TypeVar

from vlancheck.dot1q.model import NO_TAG, Bridge, BridgePort, End, Foreign, Port, Rewrite, TagMatch
from vlancheck.dot1q.rules import Rule
from vlancheck.evidence import UNKNOWN, Cover, Fact
from vlancheck.vids import EVERY

OUTER = -1  # the outermost tag's VID as it was sent
INNER = -2  # the second tag's VID as it was sent
_TAGGED = (1 << NO_TAG) - 1  # VIDs 0..4094
_NO_TAG = 1 << NO_TAG
_WIRE = _TAGGED & ~1  # VIDs 1..4094


class World(Enum):
    """How unknown facts are taken."""

    SURE = "sure"
    POSSIBLE = "possible"


class WornTag(NamedTuple):
    """A tag on a frame under way."""

    tpid: int  # EtherType of the tag
    vid: int  # VID, or OUTER or INNER
    by: str  # the bridge port that put it on; "" the sender


Stack = tuple[WornTag, ...]  # outermost first
V = TypeVar("V")


class Values(Protocol[V]):
    """An algebra of sets of sent frames."""

    def restrict(self, value: V, symbol: int, mask: int) -> V:
        """Return the frames whose `symbol` has a VID in `mask`."""

    def without(self, value: V, other: V) -> V:
        """Return the frames that are in `value` and not in `other`."""

    def join(self, value: V, other: V) -> V:
        """Return the frames that are in either."""


class OneTag:
    """Sets of frames told apart by one VID: an integer, bit n for VID n.

    A frame followed alone has no symbol and stands for the set 1.
    """

    def restrict(self, value: int, symbol: int, mask: int) -> int:
        """Return the frames of `value` whose VID is in `mask`."""
        return value & mask

    def without(self, value: int, other: int) -> int:
        """Return the frames of `value` that are not in `other`."""
        return value & ~other

    def join(self, value: int, other: int) -> int:
        """Return the frames that are in either."""
        return value | other


ONE_TAG = OneTag()


@dataclass(slots=True)
class View:
    """A bridge port as one world sees it: plain sets, no evidence."""

    name: str  # DEVICE:NAME of the bridge port
    up: bool  # port and bridge port enabled, link there
    opaque: bool  # unread lines may change anything here
    pvid: int | None  # VID of arrivals without one; None: lost
    pvid_opaque: bool  # nothing says the PVID
    admit: int  # VIDs accepted when they arrive tagged
    bare: int  # VIDs that leave without their tag
    tagged: int  # VIDs that leave with it
    member: int  # VIDs that leave at all
    alive: int  # VLANs that exist and are active
    forwarding: int  # VLANs spanning tree forwards here
    select: tuple[TagMatch, ...]  # frames that are this bridge port's
    entry: tuple[Rewrite, ...]  # rows on arrival
    exit: tuple[Rewrite, ...]  # rows on departure
    tpids: frozenset[int]  # TPIDs that count as a tag
    sends: int  # TPID put on
    drops_foreign: bool  # other TPIDs are lost
    isolation: frozenset[str]  # groups that exchange nothing
    sure: bool  # which world this is


@dataclass(slots=True)
class EndView:
    """A point where frames end as one world sees it."""

    name: str  # DEVICE:NAME of the interface
    up: bool  # enabled, link there
    select: tuple[TagMatch, ...]  # whole stacks it takes
    tpids: frozenset[int]  # TPIDs that count as a tag


def see(bridge_port: BridgePort, port: Port, bridge: Bridge, device: str, world: World) -> View:
    """Return `bridge_port` as `world` sees it."""
    sure = world is World.SURE
    pick = _sure if sure else _possible
    member = pick(bridge_port.member)
    if bridge_port.doubt and not sure:
        member = EVERY  # an unread line may let any VLAN out here
    bare = member & pick(bridge_port.untagged)
    never_bare = ~(bridge_port.untagged.possible if sure else bridge_port.untagged.sure)
    pvid = bridge_port.pvid.value
    return View(
        name=f"{device}:{bridge_port.name}",
        up=all(_holds(fact, sure) for fact in (port.up, port.link, bridge_port.up)),
        opaque=bool(bridge_port.doubt),
        pvid=None if pvid is UNKNOWN else pvid,
        pvid_opaque=pvid is UNKNOWN,
        admit=pick(bridge_port.admit),
        bare=bare,
        tagged=member & never_bare,
        member=member if bridge_port.doubt else bare | (member & never_bare),
        alive=pick(bridge.exists) & pick(bridge.active),
        forwarding=pick(bridge_port.forwarding),
        select=bridge_port.select,
        entry=bridge_port.entry,
        exit=bridge_port.exit,
        tpids=bridge_port.tpids,
        sends=bridge_port.sends,
        drops_foreign=bridge_port.foreign is Foreign.DROP,
        isolation=bridge_port.isolation,
        sure=sure,
    )


def see_end(end: End, port: Port, device: str, world: World) -> EndView:
    """Return `end` as `world` sees it."""
    sure = world is World.SURE
    up = all(_holds(fact, sure) for fact in (port.up, port.link, end.up))
    return EndView(name=f"{device}:{end.name}", up=up, select=end.select, tpids=end.tpids)


class Arrival(NamedTuple, Generic[V]):
    """What becomes of an arriving frame: a relay VID, or the rule by which it is lost or in doubt."""

    rule: Rule  # PVID_IN or TAGGED_IN (it goes on), IN_DOUBT, GROWING, or a loss
    vid: int  # relay VID or symbol; -9 when it does not go on before it has one
    by: str  # who put the relay VID on
    below: Stack  # tags under it
    value: V  # the sent frames it stands for
    row: Rewrite | None  # the entry row that was carried out


class Departure(NamedTuple, Generic[V]):
    """How a frame leaves, or the rule by which it does not."""

    rule: Rule  # TAGGED_OUT or UNTAGGED_OUT (it goes on), IN_DOUBT, GROWING, or a loss
    stack: Stack  # the frame on the wire; when lost, as it was inside
    value: V  # the sent frames it stands for
    row: Rewrite | None  # the exit row that was carried out


NO_VID = -9


def select(
    takers: Sequence[View | EndView], stack: Stack, value: V, sets: Values[V]
) -> tuple[list[tuple[View | EndView, V]], V]:
    """Return which bridge ports or ends of one port take the frame, and the frames that none takes.

    `takers` stand from the most particular selection to the one that takes all the rest.
    """
    taken: list[tuple[View | EndView, V]] = []
    for taker in takers:
        if not value:
            break
        if not taker.select:
            taken.append((taker, value))
            return taken, sets.without(value, value)
        strict = isinstance(taker, EndView)
        hit = _matching(taker.select, taker.tpids, stack, value, sets, strict=strict)
        if hit:
            taken.append((taker, hit))
            value = sets.without(value, hit)
    return taken, value


def enter(view: View, stack: Stack, value: V, sets: Values[V]) -> list[Arrival[V]]:
    """Return what becomes of a frame that arrives at a bridge port.

    Order: the port is up; a TPID that does not count; entry rows; then the VID and whether the bridge carries it.
    """
    if not view.up:
        return [Arrival(Rule.PORT_DOWN, NO_VID, "", stack, value, None)]
    if view.opaque:
        return [Arrival(Rule.IN_DOUBT, NO_VID, "", stack, value, None)]
    if view.drops_foreign and stack and stack[0].tpid not in view.tpids:
        return [Arrival(Rule.FOREIGN_TAG, NO_VID, "", stack, value, None)]
    if not view.entry:
        return _classify(view, stack, value, sets, None)
    out: list[Arrival[V]] = []
    for row in view.entry:
        hit = _matching(row.match, view.tpids, stack, value, sets, strict=False)
        if not hit:
            continue
        if row.sure or view.sure:
            value = sets.without(value, hit)
        if row.sure or not (view.sure or row.drop):
            out += _enter_row(view, row, stack, hit, sets)
        if not value:
            return out
    return out + _classify(view, stack, value, sets, None)


def leave(view: View, vid: int, by: str, below: Stack, value: V, sets: Values[V]) -> list[Departure[V]]:
    """Return how a frame of relay VID `vid` with the tags `below` leaves by a bridge port.

    Order: member; up; spanning tree; the untagged set; exit rows; what a tag can carry.  That it may not leave by
    the bridge port it came in by, nor by an isolated one, is for the caller to see to (`separated`).
    """
    inside = (WornTag(view.sends, vid, by), *below)
    out: list[Departure[V]] = []
    if vid >= 0:
        stays, goes = (value, None) if not view.member >> vid & 1 else (None, value)
    else:
        goes = sets.restrict(value, vid, view.member)
        stays = sets.without(value, goes)
    if stays:
        out.append(Departure(Rule.NOT_MEMBER, inside, stays, None))
    if not goes:
        return out
    if not view.up:
        return [*out, Departure(Rule.PORT_DOWN_OUT, inside, goes, None)]
    if view.opaque:
        return [*out, Departure(Rule.IN_DOUBT, inside, goes, None)]
    if vid >= 0:
        stays, goes = (goes, None) if not view.forwarding >> vid & 1 else (None, goes)
    else:
        passing = sets.restrict(goes, vid, view.forwarding)
        stays, goes = sets.without(goes, passing), passing
    if stays:
        out.append(Departure(Rule.BLOCKED_OUT, inside, stays, None))
    if not goes:
        return out
    for rule, stack, mask in ((Rule.UNTAGGED_OUT, below, view.bare), (Rule.TAGGED_OUT, inside, view.tagged)):
        part = sets.restrict(goes, vid, mask) if vid < 0 else goes if mask >> vid & 1 else None
        if part:
            out += _leave_rows(view, rule, stack, part, sets)
    return out


def separated(one: View, other: View) -> bool:
    """Tell whether two bridge ports of a bridge share an isolation group."""
    return not one.isolation.isdisjoint(other.isolation)


# ---- arrival -----------------------------------------------------------------------------------------------------


def _enter_row(view: View, row: Rewrite, stack: Stack, value: V, sets: Values[V]) -> list[Arrival[V]]:
    if row.drop:
        return [Arrival(Rule.ENTRY_ROW, NO_VID, "", stack, value, row)]
    rest = stack[row.pop :]
    if not row.push:
        return _classify(view, rest, value, sets, row)
    mark = f"{view.name}>"
    if any(tag.by == mark for tag in rest):
        return [Arrival(Rule.GROWING, NO_VID, "", stack, value, row)]
    lower = tuple(WornTag(view.sends if tag.tpid is None else tag.tpid, tag.vid, mark) for tag in row.push[1:])
    return _tagged(view, row.push[0].vid, mark, lower + rest, value, sets, row)


def _classify(view: View, stack: Stack, value: V, sets: Values[V], row: Rewrite | None) -> list[Arrival[V]]:
    if not stack or stack[0].tpid not in view.tpids:
        return _without_vid(view, f"{view.name}>", stack, value, sets, row, grows=True)
    tag, below = stack[0], stack[1:]
    if tag.vid > 0:
        return _tagged(view, tag.vid, tag.by, below, value, sets, row)
    if tag.vid == 0:
        return _without_vid(view, tag.by, below, value, sets, row, grows=False)
    out: list[Arrival[V]] = []
    if priority := sets.restrict(value, tag.vid, 1):
        out += _without_vid(view, tag.by, below, priority, sets, row, grows=False)
        value = sets.without(value, priority)
    return out + (_tagged(view, tag.vid, tag.by, below, value, sets, row) if value else [])


def _without_vid(
    view: View, by: str, below: Stack, value: V, sets: Values[V], row: Rewrite | None, *, grows: bool
) -> list[Arrival[V]]:
    if view.pvid_opaque:
        return [Arrival(Rule.IN_DOUBT, NO_VID, by, below, value, row)]
    if view.pvid is None:
        return [Arrival(Rule.NO_PVID, NO_VID, by, below, value, row)]
    if grows and any(tag.by == by for tag in below):
        return [Arrival(Rule.GROWING, NO_VID, by, below, value, row)]
    return _carried(view, Rule.PVID_IN, view.pvid, by, below, value, sets, row)


def _tagged(
    view: View, vid: int, by: str, below: Stack, value: V, sets: Values[V], row: Rewrite | None
) -> list[Arrival[V]]:
    if vid < 0:
        admitted = sets.restrict(value, vid, view.admit & _WIRE)
        out = [Arrival(Rule.NOT_ADMITTED, vid, by, below, lost, row)] if (lost := sets.without(value, admitted)) else []
        return out + (_carried(view, Rule.TAGGED_IN, vid, by, below, admitted, sets, row) if admitted else [])
    if vid == NO_TAG:
        return [Arrival(Rule.RESERVED_VID, vid, by, below, value, row)]
    if not view.admit >> vid & 1:
        return [Arrival(Rule.NOT_ADMITTED, vid, by, below, value, row)]
    return _carried(view, Rule.TAGGED_IN, vid, by, below, value, sets, row)


def _carried(
    view: View, rule: Rule, vid: int, by: str, below: Stack, value: V, sets: Values[V], row: Rewrite | None
) -> list[Arrival[V]]:
    """Keep what the bridge has and spanning tree forwards."""
    if vid >= 0:
        if not view.alive >> vid & 1:
            return [Arrival(Rule.VLAN_ABSENT, vid, by, below, value, row)]
        if not view.forwarding >> vid & 1:
            return [Arrival(Rule.BLOCKED_IN, vid, by, below, value, row)]
        return [Arrival(rule, vid, by, below, value, row)]
    out: list[Arrival[V]] = []
    for mask, loss in ((view.alive, Rule.VLAN_ABSENT), (view.forwarding, Rule.BLOCKED_IN)):
        kept = sets.restrict(value, vid, mask)
        if lost := sets.without(value, kept):
            out.append(Arrival(loss, vid, by, below, lost, row))
        value = kept
    return [*out, Arrival(rule, vid, by, below, value, row)] if value else out


# ---- departure ---------------------------------------------------------------------------------------------------


def _leave_rows(view: View, rule: Rule, stack: Stack, value: V, sets: Values[V]) -> list[Departure[V]]:
    out: list[Departure[V]] = []
    counts = view.tpids | {view.sends}
    for row in view.exit:
        hit = _matching(row.match, counts, stack, value, sets, strict=False)
        if not hit:
            continue
        if row.sure or view.sure:
            value = sets.without(value, hit)
        if row.sure or not (view.sure or row.drop):
            out.append(_leave_row(view, rule, row, stack, hit))
        if not value:
            return out
    return [*out, _on_wire(rule, stack, value, None)]


def _leave_row(view: View, rule: Rule, row: Rewrite, stack: Stack, value: V) -> Departure[V]:
    if row.drop:
        return Departure(Rule.EXIT_ROW, stack, value, row)
    mark = f"{view.name}<"
    rest = stack[row.pop :]
    if row.push and any(tag.by == mark for tag in rest):
        return Departure(Rule.GROWING, stack, value, row)
    pushed = tuple(WornTag(view.sends if tag.tpid is None else tag.tpid, tag.vid, mark) for tag in row.push)
    return _on_wire(rule, pushed + rest, value, row)


def _on_wire(rule: Rule, stack: Stack, value: V, row: Rewrite | None) -> Departure[V]:
    if stack and stack[0].vid >= NO_TAG:
        return Departure(Rule.OFF_WIRE, stack, value, row)
    return Departure(rule, stack, value, row)


# ---- matching ----------------------------------------------------------------------------------------------------


def _matching(
    levels: Sequence[TagMatch], tpids: frozenset[int], stack: Stack, value: V, sets: Values[V], *, strict: bool
) -> V:
    """Return the frames whose tags match, depth by depth; `strict`: a tag whose TPID does not count matches nothing."""
    for depth, level in enumerate(levels):
        counted = tpids if level.tpids is None else level.tpids
        tag = stack[depth] if depth < len(stack) else None
        if tag is not None and tag.tpid not in counted:
            if strict:
                return sets.without(value, value)
            tag = None
        if tag is None:
            if not level.vids & _NO_TAG:
                return sets.without(value, value)
        elif tag.vid >= 0:
            if not level.vids >> tag.vid & 1:
                return sets.without(value, value)
        else:
            value = sets.restrict(value, tag.vid, level.vids & _TAGGED)
            if not value:
                return value
    return value


# ---- facts of three values ---------------------------------------------------------------------------------------


def _sure(cover: Cover) -> int:
    return cover.sure


def _possible(cover: Cover) -> int:
    return cover.possible


def _holds(fact: Fact[bool], sure: bool) -> bool:
    return not sure if fact.value is UNKNOWN else bool(fact.value)
