"""The reference's answer in the product's words, and what differs between the two."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import fields, is_dataclass
from enum import StrEnum
from typing import Any, NamedTuple

from vlancheck.dot1q.forward import OUTER
from vlancheck.dot1q.rules import Rule
from vlancheck.dot1q.tags import C_TAG, Frame, Tag, format_frame
from vlancheck.evidence import Fact
from vlancheck.vids import text
from vlancheck.walk import Carriage, Walk, carriage, walk
from vlancheck.walk.relation import Row
from vlancheck.wiring import Network

from .oneframe import OneFrame, World, bare
from .wirings import Wiring

ON_ARRIVAL = frozenset(
    {
        Rule.PORT_DOWN,
        Rule.FOREIGN_TAG,
        Rule.NOT_TAKEN,
        Rule.ENTRY_ROW,
        Rule.RESERVED_VID,
        Rule.NOT_ADMITTED,
        Rule.NO_PVID,
        Rule.VLAN_ABSENT,
        Rule.VLAN_SUSPENDED,
        Rule.BLOCKED_IN,
    }
)


class Truth(NamedTuple):
    """What is certain and what is open about one frame."""

    deliveries: frozenset[tuple[str, str, str | None]]  # certain: port, frame, interface
    unproven: frozenset[tuple[str, str]]  # may be delivered, or is in doubt there: port, frame
    losses: frozenset[tuple[str, str, str]]  # certain, on arrival: port, frame, rule
    cycle: tuple[bool, bool]  # certain, possible
    growing: tuple[bool, bool]  # certain, possible


class Reference:
    """A wiring followed in both worlds."""

    def __init__(self, wiring: Wiring) -> None:
        """Make both worlds ready; where nothing is unknown one is enough."""
        devices, links, handoffs, unknowns = wiring
        self.open = OneFrame(devices, links, World.IN, handoffs)
        self.shut = OneFrame(devices, links, World.OUT, handoffs) if unknowns else self.open

    def truth(self, port: str, frame: Frame) -> Truth:
        """Return what the two worlds have in common and where they differ."""
        may = self.open.follow(port, frame)
        must = may if self.shut is self.open else self.shut.follow(port, frame)
        if may.growing:  # of a frame that grows, only that is said
            unproven = set() if must.growing else {(port, frame)}
            losses = set()
        else:
            unproven = may.in_doubt | {(place, left) for place, left, _ in may.deliveries - must.deliveries}
            certain = {(place, stack) for place, stack, _ in must.losses}
            losses = {(place, bare(stack), rule) for place, stack, rule in may.losses if (place, stack) in certain}
        rounds = must.cycle and not must.growing
        return Truth(
            frozenset((place, format_frame(left), interface) for place, left, interface in must.deliveries),
            frozenset((place, format_frame(left)) for place, left in unproven),
            frozenset((place, format_frame(left), rule) for place, left, rule in losses),
            (rounds, rounds or (may.cycle and not may.growing)),
            (must.growing, may.growing),
        )


def walked(result: Walk) -> Truth:
    """Return the product's walk in the same form."""
    rounds = [loop for loop in result.loops if not loop.growing]
    grows = [loop for loop in result.loops if loop.growing]
    return Truth(
        frozenset((delivery.port, delivery.frame, delivery.interface) for delivery in result.deliveries),
        frozenset((unproven.port, unproven.frame) for unproven in result.unproven),
        frozenset((loss.port, loss.frame, loss.rule.word) for loss in result.losses if loss.rule in ON_ARRIVAL),
        (any(loop.certain for loop in rounds), bool(rounds)),
        (any(loop.certain for loop in grows), bool(grows)),
    )


def walk_differs(reference: Reference, network: Network, port: str, frame: Frame) -> Iterator[str]:
    """Yield one line for everything in which the product's walk is not what the reference says."""
    result = walk(network, port, frame)
    expected, actual = reference.truth(port, frame), walked(result)
    for name, wanted, got in zip(Truth._fields, expected, actual, strict=True):
        if wanted != got:
            yield f"{port} {format_frame(frame)}: {name}: reference {_show(wanted)}, walk {_show(got)}"
    complete = not (expected.unproven or any(expected.growing))
    if complete != result.complete:
        yield f"{port} {format_frame(frame)}: complete: reference {complete}, walk {result.complete}"


class Whole:
    """The whole relation of a network, its rows kept by sender."""

    def __init__(self, network: Network) -> None:
        """Ask for the relation; nothing is worked out yet."""
        self.relation = carriage(network)
        self._rows: dict[str, tuple[Row, ...]] = {}

    def rows(self, port: str) -> tuple[Row, ...]:
        """Return the rows of one sender."""
        if port not in self._rows:
            self._rows[port] = self.relation.rows(port)
        return self._rows[port]


