"""The carriage of a network and a batch of frames in, what arrives at one port out: as declared, otherwise, or not."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cached_property
from typing import Any, NamedTuple

import networkx as nx

from vlancheck.dot1q.tags import Frame, Tag
from vlancheck.places import split_place
from vlancheck.verdicts.orders import Batch, Shape
from vlancheck.walk.carriage import Carriage
from vlancheck.walk.framesets import UNTAGGED, FrameSets
from vlancheck.walk.relation import Relation, filled
from vlancheck.wiring.network import Network


class Arriving(NamedTuple):
    """What becomes, at one port, of a batch of frames; every value is a set of sent frames."""

    right: Any  # arrive in a wanted shape
    other: Any  # arrive, in another shape only
    maybe: Any  # may arrive
    lost: Any  # do not arrive, whatever the unread parts do
    shown: tuple[Frame, ...]  # the other shapes, of one frame each
    came: Frame | None  # how one that is right arrives; None when none is


class Copies(NamedTuple):
    """Copies that come out at one port."""

    frame: Frame  # as it crosses; a VID OUTER or INNER is the one its first or second tag was sent with
    value: Any  # set of sent frames
    certain: bool  # they do, whatever the unread parts are


class _Known(NamedTuple):
    """What is known of one sender's frames of one form, and of all senders that every bridge treats like it."""

    sender: str  # DEVICE:PORT
    relation: Relation[Any]
    by_port: dict[str, list[Copies]]
    doubted: dict[str, Any]  # port -> frames of which nobody knows what becomes there

    def at(self, port: str, sender: str) -> list[Copies]:
        """Return what a sender like this one is heard as at a port."""
        return self.by_port.get(self.like(port, sender), [])

    def like(self, port: str, sender: str) -> str:
        """Return the port at which this sender is heard as another sender like it is at `port`: the two exchanged."""
        return sender if port == self.sender else self.sender if port == sender else port


