"""What was ordered, as values: sets of frames, where they enter and where they must come out."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Any, NamedTuple

from vlancheck.dot1q.forward import INNER, OUTER
from vlancheck.dot1q.tags import C_TAG, TAGS, UNTAGGED, Frame
from vlancheck.evidence import Origins
from vlancheck.vids import members

_DEEPEST = 2  # tags of a frame that the relation covers


class OrderKind(StrEnum):
    """What was declared."""

    SERVICE = "service"
    VLAN = "vlan"


class Same(StrEnum):
    """How the frame at an ending stands to the one that enters."""

    SAME = "same"  # it is the one that entered
    ANY = "any"  # nobody said; with its tag or without


class Level(NamedTuple):
    """One tag of a set of frames: any of several VIDs, or the VID that another frame of the pair has there."""

    tpid: int
    vids: int  # bitset of the VIDs it may have
    symbol: int | None = None  # OUTER or INNER: the VID that the first or second tag was sent with


Shape = tuple[Level, ...]  # outermost tag first; () the untagged frame


class Batch(NamedTuple):
    """Frames of one shape that are sent together."""

    shape: Shape  # tags as sent; every level has its symbol
    inner: int  # how many of the innermost tags lie inside the ordered one

    @property
    def tpids(self) -> tuple[int, ...]:
        """Return the form of the frames, as a relation is asked for it."""
        return tuple(level.tpid for level in self.shape) or (C_TAG,)

    @property
    def value(self) -> Any:
        """Return the frames as a set of sent frames."""
        if not self.shape:
            return UNTAGGED
        if len(self.shape) == 1:
            return self.shape[0].vids
        return ((self.shape[0].vids, self.shape[1].vids),)


@dataclass(frozen=True, slots=True)
class Stop:
    """Where an order must come out."""

    name: str  # as declared or as the survey spells it
    place: str  # DEVICE:PORT; "" when nothing is patched there
    frame: Frame | Same  # the frame at the port
    origins: Origins = ()  # where it is declared, and what leads from the name to the port
    absent: bool = False  # this survey has no capture, or no row, of it
    doubt: Origins = ()  # rows that contradict each other about its cord


@dataclass(frozen=True, slots=True)
class Order:
    """What was declared of one carrier's tag or one VLAN."""

    kind: OrderKind  # a service or a VLAN
    name: str  # as declared; "VLAN 20" where a VLAN has no name
    tag: str  # the frames as declared
    batches: tuple[Batch, ...]  # the frames where they enter; of a VLAN, its tag
    enters: tuple[Stop, ...]  # where they enter; none for a VLAN
    stops: tuple[Stop, ...]  # where they must come out, each once
    origins: Origins = ()  # where it is declared
    apart: bool = False  # the stops must not hear each other
    never: tuple[Stop, ...] = ()  # what a VLAN must not touch
    only: bool = False  # the stops of a VLAN are the complete list
    vid: int = 0  # of a VLAN

    @property
    def title(self) -> str:
        """Return what it is called: the name and the tag."""
        if self.kind is OrderKind.VLAN:
            return self.name if self.name == f"VLAN {self.vid}" else f"{self.name} (VLAN {self.vid})"
        return f"{self.name} ({self.tag})"


class Frames(NamedTuple):
    """A set of frames as declared."""

    vids: int = 0  # bitset of the VIDs that come with one C-tag; bit 0 the priority tag
    untagged: bool = False  # untagged frames belong to it
    stacks: tuple[Frame, ...] = ()  # frames with an S-tag, or with more than one tag


EVERY = Frames(TAGS, True)  # untagged, priority-tagged and every VID


def batches(frames: Frames, inner: Frames | None = None) -> tuple[Batch, ...]:
    """Return frames as sets of one shape each; with `inner`, each of `frames` around each of those.

    Raises ValueError for a frame of more than two tags.
    """
    outer = _shapes(frames)
    if inner is None:
        made = [Batch(_symbols(shape), 0) for shape in outer]
    else:
        alone = [(level._replace(vids=1 << vid),) for (level,) in outer for vid in members(level.vids)]
        made = [Batch(_symbols((*shape, *core)), len(core)) for shape in alone for core in _shapes(inner)]
    return tuple(sorted(made, key=lambda batch: (len(batch.shape), batch.shape)))


def _shapes(frames: Frames) -> list[Shape]:
    shapes: list[Shape] = [()] if frames.untagged else []
    if frames.vids:
        shapes.append((Level(C_TAG, frames.vids),))
    return shapes + [_fixed(stack) for stack in frames.stacks]


def _symbols(shape: Shape) -> Shape:
    """Return the shape with the symbol of its place at every level."""
    if len(shape) > _DEEPEST:
        raise ValueError(f"a frame of {len(shape)} tags is deeper than can be judged; two are the most")
    return tuple(Level(level.tpid, level.vids, symbol) for level, symbol in zip(shape, (OUTER, INNER), strict=False))


def batch_of(frame: Frame | Same) -> Batch:
    """Return one frame as a batch; of a VLAN's endings every frame is said.  Raises ValueError as `batches` does."""
    assert not isinstance(frame, Same), "the frame is said"
    return Batch(_symbols(_fixed(frame)), 0)


def wanted(batch: Batch, frame: Frame | Same) -> tuple[Shape, ...]:
    """Return the shapes, any of which will do, of a batch's frames at a stop that is declared with `frame`."""
    cut = len(batch.shape) - batch.inner
    core = batch.shape[cut:]
    match frame:
        case Same.SAME:
            return (batch.shape,)
        case Same.ANY:
            return (batch.shape,) if core == batch.shape else (core, batch.shape)
        case _:
            return ((*_fixed(frame), *core),)


def turned(batch: Batch, shape: Shape) -> tuple[Batch, Shape]:
    """Return the batch that sends `shape` back, and the shape in which it must arrive where `batch` was sent."""
    symbols = (OUTER, INNER)
    sent = _symbols(shape)
    new: dict[int, int] = {
        level.symbol: symbols[place] for place, level in enumerate(shape) if level.symbol is not None
    }
    due = tuple(
        Level(level.tpid, level.vids, None if level.symbol is None else new.get(level.symbol)) for level in batch.shape
    )
    return Batch(sent, 0), due


def _fixed(frame: Frame) -> Shape:
    return tuple(Level(tag.tpid, 1 << tag.vid) for tag in frame)
