"""All senders at once, for frames that never wear a second tag: bridges that hear each other alike, and the rest.

A link is regular for a VID that crosses it as itself, and as nothing else, both ways while nothing else becomes that
VID there.  A piece is a
set of bridges joined by regular links; all VIDs are joined at once, with bitsets.  A frame that enters a piece is heard
at every exit in it but the one it entered by, and there too when the piece has a cycle.  What leaves a piece by any
other way is followed from piece to piece.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

from vlancheck.dot1q.forward import OUTER, View, WornTag, separated
from vlancheck.dot1q.tags import C_TAG, Frame, Tag
from vlancheck.walk.flood import What
from vlancheck.walk.framesets import SINGLE, TAGS, UNTAGGED
from vlancheck.walk.layout import Exit, Group, Layout
from vlancheck.walk.symbolic import Among, Copy, Entered, Outcome, Start, around, arrive, depart, sender

_WIRE = TAGS & ~1  # VIDs a tag may carry

Link = tuple[int, int, int]  # a bridge, another, the VIDs that cross between them


@dataclass(slots=True)
class Components:
    """For every VID, the sets of bridges that it joins; those of many VIDs are found together."""

    pieces: list[dict[int, int]]  # each: bridge -> VIDs that reach it; for each VID of a piece one set of bridges
    tree: list[int]  # for each link, VIDs for which it first joined two bridges; for its others it closes a cycle

    @property
    def count(self) -> int:
        """How many sets of bridges there are, over all VIDs."""
        return sum(next(iter(piece.values())).bit_count() for piece in self.pieces)


def components(held: Sequence[int], links: Sequence[Link]) -> Components:
    """Return which bridges each VID joins; `held` says for every bridge which VIDs it has.

    The first bridge of a piece holds all its VIDs.
    """
    bridges = len(held)
    beside: list[list[tuple[int, int, int]]] = [[] for _ in range(bridges)]
    for number, (one, other, carried) in enumerate(links):
        if carried and one != other:
            beside[one].append((other, carried, number))
            beside[other].append((one, carried, number))
    tree = [0] * len(links)
    left = list(held)  # not in a piece yet
    waiting = [0] * bridges
    pieces = []
    for root in range(bridges):
        start = left[root]
        if not start:
            continue
        piece: dict[int, int] = {}
        left[root] = 0
        waiting[root] = start
        turn = [root]
        for bridge in turn:
            bits = waiting[bridge]
            waiting[bridge] = 0
            piece[bridge] = piece[bridge] | bits if bridge in piece else bits
            for other, carried, number in beside[bridge]:
                if new := bits & carried & left[other]:
                    left[other] ^= new
                    tree[number] |= new
                    if old := waiting[other]:
                        waiting[other] = old | new
                    else:
                        waiting[other] = new
                        turn.append(other)
        pieces.append(piece)
    return Components(pieces, tree)


def cycles(found: Components, bridges: int, links: Sequence[Link]) -> list[int]:
    """Return, for each piece, the VIDs whose set of bridges has a cycle of links."""
    closing = [0] * bridges
    for (one, _, carried), used in zip(links, found.tree, strict=True):
        if carried != used:
            closing[one] |= carried & ~used
    rounds = []
    for piece in found.pieces:
        bits = 0
        for bridge, vids in piece.items():
            bits |= vids & closing[bridge]
        rounds.append(bits)
    return rounds


class _Way(NamedTuple):
    """What leaves a bridge by an exit other than over regular links, told by relay VID."""

    bridge: int
    exit: Exit
    vids: int  # relay VIDs that leave so
    copies: Sequence[tuple[What, Group, Frame, str, int]]  # what, where, frame, interface; relay VIDs
    onward: Sequence[tuple[View, int, int]]  # bridge port that takes it, relay VID there or OUTER; relay VIDs here
    deep: int  # relay VIDs that get a tag on top of theirs, or a relay VID above 4094


@dataclass(slots=True)
class _Ways:
    """The ways out of a piece."""

    several: list[tuple[_Way, int]] = field(default_factory=list)  # for more than one VID; which VIDs of this piece
    single: dict[int, list[_Way]] = field(default_factory=dict)  # by relay VID


_State = tuple[int, str, int]  # piece, bridge port it was entered by, relay VID or OUTER


class Beyond(Exception):
    """A frame gets a second tag, so that pieces do not tell where it goes."""


Speech = tuple[tuple[int, int, int], ...]
"""How a sender enters pieces: piece, relay VID or OUTER, and the sent frames, for each."""


class Pieces:
    """The pieces of a plant, and the ways out of them."""

    def __init__(self, layout: Layout) -> None:
        """Find them."""
        self.layout = layout
        self.links: list[Link] = []
        self._forms: dict[int, _Way] = {}
        self._words: dict[int, Sequence[tuple[int, int]] | None] = {}
        ways = [*self._linked(), *self._pendant()]
        held = [exits[0].view.alive & TAGS if exits else 0 for exits in layout.exits]
        found = components(held, self.links)
        self.pieces = found.pieces
        self.rounds = cycles(found, len(held), self.links)
        self.owners: list[list[tuple[int, int]]] = [[] for _ in held]  # bridge -> (piece, VIDs)
        for number, piece in enumerate(found.pieces):
            for bridge, vids in piece.items():
                self.owners[bridge].append((number, vids))
        self.ways = [_Ways() for _ in found.pieces]
        for way in ways:
            self._open(way)

    def speeches(self) -> dict[Speech, list[Group]]:
        """Return the ports without a link, by how they enter pieces with frames of one C-tag or none.

        Those of a class are heard at the same places, themselves aside.
        """
        found: dict[Speech, list[Group]] = {}
        for number, exits in enumerate(self.layout.exits):
            for way in exits:
                if way.kind < 0:
                    continue
                words = self._words[way.kind] if way.kind in self._words else self._say(way)
                if words is None:
                    continue
                speech: list[tuple[int, int, int]] = []
                for vid, sent in words:
                    speech += self._inside(number, vid, sent)
                found.setdefault(tuple(speech), []).append(way.group)
        return found

    def outcome(self, place: str, starts: Iterable[Start[int]]) -> Outcome[int]:
        """Return what frames of one tag or none, sent at the port `place`, come to.

        Raises Beyond when some get a second tag on their way.
        """
        run = _Run(self)
        at = sender(self.layout, place)
        for stack, value in starts if at else ():
            for item in arrive(self.layout, at, stack, value, SINGLE):
                if isinstance(item, Entered):
                    _, vid, _, below = item.state
                    if below or vid > _LAST:
                        raise Beyond
                    run.enter(item.view, vid, item.value, None)
                else:
                    run.copies[item[0]] = run.copies.get(item[0], 0) | item[1]
        run.go()
        return run.result()

    def _inside(self, bridge: int, vid: int, sent: int) -> Iterator[tuple[int, int, int]]:
        """Yield the pieces that frames with relay VID `vid` are in at a bridge."""
        for piece, vids in self.owners[bridge]:
            if vid < 0:
                if part := sent & vids:
                    yield piece, vid, part
            elif vids >> vid & 1:
                yield piece, vid, sent
                return

    def _say(self, way: Exit) -> Sequence[tuple[int, int]] | None:
        """Return relay VIDs and sent frames of a port's own frames; None when some get a second tag."""
        words: dict[int, int] = {}
        place = way.group.places[0]
        for stack, value in ONE_C_TAG:
            for item in arrive(self.layout, place, stack, value, SINGLE):
                if isinstance(item, Entered):
                    _, vid, _, below = item.state
                    if below or vid > _LAST:
                        self._words[way.kind] = None
                        return None
                    if vid < 0 and not item.value & (item.value - 1):
                        vid = item.value.bit_length() - 1
                    words[vid] = words.get(vid, 0) | item.value
        self._words[way.kind] = found = tuple(words.items())
        return found

    # ---- what leaves the bridges ---------------------------------------------------------------------------------

    def _pendant(self) -> Iterator[_Way]:
        """Yield the ways by ports without a link, worked out once for all of a kind."""
        for bridge, exits in enumerate(self.layout.exits):
            for way in exits:
                if way.kind < 0:
                    continue
                form = self._forms.get(way.kind)
                if form is None:
                    form = self._forms[way.kind] = self._generic(bridge, way)
                if form.vids:
                    group = way.group
                    copies = [(what, group, frame, name, vids) for what, _, frame, name, vids in form.copies]
                    yield _Way(bridge, way, form.vids, copies, (), 0)

    def _linked(self) -> Iterator[_Way]:
        """Yield the ways by all other ports, and note the regular links."""
        layout, plant = self.layout, self.layout.plant
        by_place = {
            way.group.places[0]: (bridge, way)
            for bridge, exits in enumerate(layout.exits)
            for way in exits
            if way.kind < 0 and _alone(plant.takers[way.group.places[0]])
        }
        done = set()
        for bridge, exits in enumerate(layout.exits):
            for way in exits:
                if way.kind >= 0 or way.view.name in done:
                    continue
                here = self._crossing(bridge, way, by_place)
                far = by_place.get(way.onward)
                if far is None or far[1] is way or by_place.get(far[1].onward) != (bridge, way):
                    yield from _kept(here)
                    continue
                other, back = far
                done.add(back.view.name)
                there = self._crossing(other, back, by_place)
                if not (way.stops or back.stops or way.view.isolation or back.view.isolation):
                    regular = _same(here) & _same(there)
                    for _, vid, _ in (*here.onward, *there.onward):
                        if vid >= 0:
                            regular &= ~(1 << vid)
                    if regular:
                        self.links.append((bridge, other, regular))
                        here, there = _less(here, regular), _less(there, regular)
                yield from _kept(here)
                yield from _kept(there)

    def _crossing(self, bridge: int, way: Exit, by_place: dict[str, tuple[int, Exit]]) -> _Way:
        far = by_place.get(way.onward)
        if far is not None and not way.stops and (found := _plain(bridge, way, far[1].view)) is not None:
            return found
        return self._generic(bridge, way)

    def _generic(self, bridge: int, way: Exit) -> _Way:
        """Work out a way by the rules of forwarding."""
        copies: dict[tuple[What, Group, Frame, str], int] = {}
        onward: dict[tuple[str, int], tuple[View, int]] = {}
        deep = 0
        for item in depart(self.layout, way, Among.ALL, (OUTER, ""), (), TAGS, SINGLE):
            if not isinstance(item, Entered):
                copy, value = item
                key = (copy.what, copy.group, copy.frame, copy.interface)
                copies[key] = copies.get(key, 0) | value
                continue
            (name, vid, _, below), view, value = item
            if below or vid > _LAST:
                deep |= value
                continue
            parts = [(vid, value)]
            if vid >= 0 and value >> vid & 1:
                parts = [(OUTER, 1 << vid), (vid, value & ~(1 << vid))]
            for becomes, bits in parts:
                if bits:
                    onward[name, becomes] = view, onward.get((name, becomes), (view, 0))[1] | bits
        gone = [(*key, bits) for key, bits in copies.items()]
        on = [(view, vid, bits) for (_, vid), (view, bits) in onward.items()]
        return _made(bridge, way, gone, on, deep)

    def _open(self, way: _Way) -> None:
        """Put a way to the pieces it leads out of."""
        vids = way.vids
        if vids & (vids - 1):
            for piece, held in self.owners[way.bridge]:
                if part := vids & held:
                    self.ways[piece].several.append((way, part))
            return
        vid = vids.bit_length() - 1
        for piece, held in self.owners[way.bridge]:
            if held & vids:
                single = self.ways[piece].single
                if vid in single:
                    single[vid].append(way)
                else:
                    single[vid] = [way]
                return


