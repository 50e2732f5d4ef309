"""Cords as strands between sockets, and which names are devices, panels and jacks."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import NamedTuple

from vlancheck.dot1q.model import DeviceKind
from vlancheck.evidence import Origins
from vlancheck.site.endpoints import names_endpoint
from vlancheck.site.ends import End, EndSort, Side, is_panel_name
from vlancheck.site.sheet import LooseRow, SheetCord
from vlancheck.site.yamltext import Value

SIDED = (EndSort.PANEL, EndSort.JACK)  # a cord can go into either side of these


class Node(NamedTuple):
    """A socket that a cord goes into."""

    sort: EndSort  # PORT, PANEL, JACK or THING
    name: str  # DEVICE:PORT, PANEL:PORT, or a name that stands alone
    side: Side = Side.UNSAID  # of a panel port or a jack

    @property
    def whole(self) -> tuple[EndSort, str]:
        """Return the socket with both of its sides."""
        return self.sort, self.name


@dataclass(frozen=True, slots=True)
class Strand:
    """A cord between two sockets."""

    one: Node  # where it starts
    other: Node  # where it ends
    label: str = ""  # on the cord; "" none
    origins: Origins = ()  # the rows or the line that state it
    cords: tuple[SheetCord, ...] = ()  # the rows of the sheet; () for a line of site.yaml
    at: Value | None = None  # the line of site.yaml; None for a row of a sheet

    @property
    def nodes(self) -> tuple[Node, Node]:
        """Return both sockets."""
        return self.one, self.other


@dataclass(frozen=True, slots=True)
class Names:
    """Which boxes are devices and which are panels."""

    devices: Mapping[str, DeviceKind | None]  # by name; None: nothing says what the box is
    panels: frozenset[str] = frozenset()  # names of panels
    jacks: frozenset[str] = frozenset()  # names of outlets, folded
    bare: frozenset[str] = frozenset()  # names of panel ports that stand without a panel, as keys
    known: dict[End, End] = field(default_factory=dict, compare=False)  # ends settled already

    def device(self, box: str) -> str | None:
        """Return the device called `box`, whatever its case, or None."""
        return _folded(box, self.devices)

    def classed(self, end: End) -> End:
        """Return the end with its sort settled: no end is UNSAID any more."""
        if end not in self.known:
            self.known[end] = self._classed(end)
        return self.known[end]

    def _classed(self, end: End) -> End:
        if end.box:
            return self._classed_box(end)
        if end.sort is not EndSort.THING:
            return end
        box, colon, port = end.port.partition(":")
        known = [name for name in (*self.devices, *self.panels) if _starts(end.port, name)]
        if colon and (self.device(box.strip()) or _folded(box.strip(), self.panels)):
            return self._classed_box(replace(end, sort=EndSort.UNSAID, box=box.strip(), port=port.strip()))
        if known:
            box = max(known, key=len)
            rest = end.port[len(box) :].strip(" ,/")
            return self._classed_box(replace(end, sort=EndSort.UNSAID, box=box, port=rest))
        if end.port.casefold() in self.jacks:
            return replace(end, sort=EndSort.JACK)
        bare = panel_key(end.port) in self.bare or is_panel_name(end.port)
        return replace(end, sort=EndSort.PANEL) if bare else end

    def _classed_box(self, end: End) -> End:
        if (device := self.device(end.box)) is not None:
            return replace(end, sort=EndSort.PORT, box=device, side=Side.UNSAID)
        if (panel := _folded(end.box, self.panels)) is not None:
            return replace(end, sort=EndSort.PANEL, box=panel)
        if end.sort is not EndSort.UNSAID:
            return end
        if is_panel_name(end.box):
            return replace(end, sort=EndSort.PANEL)
        if names_endpoint(end.box):
            return End(EndSort.THING, "", end.name, text=end.text)
        return replace(end, sort=EndSort.PORT, side=Side.UNSAID)


def names_in(
    rows: Sequence[SheetCord | LooseRow], devices: Mapping[str, DeviceKind | None], panels: Iterable[str]
) -> Names:
    """Return what is a device and what a panel by all that a sheet's columns, the captures and site.yaml say."""
    ends = [end for row in rows for end in row.ends]
    jacks = {row.jack.casefold() for row in rows if row.jack}
    jacks |= {end.name.casefold() for end in ends if end.sort is EndSort.JACK}
    known = dict(devices)
    folded = {name.casefold() for name in known}
    seen = {name.casefold(): name for name in panels}
    for end in ends:
        if end.box and end.box.casefold() not in folded and (end.sort is EndSort.PANEL or is_panel_name(end.box)):
            seen.setdefault(end.box.casefold(), end.box)
    for end in ends:
        device = end.sort is EndSort.PORT or (end.sort is EndSort.UNSAID and not names_endpoint(end.box))
        if device and end.box.casefold() not in folded and end.box.casefold() not in seen:
            folded.add(end.box.casefold())
            known[end.box] = None
    bare = {panel_key(end.port) for end in ends if end.sort is EndSort.PANEL and not end.box}
    return Names(known, frozenset(seen.values()), frozenset(jacks), frozenset(bare))


def panel_key(name: str) -> str:
    """Return what tells panel ports apart: case and leading zeros do not (`PANEL-B:07` is `panel-b:7`)."""
    return re.sub(r"(?<!\d)0+(?=\d)", "", name.casefold())


def _folded(text: str, names: Collection[str]) -> str | None:
    if text in names:
        return text
    found = [name for name in names if name.casefold() == text.casefold()]
    return found[0] if len(found) == 1 else None


def _starts(text: str, name: str) -> bool:
    """Tell whether `text` is `name`, a blank or a stroke, and more."""
    rest = text[len(name) :]
    return text[: len(name)].casefold() == name.casefold() and rest[:1] in tuple(" ,/") and bool(rest.strip(" ,/"))
