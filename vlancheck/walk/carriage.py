"""The whole relation: from every boundary port, every frame to what becomes of it, all frames at once.

It covers untagged frames, single tags of every TPID in use (VID 0 to 4094) and, where a second tag can matter, outer by
inner tags.  For every frame it says what a walk of that frame says.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from vlancheck.dot1q.forward import INNER, OUTER, EndView, View, World, WornTag
from vlancheck.dot1q.model import Rewrite
from vlancheck.dot1q.tags import C_TAG, RESERVED_VID, Frame, format_frame
from vlancheck.walk import relation
from vlancheck.walk.flood import What
from vlancheck.walk.framesets import EVERY_PAIR, PAIR, SINGLE, TAGS, UNTAGGED, FrameSets
from vlancheck.walk.layout import Layout
from vlancheck.walk.pieces import Beyond, Pieces
from vlancheck.walk.relation import Relation, Row
from vlancheck.walk.symbolic import Outcome, Start, outcome
from vlancheck.walk.walk import Delivery, plant, question, walk
from vlancheck.wiring.network import Network

_KEPT = 1_000_000  # copies in remembered outcomes, before all are forgotten


class Carriage:
    """The relation of a network, worked out sender by sender when it is asked for.

    `senders` are the boundary ports; `forms` the frames it covers, as TPIDs, outermost first: (0x8100,) stands for
    single C-tags and untagged frames.  `stacked` says whether frames of two tags are among them.
    """

    def __init__(self, network: Network) -> None:
        """Hold `network`; nothing is worked out yet."""
        self._network = network
        self._layouts: dict[World, Layout] = {}
        self._pieces: dict[World, Pieces] = {}
        self._outcomes: dict[tuple[World, str, tuple[int, ...]], Outcome[Any]] = {}
        self._size = 0
        views = [view for takers in plant(network, World.POSSIBLE).takers.values() for view in takers]
        tpids = sorted({C_TAG}.union(*(_tpids(view) for view in views)))
        self.stacked = any(_stacks(view) for view in views)
        self.senders: tuple[str, ...] = network.boundary
        self.forms: tuple[tuple[int, ...], ...] = tuple((tpid,) for tpid in tpids)
        if self.stacked:
            self.forms += tuple((one, other) for one in tpids for other in tpids)

    def deliveries(self, port: str, frame: str | Frame) -> tuple[Delivery, ...]:
        """Return the copies of `frame` from `port` that certainly cross the boundary, sorted, as a walk does.

        Raises UsageError when there is no such port or the frame cannot be read.
        """
        port, sent = question(self._network, port, frame)
        if (asked := self._set(sent)) is None:
            return walk(self._network, port, sent).deliveries
        tpids, one, sets = asked
        sure = self.outcome(port, tpids, World.SURE)
        found = {Delivery(*key) for key in _at(sure, What.DELIVERED, port, sent, one, sets)}
        return tuple(sorted(found, key=lambda item: (item.port, item.frame, item.interface or "")))

    def unproven(self, port: str, frame: str | Frame) -> tuple[tuple[str, str], ...]:
        """Return port and frame of the copies whose fate something unknown decides, sorted, as a walk does.

        Raises UsageError when there is no such port or the frame cannot be read.
        """
        port, sent = question(self._network, port, frame)
        if (asked := self._set(sent)) is None:
            return tuple((item.port, item.frame) for item in walk(self._network, port, sent).unproven)
        tpids, one, sets = asked
        sure, possible = (self.outcome(port, tpids, world) for world in (World.SURE, World.POSSIBLE))
        if sets.meet(possible.growing, one):
            return () if sets.meet(sure.growing, one) else ((port, format_frame(sent)),)
        found = set(_at(possible, What.DELIVERED, port, sent, one, sets))
        found -= set(_at(sure, What.DELIVERED, port, sent, one, sets))
        found |= set(_at(possible, What.DOUBT, port, sent, one, sets))
        return tuple(sorted({(place, left) for place, left, _ in found}))

    def relation(self, port: str, tpids: tuple[int, ...] = (C_TAG,), at: str = "") -> Relation[Any]:
        """Return what becomes of all frames of one form from `port`, as sets of sent frames.

        `tpids` is one of `forms`, or any other one or two TPIDs.  The sets are integers, bit n for VID n and bit 4095
        for the untagged frame; of frames with two tags, rectangles of outer and inner VIDs.  With `at`, only what comes
        out at that boundary port is told.  Raises UsageError when there is no such port.
        """
        port, _ = question(self._network, port, ())
        sure, possible = (self.outcome(port, tpids, world) for world in (World.SURE, World.POSSIBLE))
        sets: FrameSets[Any] = SINGLE if len(tpids) == 1 else PAIR
        return relation.relate(port, tpids, sets, sure, possible, at)

    def rows(self, port: str) -> tuple[Row, ...]:
        """Return the relation of one sender by classes of frames; frames that reach nothing have no row.

        Raises UsageError when there is no such port.
        """
        return tuple(row for tpids in self.forms for row in relation.rows(self.relation(port, tpids)))

    def reaches(self, port: str, other: str) -> bool:
        """Tell whether any frame of `forms` from `port` is certainly delivered at `other`."""
        port, other = question(self._network, port, ())[0], question(self._network, other, ())[0]
        return any(
            copy.what is What.DELIVERED and place == other
            for tpids in self.forms
            for copy, place, _ in relation.told(self.outcome(port, tpids, World.SURE).copies, port)
        )

    def speakers(self, port: str) -> tuple[str, ...]:
        """Return who speaks for a boundary port in each world; ports with the same ones exchange without a change."""
        worlds = (World.SURE,) if self._network.certain else (World.SURE, World.POSSIBLE)
        return tuple(self._layout(world).speaker(port) for world in worlds)

    def outcome(self, port: str, tpids: tuple[int, ...], world: World) -> Outcome[Any]:
        """Return what the frames of one form from `port` come to in one world; ports that are alike share one."""
        if self._network.certain:
            world = World.SURE
        layout = self._layout(world)
        key = (world, layout.speaker(port), tpids)
        if (known := self._outcomes.get(key)) is not None:
            return known
        found = self._single(world, key[1], tpids) if len(tpids) == 1 else self._double(layout, key[1], tpids)
        self._size += len(found.copies)
        if self._size > _KEPT:
            self._outcomes.clear()
            self._size = len(found.copies)
        self._outcomes[key] = found
        return found

    def _single(self, world: World, port: str, tpids: tuple[int, ...]) -> Outcome[int]:
        layout = self._layout(world)
        starts: list[Start[int]] = [((WornTag(tpids[0], OUTER, ""),), TAGS)]
        if tpids[0] == C_TAG:
            starts.append(((), UNTAGGED))
        if world not in self._pieces:
            self._pieces[world] = Pieces(layout)
        try:
            return self._pieces[world].outcome(port, starts)
        except Beyond:
            return outcome(layout, port, starts, SINGLE)

    def _double(self, layout: Layout, port: str, tpids: tuple[int, ...]) -> Outcome[Any]:
        stack = (WornTag(tpids[0], OUTER, ""), WornTag(tpids[1], INNER, ""))
        return outcome(layout, port, [(stack, EVERY_PAIR)], PAIR)

    def _layout(self, world: World) -> Layout:
        if world not in self._layouts:
            self._layouts[world] = Layout(plant(self._network, world))
        return self._layouts[world]

    def _set(self, sent: Frame) -> tuple[tuple[int, ...], Any, FrameSets[Any]] | None:
        """Return the form of a frame and the set of it alone; None when the relation does not cover it."""
        if not sent:
            return (C_TAG,), UNTAGGED, SINGLE
        tpids = tuple(tag.tpid for tag in sent)
        if tpids not in self.forms or any(tag.vid >= RESERVED_VID for tag in sent):
            return None
        if len(sent) == 1:
            return tpids, 1 << sent[0].vid, SINGLE
        return tpids, ((1 << sent[0].vid, 1 << sent[1].vid),), PAIR


def carriage(network: Network) -> Carriage:
    """Return the whole relation of `network`, worked out sender by sender when it is asked for."""
    return Carriage(network)


def _at(
    found: Outcome[Any], what: What, port: str, sent: Frame, one: Any, sets: FrameSets[Any]
) -> Iterator[tuple[str, str, str | None]]:
    """Yield port, frame and interface of one sent frame's copies."""
    hit = {copy: value for copy, value in found.copies.items() if copy.what is what and sets.meet(value, one)}
    for copy, place, _ in relation.told(hit, port):
        yield place, format_frame(relation.filled(copy.frame, sent)), copy.interface.partition(":")[2] or None


def _tpids(view: View | EndView) -> set[int]:
    """Return the TPIDs that a bridge port or end knows or puts on."""
    found = set(view.tpids).union(*(level.tpids or () for level in view.select))
    if isinstance(view, View):
        found.add(view.sends)
        for row in (*view.entry, *view.exit):
            found.update(*(level.tpids or () for level in row.match))
            found.update(tag.tpid for tag in row.push if tag.tpid is not None)
    return found


def _stacks(view: View | EndView) -> bool:
    """Tell whether the second tag of a frame can matter at a bridge port or end."""
    if isinstance(view, EndView):
        return len(view.select) > 2  # one tag and "no more" need no second
    foreign = view.tpids != {C_TAG} or view.sends != C_TAG
    return foreign or len(view.select) > 1 or any(_deep(row) for row in (*view.entry, *view.exit))


def _deep(row: Rewrite) -> bool:
    return row.pop != len(row.push) or len(row.match) > 1 or row.pop > 1