_LAST = 4094  # the largest VID of a tag
ONE_C_TAG: tuple[Start[int], ...] = (((WornTag(C_TAG, OUTER, ""),), TAGS), ((), UNTAGGED))


def _alone(takers: Sequence[object]) -> bool:
    return len(takers) == 1 and isinstance(takers[0], View) and not takers[0].select


def _plain(bridge: int, way: Exit, far: View) -> _Way | None:
    """Work out a way over a link between two ports with nothing but plain sets; None when one has more."""
    view = way.view
    if (
        not (view.up and far.up)
        or view.opaque
        or far.opaque
        or view.exit
        or far.entry
        or far.pvid_opaque
        or view.sends not in far.tpids
    ):
        return None
    goes = view.member & view.forwarding & TAGS
    tagged = goes & view.tagged
    heard = far.alive & far.forwarding
    same = tagged & far.admit & heard & _WIRE
    bare = (goes & view.bare) | (tagged & 1)
    onward = []
    if bare and far.pvid is not None and heard >> far.pvid & 1:
        if far.pvid > _LAST:
            return None
        pvid = 1 << far.pvid
        same |= bare & pvid
        if bare & ~pvid:
            onward.append((far, far.pvid, bare & ~pvid))
    if same:
        onward.append((far, OUTER, same))
    return _made(bridge, way, (), onward, 0)


