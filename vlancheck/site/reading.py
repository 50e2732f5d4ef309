"""A patch sheet in, what it says out: cords, panel ports, jacks, endpoints, and the rows that say too little."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from types import MappingProxyType

from vlancheck.dot1q.model import DeviceKind
from vlancheck.evidence import Kind, Origin, Origins, join
from vlancheck.site.endpoints import EndpointKind, endpoint_kinds
from vlancheck.site.ends import End, EndSort, NoEnd, is_doubt, is_free, is_panel_name, misread, read_end, spread_ends
from vlancheck.site.headings import Layout, Sense
from vlancheck.site.places import spread
from vlancheck.site.rows import Row
from vlancheck.site.sheet import Doubt, Endpoint, Jack, LooseRow, PanelPort, Sheet, SheetCord
from vlancheck.site.strands import names_in
from vlancheck.site.stringer import Stringer
from vlancheck.site.tables import Laid, passed_by, read_tables

_NO_DEVICES: Mapping[str, DeviceKind | None] = MappingProxyType({})


def read_sheet(path: str | Path, shown: str = "") -> Sheet:
    """Return what the patch sheet at `path`, called `shown` in messages, says.

    In a text file cells are parted by commas, semicolons, tabs or bars; the text is UTF-8, UTF-16 with a mark or
    Windows-1252.  Of a workbook (XLSX) every tab with headings is read.
    Raises SiteError, with file and line, for a file that cannot be read, is no sheet, or has no row of headings.
    """
    path = Path(path)
    shown = shown or path.as_posix()
    return sheet_of(read_tables(path, shown), shown)


def sheet_of(laid: Sequence[Laid], shown: str) -> Sheet:
    """Return what tables with the meaning of their columns say; the sheet is called `shown` in messages."""
    parts = [_Rows(shown, layout).sheet(table.rows) for table, layout in laid if layout is not None]
    return surveyed(
        Sheet(
            shown,
            tuple(cord for part in parts for cord in part.cords),
            tuple(row for part in parts for row in part.loose),
            tuple(doubt for part in parts for doubt in part.doubts),
            tuple(heading for part in parts for heading in part.headings),
            skipped=sum(part.skipped for part in parts),
            unsure=tuple(doubt for part in parts for doubt in part.unsure),
            remarks=passed_by(laid),
            tables=tuple(table for table, _ in laid),
        )
    )


class _Rows:
    """Reads the rows of one table."""

    def __init__(self, shown: str, layout: Layout) -> None:
        self.shown, self.layout = shown, layout
        self.cords: list[SheetCord] = []
        self.loose: list[LooseRow] = []
        self.doubts: list[Doubt] = []
        self.unsure: list[Doubt] = []

    def sheet(self, rows: Sequence[Row]) -> Sheet:
        """Return the sheet that all rows of the table make, without what they say together."""
        start = rows.index(self.layout.row)
        below = [row for row in rows[start + 1 :] if not row.remark and row.cells != self.layout.row.cells]
        pairs = [(row, self._ends(row)) for row in below]
        names = _names_like_ranges(end for _, ends in pairs for end in ends if isinstance(end, End))
        for row, (one, other) in pairs:
            self._row(row, one, other, names)
        return Sheet(
            self.shown,
            tuple(self.cords),
            tuple(self.loose),
            tuple(self.doubts),
            self.layout.headings,
            skipped=len(rows) - len(below) - 1,
            unsure=tuple(self.unsure),
        )

    def _ends(self, row: Row) -> tuple[End | NoEnd, End | NoEnd]:
        ends = []
        for columns in (self.layout.one, self.layout.other):
            box, port = columns.cells(row)
            by_tab = columns.box is None and bool(box)
            two_cells = by_tab or (columns.box is not None and columns.port is not None)
            ends.append(read_end(EndSort.PANEL if by_tab else columns.sort, box, port, two_cells=two_cells))
        jack = self._clear(row, Sense.JACK)
        for number, end in enumerate(ends):
            known = ends[1 - number]
            if jack and isinstance(end, NoEnd) and end.blank and isinstance(known, End) and _is_port(known):
                ends[number] = End(EndSort.JACK, "", jack, text=jack)
        return ends[0], ends[1]

    def _row(self, row: Row, one: End | NoEnd, other: End | NoEnd, names: frozenset[tuple[str, str]]) -> None:
        width = len(self.layout.row.cells)
        if any(row.cells[width:]):
            self._doubt(row, f"it has {len(row.cells)} cells under {width} headings", one, other)
        elif isinstance(one, End) and isinstance(other, End):
            self._cord(row, one, other, names)
        elif isinstance(one, End) and isinstance(other, NoEnd):
            self._one_end(row, one, other)
        elif isinstance(one, NoEnd) and isinstance(other, End):
            self._one_end(row, other, one)
        else:
            why = [end.why for end in (one, other) if isinstance(end, NoEnd) and not end.blank]
            self._doubt(row, "; ".join(why) or "it names neither end", one, other)
        self._note_unsure(row)

    def _cord(self, row: Row, one: End, other: End, names: frozenset[tuple[str, str]]) -> None:
        if (one.sort, one.name.casefold()) == (other.sort, other.name.casefold()) and one.sort is not EndSort.THING:
            self._doubt(row, f"both ends are {one.name}", one, other)
            return
        pairs = spread_ends(one, other, literal=tuple(_range_key(end) in names for end in (one, other)))
        if isinstance(pairs, str):
            self._doubt(row, pairs, one, other)
            return
        count = len(pairs)
        label, label_note = _spread_cell(self._clear(row, Sense.LABEL), count, "label")
        jack, jack_note = _spread_cell(self._jack(row, one, other), count, "jack")
        note = "; ".join(text for text in (self.layout.note(row), label_note, jack_note) if text)
        for number, (mine, theirs) in enumerate(pairs):
            self.cords.append(
                SheetCord(
                    one=mine,
                    other=theirs,
                    label=label[number],
                    kind=self.layout.cell(row, Sense.KIND),
                    colour=self.layout.cell(row, Sense.COLOUR),
                    length=self.layout.cell(row, Sense.LENGTH),
                    serves=self._serves(row),
                    hold=self.layout.cell(row, Sense.HOLD),
                    note=note,
                    room=self.layout.cell(row, Sense.ROOM),
                    jack=jack[number],
                    origins=self._origins(row),
                )
            )

    def _one_end(self, row: Row, end: End, missing: NoEnd) -> None:
        """Take a row that names one end only: a free port, a port without a cord, else a doubt."""
        cord = self._clear(row, Sense.LABEL) or self.layout.cell(row, Sense.LENGTH)
        from_to = self.layout.one.of is Sense.FROM_BOX and self.layout.other.of is Sense.TO_BOX
        serves = self._serves(row) if self.layout.other.of is not Sense.SERVES else ""
        if not missing.free and not missing.blank:
            self._doubt(row, missing.why, end, missing)
        elif missing.blank and (cord or (from_to and not serves)):
            self._doubt(row, f"the cord has one end, {end.name}", end, missing)
        elif missing.blank and end.sort is EndSort.PORT and not serves:
            self._doubt(row, f"nothing says where {end.name} leads", end, missing)
        elif missing.blank and end.sort not in (EndSort.JACK, EndSort.THING) and spread(end.port):
            self._doubt(row, f"{end.name} is a range without an other end", end, missing)
        else:
            many = (
                spread(end.port) if missing.free and end.sort in (EndSort.PORT, EndSort.PANEL, EndSort.UNSAID) else ()
            )
            for one in [replace(end, port=port) for port in many] or [end]:
                self._loose(row, one, serves, free=missing.free and not serves)

    def _loose(self, row: Row, end: End, serves: str, *, free: bool) -> None:
        self.loose.append(
            LooseRow(
                end,
                free,
                serves,
                self.layout.cell(row, Sense.HOLD),
                self.layout.note(row),
                self.layout.cell(row, Sense.ROOM),
                "" if end.sort is EndSort.JACK else self._clear(row, Sense.JACK),
                self._origins(row),
            )
        )

    def _serves(self, row: Row) -> str:
        """Return what is served; an unsure word for a thing counts, since it may be a line that nobody may touch."""
        text = self.layout.cell(row, Sense.SERVES)
        named = endpoint_kinds(text) not in ((), (EndpointKind.OTHER,)) and not misread(text)
        return text if named else self._clear(row, Sense.SERVES)

    def _clear(self, row: Row, sense: Sense) -> str:
        """Return a cell, or "" where it says that nobody knows or that nothing is there."""
        text = self.layout.cell(row, sense)
        return "" if is_doubt(text) or is_free(text) or self._misread(sense, text) else text

    def _misread(self, sense: Sense, text: str) -> str:
        """Return why a cell cannot be what somebody wrote; a date is no matter where people write freely."""
        return misread(text) if sense in (Sense.LABEL, Sense.JACK) or text.startswith("=") else ""

    def _note_unsure(self, row: Row) -> None:
        """List the cells, beside the ends, that nobody is sure of."""
        for sense in (Sense.LABEL, Sense.JACK, Sense.SERVES):
            text = self.layout.cell(row, sense)
            why = self._misread(sense, text) or (f"it says {text!r}" if is_doubt(text) else "")
            if why and sense not in (self.layout.one.of, self.layout.other.of):
                self.unsure.append(Doubt(f"{sense}: {why}", self._origins(row)))

    def _jack(self, row: Row, one: End, other: End) -> str:
        """Return the outlet of the row's panel port; the column is an end itself where it stands for one."""
        return "" if EndSort.JACK in (one.sort, other.sort) else self._clear(row, Sense.JACK)

    def _doubt(self, row: Row, why: str, *ends: End | NoEnd) -> None:
        known = tuple(end for end in ends if isinstance(end, End))
        boxes = tuple(end.box for end in ends if isinstance(end, NoEnd) and end.box)
        self.doubts.append(Doubt(why, self._origins(row), known, boxes))

    def _origins(self, row: Row) -> Origins:
        return (Origin(Kind.SHEET, row.text, file=self.shown, line=row.line, sheet=row.tab),)


