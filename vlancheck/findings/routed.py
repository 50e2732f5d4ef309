"""A survey in, the cords between a bridge's port and a box where frames end out, with the tags each side knows."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from vlancheck.dot1q.model import NO_TAG, Device, End
from vlancheck.dot1q.tags import C_TAG
from vlancheck.findings.case import Case
from vlancheck.findings.ends import PlainEnd, plain_end
from vlancheck.places import split_place
from vlancheck.vids import WIRE, of

ADDRESS = "address:"  # in the settings of a box, before the name of an interface with an address


@dataclass(frozen=True, slots=True)
class RoutedLink:
    """A cord from a plain end of a bridge to a port whose interfaces end frames."""

    place: str  # DEVICE:PORT where frames end
    facing: PlainEnd  # the bridge's port at the other end
    ends: tuple[End, ...]  # its interfaces that are not surely shut
    shut: tuple[End, ...]  # its interfaces that are surely shut

    def taken(self) -> int:
        """Return the VIDs that some interface may take when they arrive with one tag."""
        found = 0
        for end in self.ends:
            found |= tagged(end)
        return found

    def misnamed(self, case: Case) -> int:
        """Return the VIDs in names of interfaces that wait for another's tag, for untagged frames, or for nothing."""
        device, port = split_place(self.place)
        several = [end for group in doubled(self.ends) for end in group]
        several += [end for end in self.ends if end.select and takes_untagged(end)]
        names = [*(end.name for end in several), *tagless(case.network.devices[device]).get(port, ())]
        return of(vid for name in names if (vid := numbered(name)) is not None)

    def untaken(self, case: Case) -> int:
        """Return the VIDs that are declared here and sent with their tag, and that no interface takes."""
        return case.needed_frames.get(self.place, 0) & self.facing.tags & ~self.taken() & WIRE


def routed_links(case: Case) -> Iterator[RoutedLink]:
    """Yield the cords whose one port ends frames and whose other one bridges them plainly, neither of them down."""
    for link in case.network.links:
        for place, far in ((link.one, link.other), (link.other, link.one)):
            device, port = split_place(place)
            box = case.network.devices[device]
            if not case.network.only_ends(place) or box.ports[port].up.value is False:
                continue
            if (facing := plain_end(case, far)) is not None:
                here = [end for end in box.ends.values() if end.port == port]
                shut = tuple(end for end in here if end.up.value is False)
                yield RoutedLink(place, facing, tuple(end for end in here if end.up.value is not False), shut)


def doubled(ends: Iterable[End]) -> tuple[tuple[End, ...], ...]:
    """Return the interfaces that are not shut and wait for one and the same single tag, those of a tag together."""
    by_tag: dict[object, list[End]] = {}
    for end in ends:
        if end.select and end.up.value is True and (end.select[0].vids & WIRE).bit_count() == 1:
            by_tag.setdefault((end.port, end.select, end.tpids), []).append(end)
    return tuple(tuple(several) for several in by_tag.values() if len(several) > 1)


def tagless(box: Device) -> dict[str, list[str]]:
    """Return the interfaces with an address that are called like parts of a port and take no frames, by that port.

    Only of ports of which another part takes a tag: a part of a serial line has none.
    """
    tagging = {end.port for end in box.ends.values() if end.select}
    found: dict[str, list[str]] = {}
    for key in box.settings:
        name = key.removeprefix(ADDRESS)
        port, dot, number = name.rpartition(".")
        known = name in box.ends or name in box.ports or name in box.bridge_ports
        if key.startswith(ADDRESS) and dot and number.isdecimal() and port in tagging and not known:
            found.setdefault(port, []).append(name)
    return found


def numbered(name: str) -> int | None:
    """Return the VID that stands in an interface's name (`Gi0/0.20`); None where none does."""
    found = re.search(r"\.(\d{1,4})$", name)
    return int(found[1]) if found and 1 <= int(found[1]) <= 4094 else None


def tagged(end: End) -> int:
    """Return the VIDs an interface takes from frames of one C-tag; all of them where it takes any frame."""
    if C_TAG not in _tpids(end, 0):
        return 0
    if not end.select:
        return WIRE
    alone = len(end.select) == 1 or bool(end.select[1].vids >> NO_TAG & 1)
    return end.select[0].vids & WIRE if alone else 0


def takes_untagged(end: End) -> bool:
    """Tell whether an interface takes frames without a tag."""
    return not end.select or bool(end.select[0].vids >> NO_TAG & 1)


def _tpids(end: End, depth: int) -> frozenset[int]:
    match = end.select[depth].tpids if end.select else None
    return end.tpids if match is None else match
