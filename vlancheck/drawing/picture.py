"""What a picture of a closet shows, as values: boxes with their sockets, lines between these, and what is inked."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum


class Sort(StrEnum):
    """What a box of the picture is."""

    DEVICE = "device"
    PANEL = "panel"
    CARRIER = "carrier"  # what lies beyond a handoff into which no box of the site is corded


class Standing(StrEnum):
    """Whether something is in both surveys of a picture."""

    KEPT = "unchanged"
    BEFORE = "before"  # in the earlier survey alone
    AFTER = "after"  # in the later survey alone


@dataclass(frozen=True, slots=True, kw_only=True)
class Socket:
    """A row of a box: a port, a bundle, or a panel port."""

    key: str  # DEVICE:PORT by its name in the earliest survey; unique in the picture
    name: str  # as the row says it
    whole: str  # DEVICE:PORT or panel port as the survey writes it
    note: str = ""  # what hangs there
    labels: tuple[str, ...] = ()  # on its cords
    hold: bool = False  # nobody may touch its cord without its owner
    kept: float = 0.0  # points of its row, behind its name, that are kept free
    standing: Standing = Standing.KEPT  # in a picture of two surveys


@dataclass(frozen=True, slots=True, kw_only=True)
class Box:
    """A device, a panel, or the carrier."""

    key: str  # its name in the earliest survey; unique in the picture
    name: str  # as the survey writes it
    sort: Sort  # what it is
    words: str = ""  # its kind, and what must be known of it
    sockets: tuple[Socket, ...] = ()  # its rows, in the order of their names
    idle: int = 0  # ports that the picture leaves out: no cord is in them
    inside: int = 0  # interfaces of its own that the picture leaves out: no cord can be in them
    standing: Standing = Standing.KEPT  # in a picture of two surveys


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """A cord, a bundle of cords, or a cord with the outlets it passes."""

    one: str  # key of a socket
    other: str  # key of a socket
    labels: tuple[str, ...] = ()  # on its cords
    via: tuple[str, ...] = ()  # outlets it passes
    cords: int = 1  # how many cords it stands for
    ports: frozenset[str] = frozenset()  # DEVICE:PORT at the ends of its chain of cords
    standing: Standing = Standing.KEPT  # in a picture of two surveys

    @property
    def key(self) -> tuple[str, str]:
        """Return what tells the line from others, whichever of its ends is written first."""
        return (self.one, self.other) if self.one <= self.other else (self.other, self.one)


class MarkSort(StrEnum):
    """What is to be said at a socket of what is inked."""

    ENTERS = "enters here"
    LOST = "lost here"
    OTHERWISE = "other tag here"
    LEAKS = "leaks here"
    MAY_LEAK = "may leak here"
    UNPROVEN = "unproven here"


@dataclass(frozen=True, slots=True)
class Mark:
    """A word at a socket."""

    key: str  # of the socket
    sort: MarkSort  # the word
    why: str = ""  # in one sentence


@dataclass(frozen=True, slots=True, kw_only=True)
class Ink:
    """Where one VLAN or one service goes; what is true of a key is certain, what is false is unproven."""

    key: str  # unique in the picture: small letters, digits and `-`
    name: str  # as declared
    words: str  # what became of it
    sockets: Mapping[str, bool] = field(default_factory=dict)  # keys of the sockets it passes
    lines: Mapping[tuple[str, str], bool] = field(default_factory=dict)  # keys of the lines it passes
    idle: Mapping[str, int] = field(default_factory=dict)  # box -> ports it reaches that the picture leaves out
    marks: tuple[Mark, ...] = ()  # where it enters, dies, leaks


@dataclass(frozen=True, slots=True, kw_only=True)
class Picture:
    """A closet, to be drawn."""

    title: str  # name of the site
    survey: str  # name of the survey, or of the later one
    before: str = ""  # name of the earlier survey; "" for a picture of one
    boxes: tuple[Box, ...] = ()  # those nearest to the handoff first
    lines: tuple[Line, ...] = ()  # each once
    roots: tuple[str, ...] = ()  # keys of the boxes where the carrier's tags enter
    inks: tuple[Ink, ...] = ()  # of everything declared, and of what was asked for
    chosen: str = ""  # key of the ink to be shown; "" none
    changes: tuple[str, ...] = ()  # what is different between two surveys, a sentence each

    @property
    def ink(self) -> Ink | None:
        """Return the ink to be shown."""
        return next((ink for ink in self.inks if ink.key == self.chosen), None)
