"""A survey in, the cords between a bridge's port and a box where frames end out, with the tags each side knows."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from vlancheck.dot1q.model import NO_TAG, End
from vlancheck.dot1q.tags import C_TAG
from vlancheck.findings.case import Case
from vlancheck.findings.ends import PlainEnd, plain_end
from vlancheck.places import split_place
from vlancheck.vids import WIRE


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
