"""What was read, a patch sheet and what was declared in; all boxes of a survey, its cords and its endings out."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace
from types import MappingProxyType

from vlancheck.dot1q.model import Device
from vlancheck.evidence import Fact, Kind, Origin, Origins
from vlancheck.places import split_place
from vlancheck.site.boxes import Boxes, Cord, Occupancy, Occupied
from vlancheck.site.chains import Chain, chains
from vlancheck.site.cordkinds import CordKind, cord_kind
from vlancheck.site.declaration import Declaration, DeclaredLink
from vlancheck.site.drawn import with_doubt, with_doubted_port
from vlancheck.site.ends import End, EndSort, NoEnd, read_end, spread_ends
from vlancheck.site.live import only_valid, surroundings
from vlancheck.site.pieces import pieces, runs
from vlancheck.site.placed import place_all, place_handoffs
from vlancheck.site.places import PlaceError
from vlancheck.site.plugged import Plugged
from vlancheck.site.ports import DefaultPort, Elsewhere, Ports
from vlancheck.site.reading import surveyed
from vlancheck.site.sheet import Contradiction, Doubt, LooseRow, Sheet, SheetCord
from vlancheck.site.spots import Spots
from vlancheck.site.strands import Node, Strand, names_in
from vlancheck.site.stringer import Stringer, Strung

__all__ = ["Boxes", "Cord", "Elsewhere", "Occupancy", "Occupied", "build"]

_NO_SEEN: Mapping[str, Origins] = MappingProxyType({})
_NO_TYPED: Mapping[str, str] = MappingProxyType({})


def build(
    declaration: Declaration,
    read: Iterable[Device],
    sheet: Sheet | None = None,
    *,
    survey: str = "",
    elsewhere: Callable[[], Elsewhere] | None = None,
    default_port: DefaultPort | None = None,
    seen: Mapping[str, Origins] = _NO_SEEN,
    distrusted: Mapping[str, Origins] = _NO_SEEN,
    earlier: Sheet | None = None,
    typed: Mapping[str, str] = _NO_TYPED,
) -> Boxes:
    """Return the boxes that captures, patch sheet and declaration make together.

    `elsewhere` tells what the other surveys know, and is asked only for a name that this one does not know.
    `default_port` makes a port that no capture prints by its family's defaults; None where it cannot.  `seen` are ports
    (DEVICE:PORT) at which a capture shows a MAC or a neighbour, `distrusted` boxes of whose captures nothing is proven.
    `earlier` is the patch sheet of the survey that the captures were taken in, where this one has another.  `typed`
    says at which ports (DEVICE:PORT) lines are to be pasted that change what they do.

    Raises SiteError, with file and line, for a name in site.yaml that is no place, two links at one port, and a box
    whose kind does not fit what is declared of it.  What is wrong with the rows of a sheet is a value, never an error.
    """
    made = _Builder(declaration, read, sheet, survey, elsewhere, default_port).boxes(seen)
    moved: dict[str, str] = {}
    if earlier is not None:
        then = _Builder(declaration, read, earlier, survey, elsewhere, default_port).boxes(seen)
        moved = _moved(then, made)
        made = _without_sightings(made, moved)
    bundles = {
        f"{device.name}:{port.name}": f"{device.name}:{port.bundle}"
        for device in made.devices.values()
        for port in device.ports.values()
        if port.bundle
    }
    cords = [(cord.one, cord.other) for cord in made.cords]
    moved = surroundings(cords, {**typed, **moved}, bundles)
    linked = {place for cord in made.cords for place in (cord.one, cord.other)} | {*made.handoffs}
    devices, not_seen = only_valid(made.devices, linked, moved)
    for name, why in distrusted.items():
        if name in devices:
            devices[name] = with_doubt(devices[name], why)
    return replace(made, devices=devices, not_seen=not_seen)


class _Builder:
    """Builds the boxes of one survey."""

    def __init__(
        self,
        declaration: Declaration,
        read: Iterable[Device],
        sheet: Sheet | None,
        survey: str,
        elsewhere: Callable[[], Elsewhere] | None,
        default_port: DefaultPort | None,
    ) -> None:
        self.declaration, self.given, self.survey = declaration, sheet, survey
        self.apart: tuple[Contradiction, ...] = ()
        self.power: tuple[SheetCord, ...] = ()
        if sheet:
            sheet, self.power, self.apart = _without_power(sheet)
        self.sheet = sheet
        self.rows: tuple[SheetCord | LooseRow, ...] = sheet.rows if sheet else ()
        self.doubts: list[Doubt] = list(sheet.doubts) if sheet else []
        in_sheet = frozenset(end.box.casefold() for row in self.rows for end in row.ends if end.box)
        self.ports = Ports(declaration, read, survey, elsewhere, default_port, in_sheet)
        self.names = names_in(self.rows, self.ports.kinds(), self.ports.panels)
        self.stringer = Stringer(self.names, self._wired)

    def boxes(self, seen: Mapping[str, Origins]) -> Boxes:
        """Return everything."""
        usable = self._usable(self.sheet) if self.sheet else None
        if usable:
            self.stringer.learn_jacks(usable)
        for link in self.declaration.links:
            self.stringer.strands += self._strands_of(link)
        if usable:
            self.stringer.add_rows(usable)
        for handoff in self.declaration.handoffs:
            self._wire_handoff(handoff.at)
        self.ports.finish()
        strung = self.stringer.strung()
        strings = chains(strung.strands, strung.broken)
        spots = Spots(self.ports, self.names, self.stringer, strung, strings, self.given)
        handoffs = place_handoffs(spots, self.declaration.handoffs)
        plugged = Plugged(self.rows, self.doubts, self.ports, self.stringer, strung, strings)
        rows = plugged.row_places()
        placed = place_all(spots, self.declaration, handoffs, rows)
        doubted = {name: rows for (sort, name), rows in strung.doubted.items() if sort is EndSort.PORT}
        endpoints = plugged.endpoints()
        plugs = plugged.plugs(handoffs, endpoints, seen)
        before = self.ports.before(self.names.panels)
        self._doubt_ports(doubted, strung)
        known = surveyed(self.sheet, self.names.devices, self.names.panels) if self.sheet else None
        analog = {
            port: chain.origins
            for chain in strings
            for port in chain.ports
            if any(cord_kind(cord.kind) is CordKind.ANALOG for strand in chain.strands for cord in strand.cords)
            and split_place(port)[0] not in self.ports.absent
        }
        return Boxes(
            devices=self.ports.devices,
            cords=tuple(_cord(chain) for chain in strings if len(chain.ports) == 2),
            handoffs=tuple(dict.fromkeys(place for handoff in handoffs for place in handoff.spot.places)),
            placed=placed,
            spots=spots,
            survey=self.survey,
            sheet=self.given,
            rows=tuple(rows),
            chains=strings,
            panels=known.panels if known else {},
            jacks=known.jacks if known else {},
            endpoints=endpoints,
            contradictions=(*strung.contradictions, *self.apart),
            doubts=tuple(self.doubts),
            doubted=doubted,
            analog=analog,
            pieces=pieces(self.rows, self.power, self.stringer.node),
            runs=runs(strings),
            absent=self.ports.absent,
            before=before,
            plugs=plugs,
        )

    # ---- cords -------------------------------------------------------------------------------------------------

    def _strands_of(self, link: DeclaredLink) -> list[Strand]:
        ends = [self._end_of_link(text, link) for text in (link.one, link.other)]
        if all(self._is_range(end) for end in ends):
            pairs = spread_ends(ends[0], ends[1])
            if isinstance(pairs, str):
                raise link.at.error(pairs, "give both ends as many ports")
        else:
            pairs = [(ends[0], ends[1])]
        made = []
        for pair in pairs:
            one, other = (self._link_node(end, link) for end in pair)
            if one.whole == other.whole:
                raise link.at.error(f"both ends of this link are {one.name}", "a cord joins two ports")
            made.append(Strand(one, other, origins=link.at.origins, at=link.at))
        return made

    def _end_of_link(self, text: str, link: DeclaredLink) -> End:
        renamed, _ = self.ports.renamed(text)
        end = read_end(EndSort.UNSAID, renamed, "", two_cells=False)
        if isinstance(end, NoEnd):
            raise link.at.error(f"{text!r} is no port: {end.why}", "write it as DEVICE:PORT, for example SORT-1:24")
        classed = self.names.classed(end)
        if classed.sort is EndSort.THING:
            try:
                device = self.ports.device(end.box or end.port)
            except PlaceError as error:
                if end.box:
                    raise link.at.error(error.message, error.hint) from error
                hint = "write it as DEVICE:PORT, for example SORT-1:24"
                raise link.at.error(f"{text!r} is no port", hint) from error
            raise link.at.error(f"{device} stands without a port", "write it as DEVICE:PORT, for example SORT-1:24")
        return classed

    def _is_range(self, end: End) -> bool:
        """Tell whether an end is no port of that very name, so that it may be a range of ports."""
        if end.sort is not EndSort.PORT:
            return True
        device = self.ports.devices.get(end.box)
        return device is None or end.port not in device.ports

    def _link_node(self, end: End, link: DeclaredLink) -> Node:
        if end.sort is not EndSort.PORT:
            node = self.stringer.node(end)
            assert node is not None, "only a port can be one that its device has not"
            return node
        try:
            return Node(EndSort.PORT, self.ports.wired(self.ports.device(end.box), end.port))
        except PlaceError as error:
            raise link.at.error(error.message, error.hint) from error

    def _usable(self, sheet: Sheet) -> Sheet:
        """Return the sheet without the rows that name a port which its device cannot have; they become doubts."""
        cords = tuple(row for row in sheet.cords if self._right(row))
        loose = tuple(row for row in sheet.loose if self._right(row))
        self.rows = (*cords, *loose)
        return replace(sheet, cords=cords, loose=loose)

    def _right(self, row: SheetCord | LooseRow) -> bool:
        for end in row.ends:
            classed = self.names.classed(end)
            whole = classed.sort is EndSort.THING and self.names.device(classed.name)
            error: PlaceError | None = None
            if whole:
                error = PlaceError(f"{classed.name} stands without a port", "")
            elif classed.sort is EndSort.PORT:
                try:
                    self._place(classed, row.origins)
                except PlaceError as found:
                    error = found
            if error is not None and isinstance(row, SheetCord) and cord_kind(row.kind) is CordKind.STACK:
                return False  # stacking ports are no ports of the network
            if error is not None:
                why = f"{error.message} ({error.hint})" if error.hint else error.message
                others = tuple(other for other in row.ends if other is not end)
                self.doubts.append(Doubt(why, row.origins, others, (whole or classed.box,)))
                return False
        return True

    def _wired(self, end: End) -> str | None:
        try:
            return self._place(end, ())
        except PlaceError:
            return None

    def _place(self, end: End, origins: Origins) -> str:
        """Return the `DEVICE:PORT` of an end in the sheet; a box that only the sheet knows is absent."""
        device = self.names.device(end.box) or end.box
        if device not in self.ports.devices:
            known = self.ports.known_elsewhere(device)
            self.ports.draw_absent(device, origins if known is None else ())
        return self.ports.wired(device, end.port)

    def _wire_handoff(self, text: str) -> None:
        """Give a box that nobody captured the port of a handoff; anything else is placed later."""
        device, port = split_place(self.ports.renamed(text)[0])
        found = self.names.device(device)
        if port and found in self.ports.devices and found not in self.ports.captured:
            self.ports.wired(found, port)

    def _doubt_ports(self, doubted: Mapping[str, Origins], strung: Strung) -> None:
        """Let nothing be proven at the ports whose cords are contradicted."""
        for place, rows in doubted.items():
            said = [clash.message for clash in strung.contradictions if place in clash.places]
            why = Origin(Kind.ASSUMED, "; ".join(said), settle=f"trace the cord at {place} and mend the sheet")
            device, port = split_place(place)
            self.ports.devices[device] = with_doubted_port(self.ports.devices[device], port, (why, *rows))


def _without_power(sheet: Sheet) -> tuple[Sheet, tuple[SheetCord, ...], tuple[Contradiction, ...]]:
    """Return the sheet without its power cords, these, and what they contradict among themselves."""
    power = tuple(cord for cord in sheet.cords if cord_kind(cord.kind) is CordKind.POWER)
    if not power:
        return sheet, (), ()
    cords = tuple(cord for cord in sheet.cords if cord_kind(cord.kind) is not CordKind.POWER)
    return replace(sheet, cords=cords), power, surveyed(replace(sheet, cords=power, loose=())).contradictions


def _moved(then: Boxes, now: Boxes) -> dict[str, str]:
    """Return the ports whose cord leads elsewhere than then, and what changed."""
    was, new = ({port: chain.ends for chain in boxes.chains for port in chain.ports} for boxes in (then, now))
    changed = {}
    for port in {*was, *new}:
        ends = [{node.name for node in ends.get(port, ())} for ends in (was, new)]
        if ends[0] != ends[1]:
            changed[port] = f"the cord at {port} was moved"
    return changed


def _without_sightings(boxes: Boxes, moved: Mapping[str, str]) -> Boxes:
    """Return the boxes without what was seen at ports whose cord was moved after that: addresses, neighbours, link."""
    devices = dict(boxes.devices)
    for place, what in moved.items():
        device, name = split_place(place)
        port = devices[device].ports.get(name) if device in devices else None
        if port is None:
            continue
        up = port.link.value is True and any(one.file for one in port.link.origins)
        if port.seen or up:
            link = Fact(True, (Origin(Kind.ASSUMED, f"{what} since its link was captured; it is taken as up"),))
            fresh = replace(port, seen=(), link=link if up else port.link)
            devices[device] = replace(devices[device], ports={**devices[device].ports, name: fresh})
    seen = {place: origins for place, origins in boxes.plugs.seen.items() if place not in moved}
    return replace(boxes, devices=devices, plugs=replace(boxes.plugs, seen=seen))


def _cord(chain: Chain) -> Cord:
    one, other = chain.ports
    return Cord(one, other, chain.origins, chain)