class Carried:
    """Answers what arrives where; each sender's relation is asked for once and kept by port."""

    def __init__(self, carriage: Carriage, network: Network) -> None:
        """Take the carriage of one survey, and the network it is of."""
        self.carriage, self.network = carriage, network
        self._between: dict[tuple[str, str], frozenset[str]] = {}
        self._known: dict[tuple[tuple[str, ...], tuple[int, ...]], _Known] = {}

    def arriving(self, sender: str, batch: Batch, at: str, due: tuple[Shape, ...]) -> Arriving:
        """Return what becomes at `at` of the frames of `batch` from `sender`; any shape in `due` is right."""
        found, there = self._at(sender, batch.tpids, at)
        sets, value = found.sets, batch.value
        right, seen, maybe = sets.none, sets.none, sets.meet(value, self.open_at(sender, batch.tpids, at))
        shown: list[Frame] = []
        came: Frame | None = None
        for copies in there:
            if not (hit := sets.meet(copies.value, value)):
                continue
            if not copies.certain:
                continue
            fits = sets.none
            for shape in due:
                fits = sets.join(fits, matching(copies.frame, shape, hit, sets))
            right, seen = sets.join(right, fits), sets.join(seen, hit)
            if fits and came is None:
                came = filled(copies.frame, lowest(batch, fits))
            if rest := sets.without(hit, fits):
                shown.append(filled(copies.frame, lowest(batch, rest)))
        other = sets.without(sets.without(seen, right), maybe)
        maybe = sets.without(maybe, right)
        lost = sets.without(sets.without(sets.without(value, right), maybe), other)
        return Arriving(right, other, maybe, lost, tuple(shown), came)

    def coming_out(self, sender: str, batch: Batch, at: str) -> Iterator[tuple[Frame, Frame, bool]]:
        """Yield frames of `batch` that come out at `at`: one as it crosses, the same as sent, and if certainly."""
        found, there = self._at(sender, batch.tpids, at)
        for copies in there:
            if hit := found.sets.meet(copies.value, batch.value):
                sent = lowest(batch, hit)
                yield filled(copies.frame, sent), sent, copies.certain

    def copies(self, sender: str, tpids: tuple[int, ...]) -> Iterator[tuple[str, Copies]]:
        """Yield the copies of all frames of one form from `sender`, by the port where they come out."""
        known = self._of(sender, tpids)
        for port, several in known.by_port.items():
            yield from ((known.like(port, sender), copies) for copies in several)

    def put_in(self, sender: str, at: str, due: tuple[Shape, ...]) -> Iterator[tuple[Frame, bool]]:
        """Yield frames from `sender` (one for each way) that arrive at `at` in a due shape, and whether certainly."""
        for tpids in self.carriage.forms:
            found, there = self._at(sender, tpids, at)
            for copies in there:
                if (sent := self._one(found, copies.frame, copies.value, due)) is not None:
                    yield sent, copies.certain

    def open_at(self, sender: str, tpids: tuple[int, ...], at: str) -> Any:
        """Return the frames of one form of which nobody knows whether they arrive at `at`, as a set of sent frames."""
        if self.network.certain:
            found, _ = self._at(sender, tpids, at)
            return found.sets.without(found.may_grow, found.growing)
        known = self._of(sender, tpids)
        found = known.relation
        value = found.sets.without(found.may_grow, found.growing)
        if known.doubted:
            on_the_way = self._on_the_way(sender, at)
            for port, doubted in known.doubted.items():
                if known.like(port, sender) in on_the_way:
                    value = found.sets.join(value, doubted)
        for copies in known.at(at, sender):
            if not copies.certain:
                value = found.sets.join(value, copies.value)
        return value

    def _on_the_way(self, sender: str, at: str) -> frozenset[str]:
        """Return the ports that lie on some way from `sender` to `at`; what is in doubt there is in doubt beyond."""
        ends = split_place(sender)[0], split_place(at)[0]
        if ends not in self._between:
            graph: nx.Graph[str] = nx.Graph(self._ways.keys())
            graph.add_edge(*ends)
            ports: set[str] = set()
            for block in nx.biconnected_component_edges(graph):
                if any({*edge} == {*ends} for edge in block):
                    ports.update(port for one, other in block for port in self._ways.get(_pair(one, other), ()))
            self._between[ends] = frozenset(ports)
        return self._between[ends] | {sender}

    @cached_property
    def _ways(self) -> dict[tuple[str, str], list[str]]:
        """The ports whose cords join two devices."""
        found: dict[tuple[str, str], list[str]] = {}
        for one, other in self.network.peer.items():
            found.setdefault(_pair(split_place(one)[0], split_place(other)[0]), []).append(one)
        return found

    def _at(self, sender: str, tpids: tuple[int, ...], at: str) -> tuple[Relation[Any], list[Copies]]:
        """Return the copies at one port; in a network of which all is known nothing else need be looked at."""
        if not self.network.certain or (self.carriage.speakers(sender), tpids) in self._known:
            known = self._of(sender, tpids)
            return known.relation, known.at(at, sender)
        found = self.carriage.relation(sender, tpids, at)
        return found, [Copies(crossing.frame, value, True) for crossing, value in found.certain.items()]

    def _of(self, sender: str, tpids: tuple[int, ...]) -> _Known:
        key = self.carriage.speakers(sender), tpids
        if key not in self._known:
            found = self.carriage.relation(sender, tpids)
            by_port: dict[str, list[Copies]] = {}
            open_: dict[str, Any] = {}
            for crossing, value in found.certain.items():
                by_port.setdefault(crossing.port, []).append(Copies(crossing.frame, value, True))
            for place, value in found.unproven.items():
                by_port.setdefault(place.port, []).append(Copies(place.frame, value, False))
                known = open_.get(place.port, found.sets.none)
                open_[place.port] = found.sets.join(known, value)
            self._known[key] = _Known(sender, found, by_port, open_)
        return self._known[key]

    def _one(self, found: Relation[Any], frame: Frame, value: Any, due: tuple[Shape, ...]) -> Frame | None:
        """Return one sent frame of `value` that arrives in a due shape; None for none."""
        for shape in due:
            free = tuple(level._replace(symbol=None) for level in shape)
            if hit := matching(frame, free, value, found.sets):
                return one_frame(found.tpids, hit)
        return None


def _pair(one: str, other: str) -> tuple[str, str]:
    return (one, other) if one <= other else (other, one)


def matching(frame: Frame, shape: Shape, value: Any, sets: FrameSets[Any]) -> Any:
    """Return the sent frames of `value` whose copies, which look like `frame`, have `shape`."""
    if len(frame) != len(shape):
        return sets.none
    for tag, level in zip(frame, shape, strict=True):
        if tag.tpid != level.tpid:
            return sets.none
        if level.symbol is None:
            if tag.vid < 0:
                value = sets.restrict(value, tag.vid, level.vids)
            elif not level.vids >> tag.vid & 1:
                return sets.none
        elif tag.vid >= 0:
            value = sets.restrict(value, level.symbol, 1 << tag.vid)
        elif tag.vid != level.symbol:
            return sets.none
    return value


def lowest(batch: Batch, value: Any) -> Frame:
    """Return one frame of a set of a batch's frames, the one with the lowest VIDs."""
    return one_frame(batch.tpids, value) if batch.shape else ()


def one_frame(tpids: tuple[int, ...], value: Any) -> Frame:
    """Return the frame of a set with the lowest VIDs; the untagged one when it is the only one."""
    if isinstance(value, int):
        low = value & -value
        return () if low == UNTAGGED else (Tag(tpids[0], low.bit_length() - 1),)
    sides = value[0]
    return tuple(Tag(tpid, (side & -side).bit_length() - 1) for tpid, side in zip(tpids, sides, strict=True))