def _is_port(end: End) -> bool:
    """Tell whether an end is a device's port, as far as headings and its name say."""
    return end.sort is EndSort.PORT or (end.sort is EndSort.UNSAID and not is_panel_name(end.box))


def _range_key(end: End) -> tuple[str, str] | None:
    """Return what the names of one row of a panel share, when they look like ranges: `1-02`, `1-03`."""
    found = re.fullmatch(r"(.*?\d+)\s*-\s*\d+", end.port)
    return (end.box.casefold(), found[1].casefold()) if found else None


def _names_like_ranges(ends: Iterable[End]) -> frozenset[tuple[str, str]]:
    """Return the starts that several rows have: ranges would overlap, so `1-02` and `1-03` are names of ports."""
    seen = {(key, end.port.casefold()) for end in ends if (key := _range_key(end)) is not None}
    counted = Counter(key for key, _ in seen)
    return frozenset(key for key, count in counted.items() if count > 1)


def _spread_cell(text: str, count: int, what: str) -> tuple[list[str], str]:
    """Return the cell for each of `count` cords, and what is left for the note when it is not one for each."""
    if count == 1:
        return [text], ""
    many = spread(text)
    if len(many) == count:
        return list(many), ""
    return [""] * count, f"{what} {text}" if text else ""


def surveyed(sheet: Sheet, devices: Mapping[str, DeviceKind | None] = _NO_DEVICES, panels: Iterable[str] = ()) -> Sheet:
    """Return the sheet with what its rows say together: panel ports, jacks, endpoints, contradictions.

    `devices` and `panels` are the boxes that captures and site.yaml know by name.
    """
    names = names_in(sheet.rows, devices, panels)
    stringer = Stringer(names, lambda end: end.name)
    stringer.learn_jacks(sheet)
    stringer.add_rows(sheet)
    strung = stringer.strung()
    found_panels: dict[str, PanelPort] = {}
    jacks: dict[str, Jack] = {}
    endpoints: list[Endpoint] = []
    for row in sheet.rows:
        ends = [names.classed(end) for end in row.ends]
        for end in ends:
            if end.sort is EndSort.PANEL:
                name = stringer.panel_name(end)
                old = found_panels.get(name) or PanelPort(name, end.box, end.port, strung.jack_of.get(name, ""))
                found_panels[name] = replace(old, room=old.room or row.room, origins=join(old.origins, row.origins))
        found = row.jack or next((end.name for end in ends if end.sort is EndSort.JACK), "")
        if found:
            jack = jacks.get(found) or Jack(found, stringer.panel_of.get(found.casefold(), ""))
            jacks[found] = replace(jack, room=jack.room or row.room, origins=join(jack.origins, row.origins))
        if (text := row.serves or next((end.name for end in ends if end.sort is EndSort.THING), "")) and ends:
            at = _hangs_on(ends)
            name = stringer.panel_name(at) if at.sort is EndSort.PANEL else at.name
            endpoints.append(Endpoint(name, text, endpoint_kinds(text), row.origins))
    return replace(
        sheet, contradictions=tuple(strung.contradictions), panels=found_panels, jacks=jacks, endpoints=tuple(endpoints)
    )


def _hangs_on(ends: Sequence[End]) -> End:
    """Return the end of a row that its endpoint hangs on: a panel port or jack before a port."""
    order = (EndSort.PANEL, EndSort.JACK, EndSort.PORT, EndSort.UNSAID, EndSort.THING)
    return min(ends, key=lambda end: order.index(end.sort))
