"""The rows at the top of a sheet in, what every column means out: headings are matched by sense."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from difflib import get_close_matches
from enum import StrEnum

from vlancheck.site.ends import EndSort, is_panel_name
from vlancheck.site.rows import Row


class Sense(StrEnum):
    """What a column of a patch sheet says."""

    FROM = "from"
    FROM_BOX = "from device"
    FROM_PORT = "from port"
    TO = "to"
    TO_BOX = "to device"
    TO_PORT = "to port"
    PANEL = "panel"
    PANEL_PORT = "panel port"
    SWITCH = "switch"
    SWITCH_PORT = "switch port"
    BOX = "device"  # of which end, the other headings say
    PORT = "port"  # of the box on its left
    JACK = "jack"
    ROOM = "room"
    LABEL = "cord label"
    KIND = "kind"
    COLOUR = "colour"
    LENGTH = "length"
    SERVES = "serves"
    HOLD = "hold"
    NOTE = "note"
    COUNT = "row number"


# The headings that are known, by sense.
HEADINGS = {
    Sense.FROM: "from|from end|end a|a end|side a|a side|end 1|source|near end",
    Sense.FROM_BOX: "from device|from switch|from panel|from box|from equipment|device a|a device|source device",
    Sense.FROM_PORT: "from port|from interface|port a|a port|source port",
    Sense.TO: "to|to end|end b|b end|side b|b side|end 2|destination|far end|goes to|connects to|connected to"
    "|patched to",
    Sense.TO_BOX: "to device|to switch|to panel|to box|to equipment|device b|b device|destination device",
    Sense.TO_PORT: "to port|to interface|port b|b port|destination port",
    Sense.PANEL: "panel|patch panel|tray|fibre tray|fiber tray|odf",
    Sense.PANEL_PORT: "panel port|patch panel port|patch port|patch|pp|pp port|panel position|tray port",
    Sense.SWITCH: "switch|sw|network switch|network device|active device|equipment",
    Sense.SWITCH_PORT: "switch port|switchport|sw port|network port|device port|interface",
    Sense.BOX: "device|box",
    Sense.PORT: "port",
    Sense.JACK: "jack|outlet|wall outlet|wall jack|wall port|wall socket|socket|data point|data outlet|point"
    "|faceplate|drop|floor box|desk port",
    Sense.ROOM: "room|location|area|where|office|floor",
    Sense.LABEL: "label|cord|cable|cord label|cable label|lead|patch cord|patch lead|patch cable",
    Sense.KIND: "kind|type|cable type|cord type|cable kind|cord kind|media|medium|category",
    Sense.COLOUR: "colour|color|cord colour|cord color|cable colour|cable color|jacket|jacket colour|jacket color",
    Sense.LENGTH: "length|len|metres|meters|cord length|cable length",
    Sense.SERVES: "serves|serving|served|used by|user|used for|use|purpose|endpoint|end device|attached|attached device"
    "|connected device|end user device|feeds|client",
    Sense.HOLD: "hold|on hold|do not touch|do not move|do not unplug|critical|locked",
    Sense.NOTE: "note|notes|comment|comments|remark|remarks|description",
    Sense.COUNT: "#|no|nr|row|item|line|seq",
}
_SENSES = {word: sense for sense, words in HEADINGS.items() for word in words.split("|")}
_TAIL = re.compile(r"\s+(?:no|nr|number|name|id|ref|reference)$")
_NEAR = [word for word in _SENSES if len(word) >= 5]  # words long enough to know by a typing error
_ONE_CELL = {Sense.FROM: EndSort.UNSAID, Sense.TO: EndSort.UNSAID}
_BOXES = {
    Sense.FROM_BOX: EndSort.UNSAID,
    Sense.TO_BOX: EndSort.UNSAID,
    Sense.PANEL: EndSort.PANEL,
    Sense.SWITCH: EndSort.PORT,
    Sense.BOX: EndSort.UNSAID,
}
_PORTS = {
    Sense.FROM_PORT: Sense.FROM_BOX,
    Sense.TO_PORT: Sense.TO_BOX,
    Sense.PANEL_PORT: Sense.PANEL,
    Sense.SWITCH_PORT: Sense.SWITCH,
}
_LOOK_FOR_HEADINGS = 20  # rows from the top


@dataclass(frozen=True, slots=True)
class Heading:
    """One heading of a sheet and what it was taken for."""

    text: str  # as written; "" for a column without one
    column: int  # 1-based
    sense: Sense | None  # None: nobody placed it, and its column is not read
    tab: str = ""  # of a workbook


@dataclass(slots=True)
class EndColumns:
    """The columns of one end of a cord."""

    of: Sense  # FROM_BOX, TO_BOX, PANEL, SWITCH, BOX, JACK or SERVES
    sort: EndSort  # what the headings say the end is
    box: int | None = None  # 0-based column of the device or panel; None: it stands in the port's cell
    port: int | None = None  # 0-based column of the port; None: it stands in the box's cell

    def by_tab(self, tab: str) -> bool:
        """Tell whether the tab stands for the panel: it is called like one, and there is a column of ports alone."""
        return self.box is None and self.of in (Sense.BOX, Sense.PANEL) and is_panel_name(tab)

    def cells(self, row: Row) -> tuple[str, str]:
        """Return the cells of the box and of the port in `row`."""
        box, port = _cell(row, self.box), _cell(row, self.port)
        return (row.tab if port and ":" not in port and self.by_tab(row.tab) else box), port


@dataclass(slots=True)
class Layout:
    """What every column of a sheet means."""

    row: Row  # the row of headings
    one: EndColumns  # the left end
    other: EndColumns  # the right end
    headings: tuple[Heading, ...]  # all, in order
    columns: dict[Sense, int] = field(default_factory=dict)  # 0-based column of each other sense
    notes: list[int] = field(default_factory=list)  # columns that are joined to the note

    def cell(self, row: Row, sense: Sense) -> str:
        """Return what `row` says under the heading of `sense`; "" when there is none."""
        return _cell(row, self.columns.get(sense))

    def note(self, row: Row) -> str:
        """Return what `row` says under all headings that are notes."""
        return "; ".join(text for column in self.notes if (text := _cell(row, column)))

    @property
    def placed(self) -> int:
        """Return how many headings were placed."""
        return sum(heading.sense is not None for heading in self.headings)


def find_layout(rows: Iterable[Row]) -> Layout | None:
    """Return what the columns mean by the row, near the top, with the most headings; None when none has two ends."""
    best: Layout | None = None
    for row, _ in zip(rows, range(_LOOK_FOR_HEADINGS), strict=False):
        layout = _layout(row)
        if layout is not None and (best is None or layout.placed > best.placed):
            best = layout
    return best


def sense_of(text: str) -> Sense | None:
    """Return what a heading means, or None: known words, with or without a unit, a number, a typing error."""
    words = re.sub(r"\([^)]*\)|\[[^\]]*\]", " ", text.casefold())
    words = " ".join(re.sub(r"[^\w#]+|_", " ", words).split())
    for tried in (words, _TAIL.sub("", words)):
        if tried in _SENSES:
            return _SENSES[tried]
    near = get_close_matches(words, _NEAR, 1, 0.8) if len(words) >= 5 else []
    return _SENSES[near[0]] if near else None


def _cell(row: Row, column: int | None) -> str:
    return row.cells[column] if column is not None and column < len(row.cells) else ""


def _layout(row: Row) -> Layout | None:
    senses = [sense_of(cell) if cell else None for cell in row.cells]
    senses = _settled(senses)
    groups, columns, notes, unplaced = _grouped(senses)
    ends = _two_ends(groups, columns)
    if ends is None:
        return None
    for group in groups:
        if group not in ends:
            unplaced |= {column for column in (group.box, group.port) if column is not None}
    headings = [
        Heading(text, column + 1, None if column in unplaced else sense, row.tab)
        for column, (text, sense) in enumerate(zip(row.cells, senses, strict=True))
    ]
    while headings and not headings[-1].text:
        headings.pop()
    return Layout(row, ends[0], ends[1], tuple(headings), columns, notes)


def _settled(senses: Sequence[Sense | None]) -> list[Sense | None]:
    """Settle the words that the other headings decide: `Device` beside a switch is what hangs at the end."""
    ends = {Sense.SWITCH, Sense.SWITCH_PORT} & set(senses)
    both = {Sense.FROM, Sense.FROM_BOX} & set(senses) and {Sense.TO, Sense.TO_BOX} & set(senses)
    serves = (ends or both) and Sense.SERVES not in senses and senses.count(Sense.BOX) == 1
    made = [Sense.SERVES if sense is Sense.BOX and serves else sense for sense in senses]
    if Sense.TO in made and Sense.FROM not in made and Sense.FROM_BOX not in made:
        others = {Sense.PANEL, Sense.PANEL_PORT} & set(made) and ends
        if others and Sense.SERVES not in made and Sense.TO_PORT not in made:
            return [Sense.SERVES if sense is Sense.TO else sense for sense in made]
    return made


def _grouped(
    senses: Sequence[Sense | None],
) -> tuple[list[EndColumns], dict[Sense, int], list[int], set[int]]:
    """Return the groups of columns that name an end, the other columns by sense, the notes, and what has no place."""
    groups: list[EndColumns] = []
    columns: dict[Sense, int] = {}
    notes: list[int] = []
    unplaced: set[int] = set()
    for column, sense in enumerate(senses):
        if sense is None:
            unplaced.add(column)
        elif sense in _ONE_CELL:
            of = Sense.FROM_BOX if sense is Sense.FROM else Sense.TO_BOX
            _fill_box(groups, EndColumns(of, EndSort.UNSAID, box=column))
        elif sense in _BOXES:
            _fill_box(groups, EndColumns(sense, _BOXES[sense], box=column))
        elif sense in _PORTS:
            _fill_port(groups, EndColumns(_PORTS[sense], _BOXES[_PORTS[sense]], port=column))
        elif sense is Sense.PORT:
            left = [group for group in groups if group.port is None]
            if left:
                left[-1].port = column
            else:
                groups.append(EndColumns(Sense.BOX, EndSort.UNSAID, port=column))
        elif sense is Sense.NOTE:
            notes.append(column)
        elif sense in columns:
            unplaced.add(column)
        else:
            columns[sense] = column
    return groups, columns, notes, unplaced


def _fill_box(groups: list[EndColumns], new: EndColumns) -> None:
    waiting = [group for group in groups if group.of is new.of and group.box is None]
    if waiting:
        waiting[0].box = new.box
    else:
        groups.append(new)


def _fill_port(groups: list[EndColumns], new: EndColumns) -> None:
    waiting = [group for group in groups if group.of is new.of and group.port is None]
    if waiting:
        waiting[0].port = new.port
    else:
        groups.append(new)


def _two_ends(groups: list[EndColumns], columns: dict[Sense, int]) -> tuple[EndColumns, EndColumns] | None:
    """Return the two groups that a cord joins: from and to, else the first two, else one and the jack or the thing."""
    start = next((group for group in groups if group.of is Sense.FROM_BOX), None)
    end = next((group for group in groups if group.of is Sense.TO_BOX), None)
    if start and end:
        return start, end
    if len(groups) >= 2:
        return groups[0], groups[1]
    if not groups:
        return None
    for sense, sort in ((Sense.JACK, EndSort.JACK), (Sense.SERVES, EndSort.THING)):
        if sense in columns:
            return groups[0], EndColumns(sense, sort, port=columns[sense])
    return None
