"""Boundary ports of one survey in, what outlives the switch out: circuit, jack, endpoint, or the port's old name."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, field
from enum import StrEnum

from vlancheck.dot1q.model import DeviceKind
from vlancheck.places import split_place
from vlancheck.site.boxes import Boxes
from vlancheck.site.chains import Chain
from vlancheck.site.ends import EndSort
from vlancheck.site.strands import panel_key

# Boxes whose ports are endpoints themselves, wherever they are plugged in.
_ENDPOINTS = (DeviceKind.HOST, DeviceKind.PHONE, DeviceKind.ACCESS_POINT, DeviceKind.UNMANAGED)


class AnchorKind(StrEnum):
    """What a boundary port is known by from survey to survey."""

    CIRCUIT = "circuit"
    JACK = "jack"
    ENDPOINT = "endpoint"
    PORT = "port"


@dataclass(frozen=True, slots=True, order=True)
class Anchor:
    """What a boundary port is known by; equal anchors of two surveys are the same place."""

    kind: AnchorKind  # what it is
    key: str  # what tells it apart; case, renamings and the leading zeros of a panel port do not
    name: str = field(compare=False)  # as this survey spells it
    also: tuple[str, ...] = field(default=(), compare=False)  # other names of the place: outlet, what hangs there


def anchors(boxes: Boxes, boundary: Iterable[str]) -> dict[str, Anchor]:
    """Return the anchor of every boundary port (`DEVICE:PORT`).

    The first of these that only one of the ports has: the circuit of a handoff, the jack (a panel port's jack side, or
    an outlet), the endpoint (a declared host, what a row of the sheet serves), the carrier of a handoff, the port by
    the name it had before it was renamed.
    """
    places = list(dict.fromkeys(boundary))
    finder = _Finder(boxes)
    candidates = {place: finder.candidates(place) for place in places}
    counted = Counter(anchor for several in candidates.values() for anchor in dict.fromkeys(several))
    return {
        place: next((anchor for anchor in several if counted[anchor] == 1), several[-1])
        for place, several in candidates.items()
    }


class _Finder:
    """Finds what may be the anchor of a port."""

    def __init__(self, boxes: Boxes) -> None:
        self.boxes = boxes
        self.chain = {port: chain for chain in boxes.chains for port in chain.ports}
        self.before = {panel_key(new): old for new, old in boxes.before.items()}

    def candidates(self, place: str) -> list[Anchor]:
        """Return the anchors the port may have, the best first; the port itself is the last."""
        device, name = split_place(place)
        members = self.boxes.devices[device].members(name)
        found: list[Anchor] = []
        for one in (place, *(f"{device}:{member}" for member in members)):
            found += self._of(one)
        ordered = sorted(found, key=lambda anchor: anchor.kind is not AnchorKind.CIRCUIT)
        return [*ordered, self._anchor(AnchorKind.PORT, place)]

    def _of(self, place: str) -> list[Anchor]:
        handoffs = [one.declared for one in self.boxes.placed.handoffs if place in one.spot.places]
        found = [self._anchor(AnchorKind.CIRCUIT, one.circuit) for one in handoffs if one.circuit]
        device = split_place(place)[0]
        chain = self.chain.get(place)
        if self.boxes.devices[device].kind in _ENDPOINTS and device not in self.boxes.absent:
            found.append(self._anchor(AnchorKind.ENDPOINT, place))
        elif chain is not None:
            found += self._at_end_of(chain, place)
        if (endpoint := self.boxes.endpoints.get(place)) is not None:
            found.append(self._anchor(AnchorKind.ENDPOINT, endpoint.text))
        return found + [self._anchor(AnchorKind.ENDPOINT, one.carrier) for one in handoffs if one.carrier]

    def _at_end_of(self, chain: Chain, place: str) -> list[Anchor]:
        """Return the jack, and the declared endpoint beyond it, that a port's cord leads to."""
        found: list[Anchor] = []
        far = chain.ends[1] if chain.ends[0].name == place else chain.ends[0]
        beyond = split_place(far.name)[0] if far.sort is EndSort.PORT else ""
        if far.sort is not EndSort.PORT or self.boxes.devices[beyond].kind in _ENDPOINTS:
            if outermost := chain.outermost(place):
                endpoint = self.boxes.endpoints.get(place)
                panel = self.boxes.panels.get(outermost)
                also = [panel.jack if panel else "", endpoint.text if endpoint else "", beyond]
                found.append(self._anchor(AnchorKind.JACK, outermost, [name for name in also if name]))
            if beyond:
                found.append(self._anchor(AnchorKind.ENDPOINT, far.name))
        return found

    def _anchor(self, kind: AnchorKind, name: str, also: Iterable[str] = ()) -> Anchor:
        before = self._old(name) if kind in (AnchorKind.JACK, AnchorKind.PORT) or ":" in name else name
        key = panel_key(before) if kind is AnchorKind.JACK else before.casefold()
        return Anchor(kind, key, name, tuple(also))

    def _old(self, name: str) -> str:
        """Return the name before the renamings of this survey."""
        device, port = split_place(name)
        if (old := self.before.get(panel_key(name))) is not None:
            return old
        if port and (old := self.before.get(panel_key(device))) is not None:
            return f"{old}:{self._old_port(old, device, port)}"
        return name

    def _old_port(self, old: str, device: str, port: str) -> str:
        """Return the port as the old box spells it, where it has one of that name."""
        return self.boxes.spots.ports.spelled_in(old, port)
