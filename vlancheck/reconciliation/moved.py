"""What evidence says of moved cords, as values: causes, how sure they are, and the proof of every jack."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import NamedTuple

from vlancheck.evidence import Origin, Origins


class MoveKind(StrEnum):
    """What explains that something is not where it should be; the order is the one in which causes are told."""

    HANDOFF = "handoff cord moved"
    UPLINKS = "uplinks exchanged"
    UPLINK = "uplink moved"
    ROW = "row shifted"
    SWAP = "cords exchanged"
    CYCLE = "cords in a circle"
    WRONG = "cord in another port"
    LEFT = "cord still there"
    SHARED = "two behind one port"
    DOUBLE = "one behind two ports"
    CARRIED = "device carried"
    GONE = "device gone"
    NEW = "newcomers"
    SILENT = "silent devices"


# Causes that somebody has to do something about, beyond a test by hand.
TO_MEND = frozenset(MoveKind) - {MoveKind.CARRIED, MoveKind.GONE, MoveKind.NEW, MoveKind.SILENT}


class Sureness(StrEnum):
    """How much stands behind a cause."""

    SEVERAL = "proved by several"  # at least two addresses or neighbours
    ONE = "proved by one"
    CONSISTENT = "only consistent with"  # it covers something of which nothing was seen


class Shown(NamedTuple):
    """A line or a row, and the place it is about."""

    place: str  # DEVICE:PORT of the later survey, or the name of a jack
    origin: Origin  # the line


def shown(place: str, origins: Origins) -> tuple[Shown, ...]:
    """Return lines, each with the place that all of them are about."""
    return tuple(Shown(place, origin) for origin in origins)


@dataclass(frozen=True, slots=True, kw_only=True)
class MoveCause:
    """One cause, and all that it explains."""

    kind: MoveKind  # what was done
    words: str  # in one sentence
    sure: Sureness  # how much stands behind it
    at: tuple[str, ...]  # jacks, endpoints, circuits or ports that it covers, by name
    ports: tuple[str, ...]  # DEVICE:PORT of the later survey where they are now, as far as that is known
    planned: tuple[str, ...] = ()  # DEVICE:PORT where the later sheet has them
    harmful: bool | None = None  # the ports do not carry the same needed frames; None: not known, or nothing to tell
    instead: tuple[MoveKind, ...] = ()  # other causes, no more of them, that explain the same evidence
    before: tuple[Shown, ...] = ()  # lines of the earlier survey
    after: tuple[Shown, ...] = ()  # lines of the later survey
    rows: tuple[Shown, ...] = ()  # rows of the later sheet that say otherwise


class Proof(StrEnum):
    """What stands behind a row of the later sheet."""

    PROVED = "proved"  # what is known to hang there was seen there
    INFERRED = "inferred"  # a link, or something unknown, is there
    UNPROVEN = "unproven"  # nothing was seen, or it was seen elsewhere


@dataclass(frozen=True, slots=True)
class JackProof:
    """A row of the later sheet that leads to a port, and what stands behind it."""

    at: str  # panel port, jack or DEVICE:PORT that the row names
    port: str  # DEVICE:PORT it leads to
    state: Proof  # the answer
    origins: Origins = ()  # the lines behind it, those of the earlier survey first
    elsewhere: tuple[str, ...] = ()  # DEVICE:PORT where what hangs there was seen instead


@dataclass(frozen=True, slots=True)
class HandTest:
    """A row of evidence that a person took by hand."""

    at: str  # panel port, jack or DEVICE:PORT
    who: str  # name of the person, as written
    when: str  # time, as written
    what: str  # what was done and seen
    passed: bool  # whether it is as it should be
    origins: Origins = ()  # where it is written


@dataclass(frozen=True, slots=True)
class Reconciled:
    """What two surveys show, held against the later sheet."""

    causes: tuple[MoveCause, ...] = ()  # as few as explain it, those to be mended first
    jacks: tuple[JackProof, ...] = ()  # in the order of the sheet

    @property
    def to_mend(self) -> tuple[MoveCause, ...]:
        """Return the causes that somebody has to do something about."""
        return tuple(cause for cause in self.causes if cause.kind in TO_MEND)
