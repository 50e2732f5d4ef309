"""What changed between two surveys, as values."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Any

from vlancheck.dot1q.tags import Frame
from vlancheck.evidence import Origins
from vlancheck.site.anchors import Anchor
from vlancheck.verdicts.course import Course


class Kind(StrEnum):
    """How carriage changed."""

    LOST = "lost"
    GAINED = "gained"
    RETAGGED = "retagged"  # it still arrives, in another stack of tags
    REPAIRED = "repaired"  # something declared was not carried, and is now
    MOVED = "moved"  # a cord is in another port, and carries what it did


@dataclass(frozen=True, slots=True)
class Difference:
    """Frames of one anchor that reach another one in one survey and not in the other."""

    sender: Anchor  # where they are sent
    receiver: Anchor  # where they arrive, or do not
    tpids: tuple[int, ...]  # their form
    value: Any  # set of sent frames
    before: Frame | None  # as they arrived before; None: they did not; VIDs OUTER and INNER as in a Crossing
    after: Frame | None  # as they arrive now; None: they do not

    @property
    def kind(self) -> Kind:
        """Return lost, gained or retagged."""
        return Kind.GAINED if self.before is None else Kind.LOST if self.after is None else Kind.RETAGGED


@dataclass(frozen=True, slots=True)
class Place:
    """Where a change has its cause."""

    ports: tuple[str, ...]  # DEVICE:PORT of the survey it is told of: a port, or both ends of a link
    words: str  # what is different there, in one sentence
    vids: int = 0  # bitset of the relay VIDs it is about; 0 for any
    before: Origins = ()  # lines of the earlier survey
    after: Origins = ()  # lines of the later survey
    cord: bool = False  # a cord is in another port than before


@dataclass(frozen=True, slots=True)
class Sample:
    """One of the frames that changed, whose ways can be shown."""

    sender: Anchor  # where it is sent
    receiver: Anchor  # where it arrives in one of the surveys
    sent: Frame  # as sent


@dataclass(frozen=True, slots=True)
class Change:
    """What changed for one frame at one anchor."""

    anchor: Anchor  # where
    frame: str  # the frames, as they are sent or arrive there
    kind: Kind  # how
    before: str  # whom it reached, in words
    after: str  # whom it reaches
    needed: bool  # something declared, or an endpoint, uses the frame
    expected: bool = False  # site.yaml says it is meant
    others: int = 0  # how many places it is about
    becomes: str = ""  # of retagged frames: as what they arrive, or must be sent, afterwards
    deep: bool = False  # it is about frames of two tags alone
    sample: Sample | None = None  # one frame of it
    was: Course | None = None  # how that frame went before; None where that cannot be told, or was not asked for
    now: Course | None = None  # how it goes afterwards; None the same


@dataclass(frozen=True, slots=True)
class Cause:
    """One cause and everything it changed."""

    place: Place  # where it is
    changes: tuple[Change, ...]  # a row for every anchor that tells the change, those with the most partners first
    needed: bool  # something needed changed that nobody expected

    @property
    def told(self) -> tuple[Change, ...]:
        """Return the rows for people: those about frames of two tags only where no others are."""
        return tuple(row for row in self.changes if not row.deep) or self.changes

    @property
    def expected(self) -> bool:
        """Tell whether all of it is meant."""
        return all(change.expected for change in self.changes)


@dataclass(frozen=True, slots=True)
class Move:
    """A cord that is in another port than before."""

    anchor: Anchor  # jack, endpoint or circuit
    before: str  # DEVICE:PORT, by its name of then
    after: str  # DEVICE:PORT
    alike: bool  # nothing needed changed there
    sign: str = ""  # why somebody must sign the row: `hold: ...`, `phone`, `handoff`, a kept address; "" nobody must
    origins: Origins = ()  # the rows that say where it is now
    sample: Sample | None = None  # a frame of it, where that was asked for
    was: Course | None = None  # how that frame went before; None where that cannot be told, or was not asked for
    now: Course | None = None  # how it goes afterwards; None the same


@dataclass(frozen=True, slots=True)
class Comparison:
    """Everything that is different between two surveys."""

    causes: tuple[Cause, ...] = ()  # of changed carriage, needed ones first
    moves: tuple[Move, ...] = ()  # cords in other ports
    open: tuple[tuple[Anchor, str], ...] = ()  # anchors at which nothing can be compared, and why
    missing: tuple[tuple[str, str, Origins], ...] = ()  # meant changes that did not happen: place, what, where declared
