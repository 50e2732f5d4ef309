"""A patch sheet and cords whose ends go to other ports in, the sheet that says so out; every other cell stays."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import NamedTuple

from vlancheck.places import split_place
from vlancheck.site.boxes import Boxes
from vlancheck.site.ends import End, EndSort, Side
from vlancheck.site.headings import EndColumns, Layout, Sense, find_layout
from vlancheck.site.reading import sheet_of
from vlancheck.site.rows import Row, Table
from vlancheck.site.sheet import Sheet, SheetCord
from vlancheck.site.strands import Node


class NewEnd(NamedTuple):
    """One end of a cord that goes to another port."""

    cord: SheetCord  # as the sheet has it
    left: bool  # its left end; else its right end
    device: str  # of the other port
    port: str  # the other port


class CordEnd(NamedTuple):
    """The end of a cord that is in a port."""

    cord: SheetCord  # as the sheet has it
    left: bool  # the end is the row's left one
    socket: Node  # where its other end is

    def to(self, place: str) -> NewEnd:
        """Return this end in another port, DEVICE:PORT."""
        return NewEnd(self.cord, self.left, *split_place(place))


def cord_end(boxes: Boxes, place: str) -> CordEnd | None:
    """Return the cord in a port (DEVICE:PORT) where it is one row of the sheet; None where it is not."""
    socket = (EndSort.PORT, place)
    strands = (one for chain in boxes.chains if place in chain.ports for one in chain.strands)
    strand = next((one for one in strands if any(node.whole == socket for node in one.nodes)), None)
    if strand is None or len(strand.cords) != 1:
        return None
    cord = strand.cords[0]
    node = boxes.spots.stringer.node(cord.one)
    other = strand.other if strand.one.whole == socket else strand.one
    return CordEnd(cord, node is not None and node.name == place, other)


def repatched(sheet: Sheet, changes: Iterable[NewEnd]) -> Sheet:
    """Return the sheet with some ends changed, as it would be read; a row of ranges is split where one cord changes."""
    by_cord: dict[int, list[NewEnd]] = {}
    for change in changes:
        by_cord.setdefault(id(change.cord), []).append(change)
    of_row: dict[tuple[str, int], list[SheetCord]] = {}
    for cord in sheet.cords:
        of_row.setdefault((cord.origins[0].sheet, cord.origins[0].line), []).append(cord)
    laid = []
    for table in sheet.tables:
        layout = find_layout(table.rows)
        rows: list[Row] = []
        added = 0
        for row in table.rows:
            cords = of_row.get((row.tab, row.line), []) if layout is not None else []
            if layout is None or not any(id(cord) in by_cord for cord in cords):
                rows.append(row._replace(line=row.line + added))
                continue
            for number, cord in enumerate(cords):
                cells = _cells(row, layout, cord, by_cord.get(id(cord), ()), whole=len(cords) > 1)
                text = ", ".join(cell for cell in cells if cell)
                rows.append(Row(row.line + added + number, cells, text, row.tab))
            added += len(cords) - 1
        made = Table(table.tab, tuple(rows), table.hidden)
        laid.append((made, find_layout(made.rows)))
    return sheet_of(laid, sheet.file)


def _cells(row: Row, layout: Layout, cord: SheetCord, changes: Sequence[NewEnd], *, whole: bool) -> tuple[str, ...]:
    """Return the cells of one cord; with `whole`, what a row of ranges says is written for it alone."""
    cells = [*row.cells, *[""] * (len(layout.row.cells) - len(row.cells))]
    ends: Mapping[bool, tuple[EndColumns, End]] = {True: (layout.one, cord.one), False: (layout.other, cord.other)}
    if whole:
        for columns, end in ends.values():
            _write(cells, columns, end.box, f"{end.port}{_side(end)}", row.tab)
        for sense, text in ((Sense.LABEL, cord.label), (Sense.JACK, cord.jack)):
            if (column := layout.columns.get(sense)) is not None and text:
                cells[column] = text
    for change in changes:
        _write(cells, ends[change.left][0], change.device, change.port, row.tab)
    return tuple(cells)


def _write(cells: list[str], columns: EndColumns, box: str, port: str, tab: str) -> None:
    if columns.box is not None and columns.port is not None:
        cells[columns.box], cells[columns.port] = box, port
        return
    alone = columns.by_tab(tab) and box == tab
    column = columns.box if columns.box is not None else columns.port
    assert column is not None, "an end has a column"
    cells[column] = port if alone or not box else f"{box}:{port}"


def _side(end: End) -> str:
    return "" if end.side is Side.UNSAID else f" ({end.side.split()[0]})"
