"""Any name of a place in, what it stands for in one survey out: a port, panel port, jack, cord, circuit or MAC."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from functools import cached_property

from vlancheck.dot1q.macs import mac_address
from vlancheck.dot1q.tags import Frame
from vlancheck.evidence import Origins, join
from vlancheck.places import split_place
from vlancheck.site.chains import Chain
from vlancheck.site.ends import EndSort, NoEnd, Side, read_end
from vlancheck.site.places import PlaceError, nearest, spread
from vlancheck.site.ports import Ports
from vlancheck.site.sheet import Sheet
from vlancheck.site.sightings import Addresses
from vlancheck.site.strands import Names, panel_key
from vlancheck.site.stringer import Stringer, Strung


class SpotKind(StrEnum):
    """What sort of name a place was given."""

    PORT = "port"
    PANEL_PORT = "panel port"
    JACK = "jack"
    CORD = "cord"
    CIRCUIT = "circuit"
    MAC = "MAC"


@dataclass(frozen=True, slots=True)
class Spot:
    """What one name stands for in one survey."""

    kind: SpotKind  # sort of name
    name: str  # DEVICE:PORT, panel port, jack, label, circuit or MAC, spelled as the survey has it
    places: tuple[str, ...]  # DEVICE:PORT it stands for; () when nothing is patched there, two for a cord between ports
    frame: Frame = ()  # tags of the sub-interface that was named; () when it was no sub-interface
    interface: str = ""  # name of the sub-interface; "" when it was none
    absent: bool = False  # this survey has no capture of the device, or no row of the panel port, jack or cord
    doubt: Origins = ()  # rows that contradict each other about its cord
    origins: Origins = ()  # rows and lines that lead from the name to the ports

    @property
    def place(self) -> str:
        """Return the only `DEVICE:PORT`, or "" when there is none or more than one."""
        return self.places[0] if len(self.places) == 1 else ""


class Spots:
    """Finds what names stand for in one survey."""

    def __init__(
        self,
        ports: Ports,
        names: Names,
        stringer: Stringer,
        strung: Strung,
        chains: Sequence[Chain],
        sheet: Sheet | None,
    ) -> None:
        """Take the wired survey."""
        self.ports, self.names, self.stringer, self.strung, self.sheet = ports, names, stringer, strung, sheet
        self.chains = tuple(chains)
        self.circuits: dict[str, Spot] = {}
        self.passing: dict[str, Chain] = {name: chain for chain in chains for name in chain.passed}
        self.labelled: dict[str, list[Chain]] = {}
        for chain in chains:
            for label in dict.fromkeys(label.casefold() for label in chain.labels):
                self.labelled.setdefault(label, []).append(chain)
        self.jacks = {jack.casefold(): jack for jack in strung.jack_of.values()}
        self.jacks |= {
            node.name.casefold(): node.name
            for strand in strung.strands
            for node in strand.nodes
            if node.sort is EndSort.JACK
        }
        self.labels = {strand.label.casefold(): strand.label for strand in strung.strands if strand.label}
        self.known_panels = {*stringer.spelled.values()}

    def find(self, text: str) -> tuple[Spot, ...]:
        """Return what `text` stands for: one spot, or one for each port of a range.

        Tried in this order: jacks, circuits and labels of that very name; MAC addresses, at every port where one hangs;
        ports and sub-interfaces of devices; panel ports; ranges of either.  Raises PlaceError, with the nearest names,
        for a name that is none or means several.
        """
        text, rename = self.ports.renamed(text.strip())
        try:
            return self._find(text)
        except PlaceError as error:
            if rename is None:
                raise
            hint = f"{rename.old} is called {rename.new} in this survey, by {rename.file}:{rename.line}; {error.hint}"
            raise PlaceError(error.message, hint) from error

    def port(self, place: str) -> Spot:
        """Return the spot of a `DEVICE:PORT` of the survey."""
        return Spot(
            SpotKind.PORT,
            place,
            (place,),
            absent=split_place(place)[0] in self.ports.absent,
            doubt=self._doubt(EndSort.PORT, place),
            origins=self.ports.absent.get(split_place(place)[0], ()),
        )

    def panel_port(self, name: str) -> Spot:
        """Return the spot of a panel port of the survey: the port at its switch side, where it has one."""
        chain = self.passing.get(name)
        places, origins = (_switch_side(chain, name), chain.origins) if chain else ((), ())
        return Spot(SpotKind.PANEL_PORT, name, places, doubt=self._doubt(EndSort.PANEL, name), origins=origins)

    def _find(self, text: str) -> tuple[Spot, ...]:
        found = self._by_name(text)
        if len(found) > 1:
            told = " and ".join(f"the {spot.kind} {spot.name}" for spot in found)
            raise PlaceError(f"{text!r} may mean {told}", "write DEVICE:PORT")
        if found:
            return (found[0],)
        if mac := mac_address(text):
            return self._mac(text, mac)
        device, port = split_place(text)
        if not device or not port:
            return self._alone(text)
        box = self._box(device)
        if box is None:
            try:
                box = self.ports.device(device)
            except PlaceError as error:
                return (self._other_sheets(text, error),)
        if box in self.ports.devices:
            return self._of_device(box, port)
        return self._of_panel(text, box, port)

    def _by_name(self, text: str) -> list[Spot]:
        """Return the jacks, circuits and labels that are called `text`, each place once."""
        key, found = text.casefold(), []
        if key in self.jacks:
            found.append(self._jack(self.jacks[key]))
        if key in self.circuits:
            found.append(self.circuits[key])
        if key in self.labels:
            found.append(self._cord(self.labels[key]))
        return found if len({spot.places for spot in found}) > 1 else found[:1]

    @cached_property
    def _addresses(self) -> Addresses:
        return Addresses(self.ports.devices, (chain.ports for chain in self.chains))

    def _mac(self, text: str, mac: str) -> tuple[Spot, ...]:
        """Return the ports at which an address hangs; a port that leads to another switch only passes it on."""
        here, leading = self._addresses.places(mac)
        if here:
            return tuple(
                Spot(SpotKind.MAC, mac, (place,), doubt=self._doubt(EndSort.PORT, place), origins=origins)
                for place, origins in here.items()
            )
        if leading:
            hint = "capture the table of addresses of the switch behind, or write DEVICE:PORT"
            raise PlaceError(f"{text} was seen only at ports to other switches: {', '.join(leading)}", hint)
        hint = "capture the table of addresses of the switch it hangs at; " + nearest(mac, self._addresses.known)
        raise PlaceError(f"{text} was seen nowhere", hint.removesuffix("; "))

    def _alone(self, text: str) -> tuple[Spot, ...]:
        """Return what a name without a colon stands for."""
        end = read_end(EndSort.UNSAID, text, "", two_cells=False)
        if not isinstance(end, NoEnd):
            classed = self.names.classed(end)
            if classed.sort is EndSort.PANEL and (classed.box or panel_key(classed.port) in self.names.bare):
                return self._find(classed.name) if classed.box else (self._known_panel_port(text, classed.port),)
            if classed.sort is EndSort.PORT:
                return self._find(classed.name)
        names = [*self.jacks.values(), *self.labels.values(), *(spot.name for spot in self.circuits.values())]
        try:
            device = self.ports.device(text)
        except PlaceError:
            names += [*self.known_panels, *self.ports.devices]
            hint = f"write DEVICE:PORT, for example SORT-1:24, or a jack, a cord or a circuit; {nearest(text, names)}"
            return (self._other_sheets(text, PlaceError(f"{text!r} is no port", hint)),)
        known = list(self.ports.devices[device].ports)
        more = ", ..." if len(known) > 8 else ""
        raise PlaceError(f"{text!r} is a device", f"write DEVICE:PORT; its ports: {', '.join(known[:8])}{more}")

    def _box(self, name: str) -> str | None:
        """Return the device or panel of this survey that is called `name`, or None."""
        for names in (self.ports.devices, self.names.panels):
            found = [one for one in names if one.casefold() == name.casefold()]
            if name in names or len(found) == 1:
                return name if name in names else found[0]
        return None

    def _of_device(self, device: str, port: str) -> tuple[Spot, ...]:
        try:
            return (self._device_port(device, port),)
        except PlaceError:
            if not (many := spread(port)):
                raise
            return tuple(self._device_port(device, one) for one in many)

    def _device_port(self, device: str, port: str) -> Spot:
        place, interface = self.ports.named(device, port)
        spot = self.port(place)
        if interface is None:
            return spot
        if interface.frame is None:
            hint = f"write {place} and the frame"
            raise PlaceError(f"{device}:{interface.name} takes more than one frame", hint)
        return Spot(
            spot.kind, place, spot.places, interface.frame, interface.name, spot.absent, spot.doubt, spot.origins
        )

    def _of_panel(self, text: str, panel: str, port: str) -> tuple[Spot, ...]:
        many = () if panel_key(f"{panel}:{port}") in self.stringer.spelled else spread(port)
        if many:
            return tuple(self._known_panel_port(text, f"{panel}:{one}") for one in many)
        return (self._known_panel_port(text, f"{panel}:{port}"),)

    def _known_panel_port(self, text: str, name: str) -> Spot:
        """Return the spot of a panel port; one that no row names has nothing patched, where its panel allows it."""
        key = panel_key(name)
        if key in self.stringer.spelled:
            return self.panel_port(self.stringer.spelled[key])
        panel, port = split_place(name)
        others = [split_place(known)[1] for known in self.known_panels if split_place(known)[0] == panel]
        if _fits(port, others):
            return Spot(SpotKind.PANEL_PORT, name, ())
        error = PlaceError(f"{panel} has no port {port!r}", nearest(name, sorted(self.known_panels)))
        return self._other_sheets(text, error)

    def _jack(self, jack: str) -> Spot:
        if panel := self.stringer.panel_of.get(jack.casefold()):
            spot = self.panel_port(panel)
            return Spot(SpotKind.JACK, jack, spot.places, doubt=spot.doubt, origins=spot.origins)
        chain = self.passing.get(jack)
        places = _switch_side(chain, jack) if chain else ()
        origins = chain.origins if chain else ()
        return Spot(SpotKind.JACK, jack, places, doubt=self._doubt(EndSort.JACK, jack), origins=origins)

    def _cord(self, label: str) -> Spot:
        chains = self.labelled.get(label.casefold(), [])
        strands = [strand for strand in self.strung.strands if strand.label.casefold() == label.casefold()]
        places = dict.fromkeys(place for chain in chains for place in chain.ports)
        doubt = join(*(self._doubt(*node.whole) for strand in strands for node in strand.nodes))
        origins = join(*(chain.origins for chain in chains), *(strand.origins for strand in strands))
        return Spot(SpotKind.CORD, label, tuple(places), doubt=doubt, origins=origins)

    def _other_sheets(self, text: str, error: PlaceError) -> Spot:
        """Return the spot of a name that only another survey's sheet knows; `error` when none does."""
        for cord in self.sheet.cords if self.sheet else ():
            if cord.label and cord.label.casefold() == text.casefold():
                what = f"the cord {cord.label} joins no ports of the network: {cord.one.name} to {cord.other.name}"
                raise PlaceError(what, f"its kind is {cord.kind}" if cord.kind else "")
        for sheet in self.ports.elsewhere.sheets:
            for panel in sheet.panels.values():
                if panel_key(panel.name) == panel_key(text):
                    return Spot(SpotKind.PANEL_PORT, panel.name, (), absent=not self._covers(panel.panel))
            for jack in sheet.jacks.values():
                if jack.name.casefold() == text.casefold():
                    return Spot(SpotKind.JACK, jack.name, (), absent=self.sheet is None)
            for cord in sheet.cords:
                if cord.label and cord.label.casefold() == text.casefold():
                    return Spot(SpotKind.CORD, cord.label, (), absent=self.sheet is None)
        raise error

    def _covers(self, panel: str) -> bool:
        """Tell whether this survey's sheet names the panel."""
        return self.sheet is not None and any(split_place(name)[0] == panel for name in self.known_panels)

    def _doubt(self, sort: EndSort, name: str) -> Origins:
        return self.strung.doubted.get((sort, name), ())


def _switch_side(chain: Chain, name: str) -> tuple[str, ...]:
    """Return the port at the switch side of a panel port or jack that a chain passes, or all its ports."""
    sides = [socket.side for socket in chain.sockets if socket.name == name and socket.side is not Side.UNSAID]
    if len(chain.ports) < 2 or len(sides) < 2:
        return chain.ports
    return chain.ports[:1] if sides[0] is Side.SWITCH else chain.ports[1:]


def _fits(port: str, others: Sequence[str]) -> bool:
    """Tell whether a panel may have a port of this name: the words of the others, a number of at most 96."""
    wanted = re.fullmatch(r"(\D*)0*(\d{1,4})", port)
    words = {found[1].casefold() for other in others if (found := re.fullmatch(r"(\D*)\d+", other))}
    return wanted is not None and wanted[1].casefold() in words and 1 <= int(wanted[2]) <= 96
