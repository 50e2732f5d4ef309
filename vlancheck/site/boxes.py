"""All boxes of one survey, how they are joined, and what is known of every port, jack and cord, as one value."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from vlancheck.dot1q.model import Device, PortKind
from vlancheck.evidence import Kind, Origin, Origins, join
from vlancheck.places import split_place
from vlancheck.site.chains import Chain
from vlancheck.site.pieces import Piece, Run
from vlancheck.site.placed import Placed
from vlancheck.site.sheet import Contradiction, Doubt, Endpoint, Jack, PanelPort, PlacedRow, Sheet
from vlancheck.site.spots import Spots


@dataclass(frozen=True, slots=True)
class Cord:
    """Two ports joined by a cord or by a chain of cords through panels, with who says so."""

    one: str  # DEVICE:PORT
    other: str  # DEVICE:PORT
    origins: Origins  # lines of site.yaml and rows of the sheet
    chain: Chain | None = None  # the cords and panel ports between them


class Occupancy(StrEnum):
    """Whether something is plugged into a port."""

    OCCUPIED = "occupied"
    EMPTY = "empty"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True)
class Occupied:
    """Whether something is plugged into a port, and who says so."""

    state: Occupancy  # the answer
    origins: Origins  # rows, lines and captures behind it


@dataclass(frozen=True, slots=True)
class Plugs:
    """What sheet, site.yaml and captures say of the ports that something is plugged into."""

    used: Mapping[str, Origins] = field(default_factory=dict)  # DEVICE:PORT -> cords, handoffs, endpoints in it
    free: Mapping[str, Origins] = field(default_factory=dict)  # DEVICE:PORT -> rows that call it free
    unclear: Mapping[str, Origins] = field(default_factory=dict)  # DEVICE:PORT or DEVICE -> doubtful rows that name it
    covered: Mapping[str, Origins] = field(default_factory=dict)  # DEVICE -> the first row that names it
    seen: Mapping[str, Origins] = field(default_factory=dict)  # DEVICE:PORT -> captures that show a MAC or neighbour


@dataclass(frozen=True, slots=True)
class Boxes:
    """All boxes of one survey and how they are joined."""

    devices: dict[str, Device]  # by name
    cords: tuple[Cord, ...]  # links between devices, in the order written
    handoffs: tuple[str, ...]  # DEVICE:PORT
    placed: Placed  # what is declared, at the ports of this survey
    spots: Spots  # finds what any name stands for
    survey: str = ""  # name of the survey
    sheet: Sheet | None = None  # its patch sheet
    rows: tuple[PlacedRow, ...] = ()  # rows of the sheet at the ports of this survey
    chains: tuple[Chain, ...] = ()  # every chain of cords, also those that end at a jack
    panels: Mapping[str, PanelPort] = field(default_factory=dict)  # by name
    jacks: Mapping[str, Jack] = field(default_factory=dict)  # by name
    endpoints: Mapping[str, Endpoint] = field(default_factory=dict)  # DEVICE:PORT -> what hangs at its end
    contradictions: tuple[Contradiction, ...] = ()  # rows that cannot all be right
    doubts: tuple[Doubt, ...] = ()  # rows nothing was made of
    doubted: Mapping[str, Origins] = field(default_factory=dict)  # DEVICE:PORT -> rows that contradict each other
    analog: Mapping[str, Origins] = field(default_factory=dict)  # DEVICE:PORT -> rows that put an analog cord into it
    pieces: tuple[Piece, ...] = ()  # what each row of the sheet says, by the names of this survey
    runs: tuple[Run, ...] = ()  # the cords of each chain, in their order
    absent: Mapping[str, Origins] = field(default_factory=dict)  # device -> why this survey has no capture of it
    before: Mapping[str, str] = field(default_factory=dict)  # DEVICE:PORT, panel port or device -> its name before
    plugs: Plugs = field(default_factory=Plugs)  # what is plugged in
    not_seen: Mapping[str, Origins] = field(default_factory=dict)  # jack (DEVICE:PORT) -> capture that shows no link

    def occupancy(self, place: str) -> Occupied:
        """Return whether something is plugged into the port at `place`; KeyError when there is no such port.

        A sheet that names a device covers it: a port of that device without a row has nothing plugged in, unless a
        capture shows a link or a MAC there.  A bundle is occupied when one of its members is.
        """
        device, name = split_place(place)
        port = self.devices[device].ports[name]
        members = self.devices[device].members(name)
        if members and place not in self.plugs.used and place not in self.plugs.seen:
            return self._bundle(device, members)
        if port.kind is PortKind.INSIDE:
            return Occupied(Occupancy.OCCUPIED, port.origins)
        if place in self.doubted:
            return Occupied(Occupancy.UNKNOWN, self.doubted[place])
        for shown in (self.plugs.used, self.plugs.seen):
            if place in shown:
                return Occupied(Occupancy.OCCUPIED, shown[place])
        link = port.link.origins if any(origin.kind in _CAPTURED for origin in port.link.origins) else ()
        if link and port.link.value is True:
            return Occupied(Occupancy.OCCUPIED, link)
        for named in (place, device):
            if named in self.plugs.unclear and place not in self.plugs.free:
                return Occupied(Occupancy.UNKNOWN, self.plugs.unclear[named])
        if place in self.plugs.free:
            return Occupied(Occupancy.EMPTY, join(self.plugs.free[place], link))
        if device in self.plugs.covered:
            return Occupied(Occupancy.EMPTY, join(self._no_row(device, place), link))
        if place in self.not_seen or (link and port.link.value is False):
            return Occupied(Occupancy.EMPTY, self.not_seen.get(place, link))
        return Occupied(Occupancy.UNKNOWN, self._nobody_says(place))

    def _bundle(self, device: str, members: list[str]) -> Occupied:
        each = [self.occupancy(f"{device}:{member}") for member in members]
        for state in (Occupancy.OCCUPIED, Occupancy.UNKNOWN):
            if found := [one.origins for one in each if one.state is state]:
                return Occupied(state, join(*found))
        return Occupied(Occupancy.EMPTY, join(*(one.origins for one in each)))

    def _no_row(self, device: str, place: str) -> Origins:
        row = self.plugs.covered[device][0]
        text = f"no row names {place}; the sheet covers {device}, since this row names it: {row.text}"
        return (Origin(Kind.SHEET, text, file=row.file, line=row.line, sheet=row.sheet),)

    def _nobody_says(self, place: str) -> Origins:
        text = f"nothing says whether something is plugged into {place}"
        settle = f"a patch sheet that names {split_place(place)[0]}, or its ports' link states"
        return (Origin(Kind.ASSUMED, text, settle=settle),)


_CAPTURED = (Kind.LINE, Kind.SHOW)