def _made(
    bridge: int,
    way: Exit,
    copies: Sequence[tuple[What, Group, Frame, str, int]],
    onward: Sequence[tuple[View, int, int]],
    deep: int,
) -> _Way:
    vids = deep
    for *_, bits in copies:
        vids |= bits
    for *_, bits in onward:
        vids |= bits
    return _Way(bridge, way, vids, copies, onward, deep)


def _same(way: _Way) -> int:
    """Return the VIDs that cross as themselves, and of which nothing else crosses."""
    same, other = 0, way.deep
    for _, vid, vids in way.onward:
        if vid == OUTER:
            same = vids
        else:
            other |= vids
    for *_, vids in way.copies:
        other |= vids
    return same & ~other


def _less(way: _Way, regular: int) -> _Way:
    """Return the way without the VIDs that a regular link carries as themselves."""
    onward = [
        (view, vid, left) for view, vid, vids in way.onward if (left := vids & ~regular if vid == OUTER else vids)
    ]
    return _made(way.bridge, way.exit, way.copies, onward, way.deep)


def _kept(way: _Way) -> Iterator[_Way]:
    if way.vids:
        yield way


class _Run:
    """A flood from piece to piece."""

    def __init__(self, pieces: Pieces) -> None:
        self.pieces = pieces
        self.copies: dict[Copy, int] = {}
        self.reach: dict[_State, int] = {}
        self.arcs: dict[tuple[_State, _State], int] = {}
        self.again = 0
        self.looping = 0
        self.waiting: dict[_State, tuple[View, int]] = {}

    def enter(self, view: View, vid: int, sent: int, before: _State | None) -> None:
        """Let frames enter their pieces by a bridge port."""
        bridge = self.pieces.layout.bridge[view.name]
        for piece, _, part in self.pieces._inside(bridge, vid, sent):
            state = (piece, view.name, vid)
            if before is not None:
                self.arcs[before, state] = self.arcs.get((before, state), 0) | part
            known = self.reach.get(state, 0)
            self.again |= known & part
            if new := part & ~known:
                self.reach[state] = known | new
                self.waiting[state] = view, self.waiting.get(state, (view, 0))[1] | new

    def go(self) -> None:
        """Follow what is in a piece to every way out of it."""
        while self.waiting:
            state = next(iter(self.waiting))
            view, sent = self.waiting.pop(state)
            piece, _, vid = state
            round_, ways = self.pieces.rounds[piece], self.pieces.ways[piece]
            if vid < 0:
                coming_round = sent & round_
                single = [way for key, found in ways.single.items() if sent >> key & 1 for way in found]
            else:
                coming_round = sent if round_ >> vid & 1 else 0
                single = ways.single.get(vid, [])
            self.looping |= coming_round
            bridge = self.pieces.layout.bridge[view.name]
            for way in single:
                self.leave(way, way.vids, state, view, bridge, sent, coming_round)
            for way, vids in ways.several:
                self.leave(way, vids, state, view, bridge, sent, coming_round)

    def leave(self, way: _Way, vids: int, state: _State, view: View, bridge: int, sent: int, coming_round: int) -> None:
        """Let frames leave a piece, but not the way they came in unless they come round."""
        other = way.exit.view
        if way.bridge == bridge and (other is view or separated(view, other)):
            if other is view and len(way.exit.group.places) > 1 and not other.isolation:
                self.carry(way, vids, state, sent & ~coming_round, Among.OTHERS)
            sent = coming_round
        self.carry(way, vids, state, sent, Among.ALL)

    def carry(self, way: _Way, vids: int, state: _State, sent: int, among: Among) -> None:
        vid = state[2]
        if vid < 0:
            sent &= vids
        elif not vids >> vid & 1:
            return
        if not sent:
            return
        if sent & way.deep if vid < 0 else way.deep >> vid & 1:
            raise Beyond
        for what, group, frame, name, relay in way.copies:
            if hit := sent & relay if vid < 0 else sent if relay >> vid & 1 else 0:
                shape = (
                    frame if vid < 0 else tuple(Tag(tag.tpid, vid if tag.vid == OUTER else tag.vid) for tag in frame)
                )
                copy = Copy(what, group, among, shape, name)
                self.copies[copy] = self.copies.get(copy, 0) | hit
        for far, becomes, relay in way.onward:
            if hit := sent & relay if vid < 0 else sent if relay >> vid & 1 else 0:
                self.enter(far, vid if becomes == OUTER else becomes, hit, state)

    def result(self) -> Outcome[int]:
        looping = self.looping
        if self.again:
            looping |= around(self.reach, self.arcs, self.again, SINGLE)
        return Outcome(self.copies, 0, looping, len(self.reach))
