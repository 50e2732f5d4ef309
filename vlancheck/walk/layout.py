"""A plant prepared for floods of many frames from many senders: ports that are alike are taken together.

Two ports of a bridge are alike when every field of theirs but the name is equal and both are only boundary: no link,
no second bridge port.  To exchange them changes nothing, so that what one of them sends and hears, the other does.
"""

from __future__ import annotations

from dataclasses import dataclass, fields
from operator import attrgetter
from typing import NamedTuple

from vlancheck.dot1q.forward import View
from vlancheck.walk.plant import Plant

_ALL_BUT_NAME = attrgetter(*(item.name for item in fields(View) if item.name != "name"))


@dataclass(frozen=True, slots=True, eq=False)
class Group:
    """Places that are alike; most groups of ports with a link hold one."""

    places: tuple[str, ...]  # DEVICE:PORT, in the order of the text


class Exit(NamedTuple):
    """A way out of a bridge."""

    view: View  # the bridge port, the first of those that are alike
    group: Group  # where it stands, with the others
    stops: bool  # copies that leave here are delivered
    onward: str  # the port where copies that leave here arrive; "" none
    kind: int  # the same for exits without a link whose fields but the name are equal, in any bridge; else -1


class Layout:
    """The bridges of a plant with their exits, one for all ports that are alike."""

    def __init__(self, plant: Plant) -> None:
        """Group the ports of `plant`."""
        self.plant = plant
        self.exits: list[list[Exit]] = []  # by number of the bridge
        self.bridge: dict[str, int] = {}  # name of an exit's bridge port -> number of its bridge
        self.place: dict[str, Group] = {}  # port -> its group
        self._arrivals = frozenset(plant.onward.values())
        self._kinds: dict[object, int] = {}
        for views in {id(views): views for views in plant.bridge.values()}.values():
            self._lay_out(views)

    def speaker(self, place: str) -> str:
        """Return the port that speaks for `place`: the first of those alike."""
        group = self.place.get(place)
        return group.places[0] if group else place

    def at(self, place: str) -> Group:
        """Return the group of `place`, made when no bridge port stands there."""
        if place not in self.place:
            self.place[place] = Group((place,))
        return self.place[place]

    def _lay_out(self, views: list[View]) -> None:
        plant, kinds = self.plant, self._kinds
        number = len(self.exits)
        alike: dict[int, list[str]] = {}
        found: list[tuple[View, list[str], int]] = []
        for view in views:
            place = plant.place[view.name]
            if self._pendant(place, view):
                kind = kinds.setdefault(_ALL_BUT_NAME(view), len(kinds))
                if kind in alike:
                    alike[kind].append(place)
                    continue
                alike[kind] = places = [place]
                found.append((view, places, kind))
            else:
                found.append((view, [place], -1))
        exits = []
        for view, places, kind in found:
            place = places[0]
            group = self.place.get(place) or Group(tuple(places))  # several bridge ports of a port share a group
            for name in places:
                self.place[name] = group
            self.bridge[view.name] = number
            exits.append(Exit(view, group, place in plant.stops, plant.onward.get(place, ""), kind))
        self.exits.append(exits)

    def _pendant(self, place: str, view: View) -> bool:
        """Tell whether nothing but frames of its own ever comes in at `place`, and only by `view`."""
        plant = self.plant
        return (
            place in plant.stops
            and place not in plant.onward
            and place not in self._arrivals
            and len(plant.takers[place]) == 1
            and not view.select
        )