def carriage_differs(reference: Reference, whole: Whole, port: str, frame: Frame) -> Iterator[str]:
    """Yield one line for everything in which the whole relation is not what the reference says of one frame.

    The relation tells it in three ways: asked for the frame, as sets of sent frames, and as rows for people.
    """
    expected = reference.truth(port, frame)
    told = {"asked": _asked(whole.relation, port, frame)}
    tpids = tuple(tag.tpid for tag in frame) or (C_TAG,)
    twins = len(frame) == 2 and frame[0].vid == frame[1].vid  # stand in sets and rows once for each of their tags
    if tpids in whole.relation.forms and not twins:
        told |= {"sets": _in_sets(whole.relation, port, tpids, frame), "row": _in_rows(whole, port, frame)}
    for way, actual in told.items():
        for name, got in actual._asdict().items():
            if got is not None and got != (wanted := getattr(expected, name)):
                said = f"reference {_show(wanted)}, carriage {_show(got)}"
                yield f"{port} {format_frame(frame)}: {name} ({way}): {said}"


class Told(NamedTuple):
    """What the relation says of one frame; None where it was not asked."""

    deliveries: frozenset[tuple[str, str, str | None]]
    unproven: frozenset[tuple[str, str]]
    cycle: tuple[bool, bool] | None = None
    growing: tuple[bool, bool] | None = None


def _asked(relation: Carriage, port: str, frame: Frame) -> Told:
    deliveries = relation.deliveries(port, frame)
    return Told(
        frozenset((one.port, one.frame, one.interface) for one in deliveries),
        frozenset(relation.unproven(port, frame)),
    )


def _in_sets(relation: Carriage, port: str, tpids: tuple[int, ...], frame: Frame) -> Told:
    found = relation.relation(port, tpids)

    def holds(value: Any) -> bool:
        """Tell whether a set has the frame: bit n for VID n, bit 4095 untagged; of two tags, rectangles."""
        if len(tpids) == 1:
            return bool(value >> (frame[0].vid if frame else 4095) & 1)
        return any(outer >> frame[0].vid & 1 and inner >> frame[1].vid & 1 for outer, inner in value)

    def sent(crossing: Frame) -> str:
        """Write a frame that crosses, the sent VIDs in the place of the symbols."""
        own = {OUTER - place: tag.vid for place, tag in enumerate(frame)}
        return format_frame(tuple(Tag(tag.tpid, own.get(tag.vid, tag.vid)) for tag in crossing))

    return Told(
        frozenset((one.port, sent(one.frame), one.interface) for one, value in found.certain.items() if holds(value)),
        frozenset((one.port, sent(one.frame)) for one, value in found.unproven.items() if holds(value)),
        (holds(found.looping), holds(found.may_loop)),
        (holds(found.growing), holds(found.may_grow)),
    )


def _in_rows(whole: Whole, port: str, frame: Frame) -> Told:
    tpids = tuple(tag.tpid for tag in frame)
    vids = tuple(tag.vid for tag in frame)
    rows = [
        row
        for row in whole.rows(port)
        if row.tpids == tpids and all(bits >> vid & 1 for bits, vid in zip((row.outer, row.inner), vids, strict=False))
    ]
    if not rows:
        return Told(frozenset(), frozenset(), (False, False), (False, False))
    assert len(rows) == 1, f"{port} {format_frame(frame)} is in {len(rows)} rows"
    row = rows[0]

    def sent(words: str) -> str:
        """Write a frame of a row, the sent VIDs in the place of the words."""
        if words == "same":
            return format_frame(frame)
        for word, vid in zip(("outer", "inner"), vids, strict=False):
            words = words.replace(f"({word})", word).replace(word, str(vid))
        return words.replace("same", str(vids[0])) if vids else words

    return Told(
        frozenset((one.port, sent(one.frame), one.interface) for one in row.deliveries),
        frozenset((place, sent(left)) for place, left in row.unproven),
        (row.looping, row.may_loop),
        (row.growing, row.may_grow),
    )


def shown(wiring: Wiring) -> str:
    """Return a wiring in a form that a person can read, defaults left out."""
    lines = [f"link {one} {other}" for one, other in wiring.links]
    lines += [f"handoff {place}" for place in sorted(wiring.handoffs)]
    for device in wiring.devices:
        lines.append(f"device {device.name} {device.kind}")
        for standing in (device.bridges, device.ports, device.bridge_ports, device.ends):
            lines += [f"  {_written(one)}" for one in standing.values()]
    return "\n".join(lines)


def _written(value: object) -> str:
    if isinstance(value, Fact):
        return str(value.value)
    if isinstance(value, tuple):
        return "(" + ", ".join(_written(item) for item in value) + ")"
    if isinstance(value, frozenset):
        return str(sorted(f"{item:04x}" if isinstance(item, int) else str(item) for item in value))
    if isinstance(value, StrEnum) or not is_dataclass(value):
        return str(value)
    told = [(one, getattr(value, one.name)) for one in fields(value) if "origins" not in one.name]
    parts = [f"{one.name}={_field(one.name, held)}" for one, held in told if held != one.default]
    return f"{type(value).__name__}({', '.join(parts)})"


def _field(name: str, held: object) -> str:
    if name == "vids" and isinstance(held, int):
        return text(held)
    return f"{held:04x}" if name in ("sends", "tpid") and isinstance(held, int) else _written(held)


def _show(value: object) -> object:
    return sorted(map(str, value)) if isinstance(value, frozenset) else value
