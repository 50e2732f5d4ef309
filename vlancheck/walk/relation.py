"""What comes of one sender's frames, both worlds in one: by where they are heard, and by classes that behave alike."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Generic, NamedTuple, TypeVar

from vlancheck.dot1q.forward import INNER, OUTER
from vlancheck.dot1q.tags import RESERVED_VID, Frame, Tag, format_frame
from vlancheck.vids import text
from vlancheck.walk.flood import What
from vlancheck.walk.framesets import TAGS, UNTAGGED, FrameSets
from vlancheck.walk.symbolic import Among, Copy, Outcome
from vlancheck.walk.walk import Delivery

V = TypeVar("V")


class Crossing(NamedTuple):
    """A way for copies to cross the boundary."""

    port: str  # DEVICE:PORT
    frame: Frame  # as it crosses; a VID OUTER or INNER is the one the first or second tag was sent with
    interface: str | None  # interface that takes it


class Place(NamedTuple):
    """Where the fate of copies is open."""

    port: str  # DEVICE:PORT they may reach, or where it is not known what becomes of them
    frame: Frame  # as they would stand there, VIDs as in a Crossing


@dataclass(slots=True)
class Relation(Generic[V]):
    """What becomes of all frames of one form from one port; every value is a set of sent frames.

    Each frame stands in one place for each copy of it.  Only one with the same VID in both tags may stand in two, under
    OUTER and under INNER, as if they were different copies.
    """

    port: str  # the sender
    tpids: tuple[int, ...]  # the frames: one tag of this TPID (and with the C-tag's, no tag), or two
    sets: FrameSets[V]  # the algebra of the values
    certain: dict[Crossing, V]  # deliveries
    unproven: dict[Place, V]  # copies that may be delivered or lost
    growing: V  # frames that certainly get another tag each time they come round
    may_grow: V  # frames that certainly or possibly do
    looping: V  # of the others, frames that certainly go round for ever
    may_loop: V  # frames that certainly or possibly do

    def reaching(self, port: str) -> V:
        """Return the frames of which a copy is certainly delivered at `port`."""
        found = self.sets.none
        for crossing, value in self.certain.items():
            if crossing.port == port:
                found = self.sets.join(found, value)
        return found


def relate(
    port: str, tpids: tuple[int, ...], sets: FrameSets[V], sure: Outcome[V], possible: Outcome[V], at: str = ""
) -> Relation[V]:
    """Return the relation of `port` from what comes of its frames in both worlds; with `at`, of that place alone."""
    may_grow = sets.join(possible.growing, sure.growing)
    certain = _spread(port, tpids, sets, sure, What.DELIVERED, at)
    unproven: dict[Place, V] = {}
    if possible is not sure or What.DOUBT in {copy.what for copy in possible.copies}:
        maybe = _spread(port, tpids, sets, possible, What.DELIVERED, at) if possible is not sure else {}
        found = [(key, sets.without(value, certain[key]) if key in certain else value) for key, value in maybe.items()]
        found += _spread(port, tpids, sets, possible, What.DOUBT, at).items()
        for crossing, value in found:
            if left := sets.without(value, may_grow):
                place = Place(crossing.port, crossing.frame)
                unproven[place] = sets.join(unproven[place], left) if place in unproven else left
        for frame, value in _as_sent(tpids, sets, sets.without(may_grow, sure.growing)):
            place = Place(port, frame)
            unproven[place] = sets.join(unproven[place], value) if place in unproven else value
    may_loop = sets.join(sure.looping, sets.without(possible.looping, may_grow))
    return Relation(port, tpids, sets, certain, unproven, sure.growing, may_grow, sure.looping, may_loop)


def told(copies: Mapping[Copy, V], sender: str, at: str = "") -> Iterator[tuple[Copy, str, V]]:
    """Yield the copies once for every port they are at; with `at`, for that port alone."""
    for copy, value in copies.items():
        for place in _places(copy, sender, at):
            yield copy, place, value


def _places(copy: Copy, sender: str, at: str) -> Iterable[str]:
    """Return the ports a copy is at; with `at`, that port alone."""
    if copy.among is Among.SENDER:
        return (sender,) if at in ("", sender) else ()
    if at:
        return (at,) if at in copy.group.members and (copy.among is Among.ALL or at != sender) else ()
    if copy.among is Among.ALL:
        return copy.group.places
    return [place for place in copy.group.places if place != sender]


def filled(frame: Frame, sent: Frame) -> Frame:
    """Return a frame with symbols as it is for one sent frame."""
    if all(tag.vid >= 0 for tag in frame):
        return frame
    own = {OUTER - place: tag.vid for place, tag in enumerate(sent)}
    return tuple(Tag(tag.tpid, own.get(tag.vid, tag.vid)) for tag in frame)


def _spread(
    port: str, tpids: tuple[int, ...], sets: FrameSets[V], found: Outcome[V], what: What, at: str
) -> dict[Crossing, V]:
    """Return the copies of one sort by port, constants named by symbols wherever they are the sent VID."""
    out: dict[Crossing, V] = {}
    symbols = (OUTER, INNER)[: len(tpids)]
    for copy, value in found.copies.items():
        places = _places(copy, port, at) if copy.what is what else ()
        if not places:
            continue
        interface = copy.interface.partition(":")[2] or None
        for frame, part in _named(copy.frame, value, sets, symbols):
            for place in places:
                key = Crossing(place, frame, interface)
                out[key] = sets.join(out[key], part) if key in out else part
    return out


def _named(frame: Frame, value: V, sets: FrameSets[V], symbols: tuple[int, ...]) -> list[tuple[Frame, V]]:
    """Split frames so that a VID that is the sent one is named by its symbol, whatever put it there."""
    parts = [(frame, value)]
    for vid in sorted({tag.vid for tag in frame if 0 <= tag.vid < RESERVED_VID}):
        for symbol in symbols:
            split = []
            for shape, part in parts:
                if any(tag.vid == vid for tag in shape) and (hit := sets.restrict(part, symbol, 1 << vid)):
                    split.append((tuple(Tag(t.tpid, symbol if t.vid == vid else t.vid) for t in shape), hit))
                    part = sets.without(part, hit)
                if part:
                    split.append((shape, part))
            parts = split
    return parts


def _as_sent(tpids: tuple[int, ...], sets: FrameSets[V], value: V) -> Iterator[tuple[Frame, V]]:
    """Yield the frames of `value` as they were sent."""
    frame = tuple(Tag(tpid, OUTER - place) for place, tpid in enumerate(tpids))
    tagged = sets.restrict(value, OUTER, TAGS)
    if tagged:
        yield frame, tagged
    if rest := sets.without(value, tagged):
        yield (), rest


# ---- rows --------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Row:
    """Frames of one sender that behave alike, and what becomes of each.

    In the frame of a delivery `same` is the frame as it was sent, or the VID of its tag under or above others; `outer`
    and `inner` are the VIDs of its first and second tag, `s(inner)` in a tag that is written so.  A row of a single
    frame says its VIDs instead.
    """

    frames: str  # the set: `untagged`, `0`, `20-39,41`, `s100.*`, `100.1-4094`, `[20-39,41].*`
    tpids: tuple[int, ...]  # TPIDs of the frames, outermost first; () untagged
    outer: int  # bitset of the VIDs of the outermost tag; 0 untagged
    inner: int  # bitset of the VIDs of the second tag, any of which goes with any outer one; 0 none
    deliveries: tuple[Delivery, ...]  # copies that certainly cross the boundary, sorted
    unproven: tuple[tuple[str, str], ...]  # (port, frame) of copies that may cross or be lost, sorted
    looping: bool  # a copy certainly goes round for ever
    may_loop: bool  # a copy certainly or possibly does
    growing: bool  # a copy certainly gets another tag each time round; then nothing else is told
    may_grow: bool  # a copy certainly or possibly does


def rows(relation: Relation[Any]) -> Iterator[Row]:
    """Yield the relation by classes of frames, untagged and priority-tagged ones apart, then by ascending VIDs.

    Frames that reach nothing, and of which nothing is open, have no row.
    """
    sets, tpids = relation.sets, relation.tpids
    marks = {"looping": relation.looping, "may_loop": relation.may_loop}
    marks |= {"growing": relation.growing, "may_grow": relation.may_grow}
    by_value: dict[Any, list[Crossing | Place | str]] = {}
    for things in (_plainly(relation.certain, sets), _plainly(relation.unproven, sets), marks):
        for thing, value in _items(things):
            by_value.setdefault(value, []).append(thing)
    parts: list[tuple[Any, list[Any]]] = [(value, []) for value in _apart(tpids)]
    for value in by_value:
        split: list[tuple[Any, list[Any]]] = []
        for part, within in parts:
            if hit := sets.meet(part, value):
                split.append((hit, [*within, value]))
                part = sets.without(part, hit)
            if part:
                split.append((part, within))
        parts = split
    made = []
    for part, within in parts:
        if found := [thing for value in within for thing in by_value[value]]:
            made += [_row(tpids, outer, inner, found) for outer, inner in _rectangles(part)]
    yield from sorted(made, key=lambda row: (len(row.tpids), _lowest(row.outer), _lowest(row.inner)))


def _items(things: Mapping[Any, Any]) -> Iterator[tuple[Crossing | Place | str, Any]]:
    return ((thing, value) for thing, value in things.items() if value)


def _plainly(things: Mapping[Any, Any], sets: FrameSets[Any]) -> dict[Any, Any]:
    """Let a constant tag be constant for the one sent VID that it is, too: no row of its own for that VID."""
    alike: dict[Any, list[Any]] = {}
    for thing in things:
        tpids = tuple(tag.tpid for tag in thing.frame)
        alike.setdefault((thing._replace(frame=()), tpids), []).append(thing)
    out = dict(things)
    for together in alike.values():
        for thing in together if len(together) > 1 else ():
            own = _only(out[thing])  # with what it took in: then it stands for more than one VID
            for other in together:
                pairs = [(mine.vid, theirs.vid) for mine, theirs in zip(thing.frame, other.frame, strict=True)]
                if thing != other and other in out and all(b in (a, own.get(a)) for a, b in pairs):
                    out[other] = sets.join(out[other], out.pop(thing))
                    break
    return out


def _only(value: Any) -> dict[int, int]:
    """Return the symbols that stand for one VID in all frames of a set."""
    if isinstance(value, int):
        sides = [value]
    else:
        sides = [0, 0]
        for outer, inner in value:
            sides = [sides[0] | outer, sides[1] | inner]
    return {OUTER - place: bits.bit_length() - 1 for place, bits in enumerate(sides) if not bits & (bits - 1)}


def _apart(tpids: tuple[int, ...]) -> list[Any]:
    """Return the sets of frames that never share a row."""
    if len(tpids) == 2:
        return [((1, TAGS),), ((TAGS & ~1, TAGS),)]
    return [UNTAGGED, 1, TAGS & ~1]


def _rectangles(value: Any) -> Iterable[tuple[int, int]]:
    return ((value, 0),) if isinstance(value, int) else value


def _lowest(bits: int) -> int:
    return bits & -bits


def _row(tpids: tuple[int, ...], outer: int, inner: int, things: list[Crossing | Place | str]) -> Row:
    if outer == UNTAGGED:
        tpids, outer = (), 0
    single: Frame | None = None
    if outer & (outer - 1) == 0 and inner & (inner - 1) == 0:
        vids = (outer.bit_length() - 1, inner.bit_length() - 1)
        single = tuple(Tag(tpid, vid) for tpid, vid in zip(tpids, vids, strict=False))
    deliveries = {
        Delivery(thing.port, _words(thing.frame, tpids, single), thing.interface)
        for thing in things
        if isinstance(thing, Crossing)
    }
    unproven = {(thing.port, _words(thing.frame, tpids, single)) for thing in things if isinstance(thing, Place)}
    return Row(
        frames=_written(tpids, outer, inner),
        tpids=tpids,
        outer=outer,
        inner=inner,
        deliveries=tuple(sorted(deliveries, key=lambda one: (one.port, one.frame, one.interface or ""))),
        unproven=tuple(sorted(unproven)),
        looping="looping" in things,
        may_loop="may_loop" in things,
        growing="growing" in things,
        may_grow="may_grow" in things,
    )


def _words(frame: Frame, tpids: tuple[int, ...], single: Frame | None) -> str:
    """Return a frame that crosses as the text of a row."""
    if single is not None:
        return format_frame(filled(frame, single))
    sent = tuple(Tag(tpid, OUTER - place) for place, tpid in enumerate(tpids))
    if frame == sent:
        return "same"
    # One tag alone that changed only its TPID would otherwise read like a frame that did not change.
    names = {OUTER: "same" if len(tpids) == 1 < len(frame) else "outer", INNER: "inner"}
    words = [_dressed(tag.tpid, names.get(tag.vid, str(tag.vid))) for tag in frame]
    return ".".join(words).replace("sinner", "s(inner)").replace("souter", "s(outer)") or "untagged"


def _written(tpids: tuple[int, ...], outer: int, inner: int) -> str:
    if not tpids:
        return "untagged"
    written = [_vids(bits, len(tpids)) for bits in (outer, inner)[: len(tpids)]]
    return ".".join(_dressed(tpid, vids) for tpid, vids in zip(tpids, written, strict=True))


def _vids(bits: int, depth: int) -> str:
    if bits == TAGS:
        return "*"
    written = text(bits)
    return f"[{written}]" if depth > 1 and "," in written else written


def _dressed(tpid: int, vids: str) -> str:
    """Return VIDs, or a word for one, as a tag of `tpid` is written."""
    return format_frame((Tag(tpid, 0),)).replace("0", vids, 1)
