"""One of the two surveys, as worksheets look at it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

from vlancheck.dot1q.model import DeviceKind
from vlancheck.findings.case import Case
from vlancheck.places import split_place
from vlancheck.site.boxes import Boxes
from vlancheck.site.placed import PlacedHold
from vlancheck.verdicts.orders import OrderKind
from vlancheck.wiring.network import Network


@dataclass(frozen=True)
class Scene:
    """A survey with its verdicts."""

    boxes: Boxes  # what is corded where, and what is declared
    case: Case  # the network and its verdicts

    @property
    def name(self) -> str:
        """Return the name of the survey."""
        return self.boxes.survey

    @property
    def network(self) -> Network:
        """Return the boxes joined."""
        return self.case.network

    @property
    def holds(self) -> tuple[PlacedHold, ...]:
        """Return whoever must be asked, where."""
        return self.boxes.placed.holds

    def kind(self, place: str) -> DeviceKind | None:
        """Return what the box of a port does with frames; None where nothing says what it is."""
        device = self.boxes.devices.get(split_place(place)[0])
        return device.kind if device else None

    @cached_property
    def starts(self) -> tuple[str, ...]:
        """The boxes from which the closet is brought up: the carrier's, those with a handoff, else the most joined."""
        carriers = [name for name, device in self.boxes.devices.items() if device.kind is DeviceKind.CARRIER_BOX]
        handoffs = [split_place(place)[0] for place in self.boxes.handoffs]
        found = tuple(dict.fromkeys((*carriers, *handoffs)))
        if found or not self.boxes.devices:
            return found
        return (min(self.boxes.devices, key=lambda name: (-len(self.beside.get(name, {})), name)),)

    @cached_property
    def beside(self) -> Mapping[str, dict[str, list[tuple[str, str]]]]:
        """For each box, the boxes it is corded to, with both ports of every cord: its own first."""
        found: dict[str, dict[str, list[tuple[str, str]]]] = {name: {} for name in self.boxes.devices}
        for cord in self.boxes.cords:
            for mine, other in ((cord.one, cord.other), (cord.other, cord.one)):
                here, there = split_place(mine)[0], split_place(other)[0]
                if here != there:
                    found.setdefault(here, {}).setdefault(there, []).append((mine, other))
        return found

    @cached_property
    def distance(self) -> Mapping[str, int]:
        """How many cords each box is away from the handoff; boxes that no cord joins to it are not in it."""
        found = dict.fromkeys(self.starts, 0)
        queue = list(self.starts)
        for name in queue:
            for other in self.beside.get(name, {}):
                if other not in found:
                    found[other] = found[name] + 1
                    queue.append(other)
        return found

    @cached_property
    def called(self) -> Mapping[int, str]:
        """What each relay VID is called: the declared VLAN of that number, or the service that enters with it."""
        names: dict[int, list[str]] = {}
        for order in self.case.orders:
            if order.kind is OrderKind.VLAN:
                names.setdefault(order.vid, []).append(order.name)
        for order in self.case.orders:
            for vid in self.case.relay_vids(order):
                names.setdefault(vid, []).append(order.name)
        return {vid: ", ".join(dict.fromkeys(several)) for vid, several in names.items()}
