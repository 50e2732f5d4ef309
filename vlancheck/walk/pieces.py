"""All senders at once, for frames that never wear a second tag: bridges that hear each other alike, and the rest.

A link is regular for a VID that crosses it as itself, and as nothing else, both ways while nothing else becomes that
VID there.  A piece is a set of bridges joined by regular links; all VIDs are joined at once, with bitsets.  A frame
that enters a piece is heard at every exit in it but the one it entered by, and there too when the piece has a cycle.
What leaves a piece by any other way is followed from piece to piece.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from typing import NamedTuple

from vlancheck.dot1q.forward import OUTER, View, WornTag, separated
from vlancheck.dot1q.tags import C_TAG, Tag
from vlancheck.walk.connectivity import Link, components, cycles
from vlancheck.walk.crossings import LAST, Form, less, plain, regular_vids, work_out
from vlancheck.walk.framesets import SINGLE, TAGS, UNTAGGED
from vlancheck.walk.layout import Exit, Group, Layout
from vlancheck.walk.symbolic import Among, Copy, Entered, Outcome, Start, around, arrive, sender

_State = tuple[int, str, int]  # piece, bridge port it was entered by, relay VID or OUTER
_Way = tuple[int, Exit, Form]  # an exit of a bridge, and what leaves by it


@dataclass(slots=True)
class _Ways:
    """The ways out of a piece."""

    several: list[tuple[_Way, int]] = field(default_factory=list)  # for more than one VID; which VIDs of this piece
    single: dict[int, list[_Way]] = field(default_factory=dict)  # by relay VID


Speech = tuple[tuple[int, int, int], ...]
"""How a sender enters pieces: piece, relay VID or OUTER, and the sent frames, for each."""


class _Kind(NamedTuple):
    """What all ports without a link have in common whose fields but the name are equal."""

    form: Form
    words: tuple[tuple[int, int], ...] | None  # relay VID or OUTER, and sent frames; None: some get a second tag
    vid: int  # the one relay VID that all of this is about; -1 when there are several


class Beyond(Exception):
    """Pieces do not tell where a frame goes."""


class Pieces:
    """The pieces of a plant, and the ways out of them."""

    def __init__(self, layout: Layout) -> None:
        """Find them."""
        self.layout = layout
        self.links: list[Link] = []
        self._joined: set[str] = set()  # names of the bridge ports at the ends of regular links
        self._kinds: dict[int, _Kind] = {}
        ways = self._linked()
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
        self.classes: dict[Speech, list[Group]] = {}
        """Ports without a link by how they enter pieces with frames of one C-tag or none, as far as none gets a second.

        The ports of a class are heard at the same places, themselves aside.
        """
        self._pendant()

    def outcome(self, place: str, starts: Iterable[Start[int]]) -> Outcome[int]:
        """Return what frames of one tag or none, sent at the port `place`, come to.

        Raises Beyond when some get a second tag on their way, or are sent where a regular link arrives.
        """
        run = _Run(self)
        at = sender(self.layout, place)
        for stack, value in starts if at else ():
            for item in arrive(self.layout, at, stack, value, SINGLE):
                if isinstance(item, Entered):
                    _, vid, _, below = item.state
                    if below or vid > LAST or item.view.name in self._joined:
                        raise Beyond
                    run.enter(item.view, vid, item.value, None)
                else:
                    run.copies[item[0]] = run.copies.get(item[0], 0) | item[1]
        run.go()
        return run.result()

    def inside(self, bridge: int, vid: int, sent: int) -> Iterator[tuple[int, int, int]]:
        """Yield the pieces that frames with relay VID `vid` are in at a bridge: piece, relay VID, frames."""
        for piece, vids in self.owners[bridge]:
            if vid < 0:
                if part := sent & vids:
                    yield piece, vid, part
            elif vids >> vid & 1:
                yield piece, vid, sent
                return

    # ---- what leaves the bridges ---------------------------------------------------------------------------------

    def _pendant(self) -> None:
        """Put the ports without a link to their pieces, and into their classes."""
        by_words: dict[tuple[int, int], list[Group]] = {}  # quicker to look up than the speech itself
        for bridge, way in self.layout.pendant:
            if (kind := self._kinds.get(way.kind)) is None:
                kind = self._kinds[way.kind] = self._kind(way)
            form, words, vid = kind
            if vid < 0:
                if form.vids:
                    self._open((bridge, way, form))
                if words is not None:
                    speech = tuple(part for word in words for part in self.inside(bridge, *word))
                    self.classes.setdefault(speech, []).append(way.group)
                continue
            for piece, vids in self.owners[bridge]:
                if not vids >> vid & 1:
                    continue
                if form.vids:
                    single = self.ways[piece].single
                    if vid in single:
                        single[vid].append((bridge, way, form))
                    else:
                        single[vid] = [(bridge, way, form)]
                key = piece, way.kind
                if key in by_words:
                    by_words[key].append(way.group)
                else:
                    by_words[key] = [way.group]
                break
        for (piece, number), groups in by_words.items():
            words = self._kinds[number].words
            if words is not None:
                speech = tuple((piece, vid, sent) for vid, sent in words)
                self.classes.setdefault(speech, []).extend(groups)

    def _kind(self, way: Exit) -> _Kind:
        form = work_out(self.layout, way)
        words: dict[int, int] = {}
        deep = False
        for stack, value in ONE_C_TAG:
            for item in arrive(self.layout, way.group.places[0], stack, value, SINGLE):
                if isinstance(item, Entered):
                    _, vid, _, below = item.state
                    deep |= bool(below) or vid > LAST
                    if vid < 0 and not item.value & (item.value - 1):
                        vid = item.value.bit_length() - 1
                    words[vid] = words.get(vid, 0) | item.value
        about = set(words) | ({form.vids.bit_length() - 1} if form.vids else set())
        one = about.pop() if len(about) == 1 and not form.vids & (form.vids - 1) and not deep else -1
        return _Kind(form, None if deep else tuple(words.items()), one)

    def _linked(self) -> list[_Way]:
        """Return the ways by all other ports, and note the regular links."""
        takers = self.layout.plant.takers
        alone = {
            way.group.places[0]: (bridge, way)
            for bridge, way in self.layout.linked
            if len(takers[way.group.places[0]]) == 1 and not way.view.select
        }
        ways: list[_Way] = []
        done = set()
        for bridge, way in self.layout.linked:
            far = alone.get(way.onward)
            if far is None or far[1] is way or alone.get(far[1].onward) != (bridge, way):
                ways.append((bridge, way, work_out(self.layout, way)))
                continue
            if way.view.name in done:
                continue
            other, back = far
            done.add(back.view.name)
            joined = not (way.stops or back.stops or way.view.isolation or back.view.isolation)
            here, there = plain(way.view, back.view), plain(back.view, way.view)
            if not joined or here is None or there is None:
                forms = work_out(self.layout, way), work_out(self.layout, back)
                if joined and (regular := regular_vids(*forms)):
                    self._join(bridge, way, other, back, regular)
                    forms = less(forms[0], regular), less(forms[1], regular)
                ways += [(bridge, way, forms[0]), (other, back, forms[1])]
                continue
            regular = here[0] & there[0] & ~here[1] & ~there[1]
            for _, lower, pvid in (here, there):
                if lower:
                    regular &= ~(1 << pvid)
            if regular:
                self._join(bridge, way, other, back, regular)
            for start, leaving, (same, lower, pvid), takes in (
                (bridge, way, here, back.view),
                (other, back, there, way.view),
            ):
                if lower or same != regular:
                    onward = [(takes, OUTER, same & ~regular), (takes, pvid, lower)]
                    ways.append((start, leaving, Form(lower | (same & ~regular), (), onward)))
        return [found for found in ways if found[2].vids]

    def _join(self, bridge: int, way: Exit, other: int, back: Exit, regular: int) -> None:
        self.links.append((bridge, other, regular))
        self._joined.update((way.view.name, back.view.name))

    def _open(self, way: _Way) -> None:
        """Put a way to the pieces it leads out of."""
        vids = way[2].vids
        for piece, held in self.owners[way[0]]:
            if part := vids & held:
                if vids & (vids - 1):
                    self.ways[piece].several.append((way, part))
                else:
                    self.ways[piece].single.setdefault(vids.bit_length() - 1, []).append(way)


ONE_C_TAG: tuple[Start[int], ...] = (((WornTag(C_TAG, OUTER, ""),), TAGS), ((), UNTAGGED))


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
        for piece, _, part in self.pieces.inside(bridge, vid, sent):
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
                self.leave(way, way[2].vids, state, view, bridge, sent, coming_round)
            for way, vids in ways.several:
                self.leave(way, vids, state, view, bridge, sent, coming_round)

    def leave(self, way: _Way, vids: int, state: _State, view: View, bridge: int, sent: int, coming_round: int) -> None:
        """Let frames leave a piece, but not the way they came in unless they come round."""
        start, exit_, _ = way
        other = exit_.view
        if start == bridge and (other is view or separated(view, other)):
            if other is view and len(exit_.group.places) > 1 and not other.isolation:
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
        _, exit_, form = way
        if sent & form.deep if vid < 0 else form.deep >> vid & 1:
            raise Beyond
        for what, group, frame, name, relay in form.copies:
            if hit := sent & relay if vid < 0 else sent if relay >> vid & 1 else 0:
                named = tuple(Tag(tag.tpid, vid if tag.vid == OUTER else tag.vid) for tag in frame)
                copy = Copy(what, group or exit_.group, among, named, name)
                self.copies[copy] = self.copies.get(copy, 0) | hit
        for far, becomes, relay in form.onward:
            if hit := sent & relay if vid < 0 else sent if relay >> vid & 1 else 0:
                self.enter(far, vid if becomes == OUTER else becomes, hit, state)

    def result(self) -> Outcome[int]:
        looping = self.looping
        if self.again:
            looping |= around(self.reach, self.arcs, self.again, SINGLE)
        return Outcome(self.copies, 0, looping, len(self.reach))
