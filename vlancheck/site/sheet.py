"""What a patch sheet says, as values: cords, other rows, panel ports, jacks, endpoints, doubts, contradictions."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from typing import NamedTuple

from vlancheck.evidence import Origins, join
from vlancheck.site.endpoints import EndpointKind
from vlancheck.site.ends import End
from vlancheck.site.headings import Heading
from vlancheck.site.rows import Table


@dataclass(frozen=True, slots=True)
class SheetCord:
    """One cord: a row of a sheet, or one of the cords that a row of ranges stands for."""

    one: End  # the left end
    other: End  # the right end
    label: str = ""  # what is written on the cord; "" when it has no label
    kind: str = ""  # category, medium or `permanent`, as written; `cord_kind` places it
    colour: str = ""  # as written
    length: str = ""  # as written, with its unit
    serves: str = ""  # what hangs at its end, as written
    hold: str = ""  # what the column `hold` says, as written
    note: str = ""  # remarks; several columns joined by `; `
    room: str = ""  # where its jack is
    jack: str = ""  # outlet that its panel port leads to; "" when no column says so
    origins: Origins = ()  # the row

    @property
    def ends(self) -> tuple[End, ...]:
        """Return both ends."""
        return self.one, self.other


@dataclass(frozen=True, slots=True)
class LooseRow:
    """A row that names a port, a panel port or a jack and no cord in it."""

    end: End  # what it names
    free: bool  # the row says in words that nothing is plugged in
    serves: str = ""  # what hangs there, as written
    hold: str = ""  # what the column `hold` says, as written
    note: str = ""  # remarks
    room: str = ""  # where its jack is
    jack: str = ""  # outlet that the panel port leads to
    origins: Origins = ()  # the row

    @property
    def ends(self) -> tuple[End, ...]:
        """Return what it names."""
        return (self.end,)


class PlacedRow(NamedTuple):
    """A row at the ports of one survey."""

    row: SheetCord | LooseRow  # as the sheet has it
    name: str  # panel port or jack it names, else DEVICE:PORT
    places: tuple[str, ...]  # DEVICE:PORT its cord leads to; () when nothing is patched


@dataclass(frozen=True, slots=True)
class Doubt:
    """A row that does not say which two ports a cord joins; nothing is made of it."""

    why: str  # in words
    origins: Origins  # the row
    ends: tuple[End, ...] = ()  # what could be read of it
    boxes: tuple[str, ...] = ()  # devices and panels it names without a port that can be used


class Clash(StrEnum):
    """How two rows contradict each other."""

    PORT_TWICE = "port used twice"
    LABEL_TWICE = "label on two cords"
    THREE_ENDS = "cord with three ends"
    TWO_LABELS = "cord with two labels"  # where the cord goes is not in doubt
    LABEL_ELSEWHERE = "label that does not match its row"  # where the cord goes is in doubt by its label alone
    FREE_AND_USED = "port free and used"
    JACK_TWICE = "jack behind two panel ports, or two jacks behind one"


@dataclass(frozen=True, slots=True)
class Contradiction:
    """Rows that cannot all be right."""

    clash: Clash  # how they contradict each other
    name: str  # of the port, the cord or the jack
    message: str  # in words
    rows: tuple[Origins, ...]  # each row that takes part
    places: tuple[str, ...] = ()  # DEVICE:PORT of the ports whose cords are in doubt by it

    @property
    def origins(self) -> Origins:
        """Return all rows."""
        return join(*self.rows)


@dataclass(frozen=True, slots=True)
class PanelPort:
    """A port of a patch panel."""

    name: str  # PANEL:PORT, or the port alone where the sheet names no panel
    panel: str  # "" when the sheet names none
    port: str  # as written
    jack: str = ""  # outlet on its jack side; "" when the sheet names none
    room: str = ""  # where the outlet is
    origins: Origins = ()  # rows that name it


@dataclass(frozen=True, slots=True)
class Jack:
    """An outlet."""

    name: str  # as written
    panel: str = ""  # name of the panel port it is wired to; "" when the sheet names none
    room: str = ""  # where it is
    origins: Origins = ()  # rows that name it


@dataclass(frozen=True, slots=True)
class Endpoint:
    """What hangs at the end of a cord."""

    at: str  # panel port, jack or DEVICE:PORT it hangs on
    text: str  # as written
    kinds: tuple[EndpointKind, ...]  # what the words name; OTHER when nobody placed them
    origins: Origins = ()  # rows that say so


@dataclass(frozen=True, slots=True)
class Sheet:
    """Everything a patch sheet says."""

    file: str  # name for messages
    cords: tuple[SheetCord, ...]  # in the order of the rows
    loose: tuple[LooseRow, ...] = ()  # rows that name a port and no cord
    doubts: tuple[Doubt, ...] = ()  # rows nothing was made of
    headings: tuple[Heading, ...] = ()  # all headings and what they were taken for
    contradictions: tuple[Contradiction, ...] = ()  # as far as the sheet alone shows them
    panels: Mapping[str, PanelPort] = field(default_factory=dict)  # by name
    jacks: Mapping[str, Jack] = field(default_factory=dict)  # by name
    endpoints: tuple[Endpoint, ...] = ()  # in the order of the rows
    skipped: int = 0  # rows above the headings, remarks, and headings that are repeated
    unsure: tuple[Doubt, ...] = ()  # cells that nobody is sure of in rows that were used
    remarks: tuple[str, ...] = ()  # tabs that are not read, hidden or taken for a panel, in words
    tables: tuple[Table, ...] = ()  # everything that is written in the file

    @property
    def rows(self) -> tuple[SheetCord | LooseRow, ...]:
        """Return all rows that something was made of."""
        return (*self.cords, *self.loose)

    @property
    def unplaced_headings(self) -> tuple[Heading, ...]:
        """Return the headings whose columns are not read."""
        return tuple(heading for heading in self.headings if heading.sense is None)
