"""The cells of one end of a cord in, a device's port, a panel port, a jack or a thing out; or why it is none."""

from __future__ import annotations

import re
from dataclasses import dataclass, field, replace
from enum import StrEnum

from vlancheck.site.endpoints import EndpointKind, endpoint_kinds, names_network
from vlancheck.site.places import spread


class EndSort(StrEnum):
    """What one end of a cord is plugged into."""

    PORT = "port"  # of a device
    PANEL = "panel port"
    JACK = "jack"  # an outlet in a room
    THING = "thing"  # something with a name and no ports of its own: a PC, a fax
    UNSAID = "unsaid"  # BOX:PORT, and nothing says what the box is


class Side(StrEnum):
    """The two sides of a panel port."""

    SWITCH = "switch side"
    JACK = "jack side"
    UNSAID = "unsaid"


@dataclass(frozen=True, slots=True)
class End:
    """One end of a cord, as a sheet names it."""

    sort: EndSort  # what it is, as far as the sheet says
    box: str  # device or panel; "" for a name that stands alone
    port: str  # its port, or the name itself
    side: Side = Side.UNSAID  # of a panel port
    text: str = field(default="", compare=False)  # as written

    @property
    def name(self) -> str:
        """Return `BOX:PORT`, or the name that stands alone."""
        return f"{self.box}:{self.port}" if self.box else self.port


@dataclass(frozen=True, slots=True)
class NoEnd:
    """What stands where an end of a cord belongs."""

    why: str  # in words, for the list of doubtful rows
    free: bool = False  # the cell says that nothing is plugged in
    blank: bool = False  # nothing is written
    box: str = ""  # the device or panel that is named without a port


_DOUBT = re.compile(
    r"\?+|unknown|unk|unclear|n/?a|n\.a\.|tb[dc]|not (?:known|traced|found|sure)|untraced|to (?:be )?traced?|x{2,}"
    r"|see note|#(?:ref|n/a|name|value|div/0|num|null)[!?]?",
    re.IGNORECASE,
)
_UNSURE = re.compile(r"\?[)\]}\s]*$")  # `uplink?`, `uplink (?)`
_FREE = re.compile(
    r"free|spare|empty|unused|not (?:used|in use|connected|patched)|none|nothing|unpatched|disconnected|vacant|nc|n/c"
    r"|[-\u2013\u2014]+",
    re.IGNORECASE,
)
_DATE = re.compile(
    r"\d{1,2}[-/ ](?:jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec)[a-z]*(?:[-/ ]\d{2,4})?"
    r"|(?:jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec)[a-z]*[-/ ]\d{1,4}"
    r"|\d{1,2}[/.]\d{1,2}[/.]\d{4}|\d{4}-\d\d-\d\d(?: \d\d:\d\d)?|\d\d+:\d\d:\d\d",
    re.IGNORECASE,
)
_SIDE = re.compile(
    r"(?P<name>.*?[\w)])\s*(?:[\s(\[,/])\s*\(?(?P<side>jack|back|rear|behind|switch|front)(?:[ -]side)?[)\]]?",
    re.IGNORECASE,
)
_PANEL = re.compile(
    r"(?:patch[ _-]*)?panels?(?![a-z])|patch(?![a-z])|pp(?![a-z])|odf(?![a-z])|(?:fib(?:re|er)[ _-]*)?trays?(?![a-z])"
    r"|idf[ _-]*panel|krone|keystone",
    re.IGNORECASE,
)
_WORDED = re.compile(r"(?P<box>.+?)[\s,/]+(?:port|p)\.?\s*(?P<port>\d[\w/.]*)", re.IGNORECASE)


def is_doubt(text: str) -> bool:
    """Tell whether a cell says that nobody knows (`?`, `unknown`, `n/a`)."""
    return _DOUBT.fullmatch(text) is not None or _UNSURE.search(text) is not None


def misread(text: str) -> str:
    """Return why a name is not what somebody wrote but what a spreadsheet made of it, a date or a formula; else ""."""
    if _DATE.fullmatch(text):
        what = "a time" if re.fullmatch(r"\d+:\d\d:\d\d", text) else "a date"
        return f"{text!r} is {what}; a spreadsheet may have made it of a port"
    if text.startswith("="):
        return f"{text!r} is a formula; no value of it is stored"
    return ""


def is_free(text: str) -> bool:
    """Tell whether a cell says that nothing is there (`free`, `spare`, `-`)."""
    return _FREE.fullmatch(text) is not None


def is_panel_name(box: str) -> bool:
    """Tell whether a box is called like a patch panel (`PANEL-B`, `PP2`, `fibre tray 1`)."""
    return _PANEL.match(box) is not None


