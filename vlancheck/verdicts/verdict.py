"""What became of an order: a state for every ending, the leaks, and one state for the whole."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum

from vlancheck.dot1q.tags import Frame
from vlancheck.evidence import Origins
from vlancheck.verdicts.orders import Order, Stop
from vlancheck.verdicts.reasons import Hop, Reason


class State(StrEnum):
    """What is to be said of an order or an ending; of a whole order the first that applies, in this order."""

    DROPPED = "dropped"
    MISMATCHED = "mismatched"
    LEAKED = "leaked"
    UNPROVEN = "unproven"
    NOT_YET = "not yet"  # the night goes on: its row is not done
    CARRIED = "carried"


class Way(StrEnum):
    """What is known of one direction."""

    PROVED = "proved"
    OTHERWISE = "otherwise"  # it arrives, in another stack of tags than declared
    REFUTED = "refuted"  # lost, whatever the unread parts do
    UNKNOWN = "unknown"


class Certainty(StrEnum):
    """How sure a leak is."""

    PROVED = "proved"  # it is there, and something is plugged in
    POSSIBLE = "possible"  # an unread part decides it, or nobody knows whether something is plugged in
    EMPTY = "empty"  # it is there, and nothing is plugged in


@dataclass(frozen=True, slots=True)
class Direction:
    """What is known of an ending in one direction."""

    way: Way  # the answer
    sender: str  # DEVICE:PORT it is about
    frame: str  # a frame it is about, as sent
    at: str  # DEVICE:PORT where it is due
    arrives: str = ""  # the frame as it arrives; "" when it does not
    reason: Reason | None = None  # why it is not proved


@dataclass(frozen=True, slots=True)
class EndingVerdict:
    """What became of an order at one of its endings."""

    stop: Stop  # the ending
    at: str  # DEVICE:PORT where it was judged; "" when nothing is patched there
    frame: str  # the frame declared, or the one that arrives where nobody said
    state: State  # the answer
    inward: Direction | None  # in from where it enters; None when there was nothing to ask
    back: Direction | None  # back out to there
    reason: Reason | None = None  # why it is not carried, or that a test by hand says so
    path: tuple[Hop, ...] = ()  # the ports it passes, or passes until it is lost
    tested: Origins = ()  # the test by hand that settled it, where no capture does
    start: str = ""  # name of the place from which it was judged: where its order enters, of a VLAN another ending
    path_back: tuple[Hop, ...] = ()  # the same of the way back, where it alone is not proved and it was asked for
    was: EndingVerdict | None = None  # what became of it in an earlier survey, where that was asked for


class Before(StrEnum):
    """What an earlier survey knew of a leak."""

    THERE = "there"
    NOT_THERE = "not there"


_CROSSES = {"out": "comes out", "in": "can be put in", "both": "comes out and can be put in"}


@dataclass(frozen=True, slots=True)
class Leak:
    """A boundary port where an order's frames come out, or can be put in, and should not."""

    at: str  # DEVICE:PORT
    frame: str  # as it crosses there
    direction: str  # `out`, `in` or `both`
    certainty: Certainty  # how sure it is
    what: str = ""  # what is there: `handoff`, `hold`, `service NAME`, `interface`, `apart`, or ""
    sender: str = ""  # DEVICE:PORT from which a frame of it is sent
    sent: Frame = ()  # that frame
    to: str = ""  # DEVICE:PORT where it arrives
    reason: Reason | None = None  # of one that is not proved
    path: tuple[Hop, ...] = ()  # the ports that frame passes, where that was asked for
    was: Before | None = None  # whether it was there in an earlier survey; None where that is not known

    @property
    def crosses(self) -> str:
        """Return its direction in words."""
        return _CROSSES[self.direction]


@dataclass(frozen=True, slots=True)
class Translation:
    """Which of the carrier's tags the carrier's box turns into ours, beyond a handoff."""

    device: str  # the box
    theirs: int  # the carrier's VID
    ours: int  # VID at our cord
    said: str  # who says so: `letter`, `capture`, `test`, `order`, or "" when site.yaml does not say


@dataclass(frozen=True, slots=True)
class Verdict:
    """What became of a service or a VLAN."""

    order: Order  # what was declared
    state: State  # the first that applies
    headline: str  # everything that applies, worst first
    endings: tuple[EndingVerdict, ...]  # in the order declared
    leaks: tuple[Leak, ...] = ()  # proved and possible ones
    notes: tuple[Leak, ...] = ()  # ports with nothing plugged in that would leak
    questions: tuple[Reason, ...] = field(default=())  # what nobody can tell beyond the handoff
    translations: tuple[Translation, ...] = field(default=())  # what the carrier's box beyond it does, as declared