def read_end(sort: EndSort, box: str, port: str, *, two_cells: bool) -> End | NoEnd:
    """Return what the cells `box` and `port` name; `port` alone holds both where there is one cell.

    `sort` is what the headings say of the column.  With two cells a port may have a colon of its own (`3:15`).
    """
    text = f"{box} {port}".strip()
    if not text:
        return NoEnd("the cell is blank", blank=True)
    for cell in (port, box):
        if cell and is_doubt(cell):
            name, colon, _ = cell.partition(":")
            named = name.strip() if colon else "" if cell == box else box
            return NoEnd(f"it says {cell!r}", box="" if is_doubt(named) else named)
    whole = port or box
    if is_free(whole):
        return NoEnd(f"it says {whole!r}", free=True)
    for cell in (port, box):
        if why := misread(cell):
            return NoEnd(why, box=box if port and cell == port and not misread(box) else "")
    box, port, whole = (cell.removeprefix("'") for cell in (box, port, whole))
    if two_cells and box and port:
        return _sided(sort, box, _without(box, port), text)
    if two_cells and sort is not EndSort.UNSAID and port and ":" not in port:
        what = "panel" if sort is EndSort.PANEL else "device"
        return NoEnd(f"{port!r} stands without its {what}")
    if sort in (EndSort.JACK, EndSort.THING):
        return End(sort, "", whole, text=text)
    name, colon, rest = (part.strip() for part in whole.partition(":"))
    if colon and name and rest and not name.isdecimal():
        return _sided(sort, name, _once(name, rest), text)
    if colon:
        return NoEnd(f"{whole!r} names no device" if rest else f"{whole!r} names no port", box=name if not rest else "")
    return _alone(sort, whole, text, box_cell=not port)


def _alone(sort: EndSort, whole: str, text: str, *, box_cell: bool) -> End | NoEnd:
    """Return what a name without a colon is."""
    if found := _WORDED.fullmatch(whole):
        return _sided(sort, found["box"].strip(), found["port"], text)
    if sort is EndSort.PANEL and not box_cell:
        return _sided(sort, "", whole, text)
    if sort in (EndSort.PANEL, EndSort.PORT):
        if box_cell:
            return NoEnd(f"{whole!r} stands without a port", box=whole)
        return NoEnd(f"{whole!r} stands without its device")
    if names_network(whole) and endpoint_kinds(whole) == (EndpointKind.OTHER,):
        return NoEnd(f"{whole!r} stands without a port", box=whole)
    return End(EndSort.THING, "", whole, text=text)


def _sided(sort: EndSort, box: str, port: str, text: str) -> End:
    """Return the end with the side that is written behind it, as in `PANEL-B:07 (jack)`."""
    if sort in (EndSort.PANEL, EndSort.UNSAID) and (found := _SIDE.fullmatch(port)):
        side = Side.SWITCH if found["side"].lower() in ("switch", "front") else Side.JACK
        return End(sort, box, found["name"].strip(), side, text)
    return End(sort, box, port, text=text)


def _once(box: str, port: str) -> str:
    """Return a range whose far end repeats its box without it: `07..PANEL-B:12`."""
    return re.sub(rf"(?<=[-.\s\u2026\u2013\u2014]){re.escape(box)}\s*:\s*", "", port, flags=re.IGNORECASE)


def _without(box: str, port: str) -> str:
    """Return a port that repeats its box without it."""
    for mark in (":", " "):
        if port.casefold().startswith(f"{box}{mark}".casefold()) and len(port) > len(box) + 1:
            return port[len(box) + 1 :].strip()
    return port


def spread_ends(one: End, other: End, *, literal: tuple[bool, ...] = (False, False)) -> list[tuple[End, End]] | str:
    """Return the pairs that a row with ranges at both ends stands for, or why they do not match.

    A row without ranges stands for itself.  `literal` says of each end that it is a name, though it looks like a range
    (`2-14`); at a jack or a thing it always is, where it is not written with dots.
    """
    rows = [
        () if name or (end.sort in (EndSort.JACK, EndSort.THING) and ".." not in end.port) else spread(end.port)
        for end, name in zip((one, other), literal, strict=True)
    ]
    if not rows[0] and not rows[1]:
        return [(one, other)]
    if len(rows[0]) != len(rows[1]):
        sizes = [f"{end.name} is {len(row) or 1}" for end, row in zip((one, other), rows, strict=True)]
        return f"the ranges do not match: {sizes[0]}, {sizes[1]}"
    return [(replace(one, port=mine), replace(other, port=theirs)) for mine, theirs in zip(*rows, strict=True)]
