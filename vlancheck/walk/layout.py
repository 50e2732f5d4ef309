"""A plant prepared for floods of many frames from many senders: ports that are alike are taken together.

Two ports of a bridge are alike when every field of theirs but the name is equal and both are only boundary: no link,
no second bridge port.  To exchange them changes nothing, so that what one of them sends and hears, the other does.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import fields
from itertools import count
from operator import attrgetter
from typing import NamedTuple

from vlancheck.dot1q.forward import View
from vlancheck.walk.plant import Plant

_ALL_BUT_NAME = attrgetter(*(item.name for item in fields(View) if item.name != "name"))


class Group:
    """Places that are alike; those of ports with a link stand alone."""

    __slots__ = ("members", "places")

    def __init__(self, places: tuple[str, ...]) -> None:
        """Hold `places` (DEVICE:PORT), in the order of the text."""
        self.places = places
        self.members = frozenset(places)


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
        self.linked: list[tuple[int, Exit]] = []  # bridge and exit of all ports that have a link or share theirs
        self.pendant: list[tuple[int, Exit]] = []  # of all others
        self.bridge: dict[str, int] = {}  # name of an exit's bridge port -> number of its bridge
        self.place: dict[str, Group] = {}  # port -> its group
        # Ports where copies stop, and where nothing but frames of their own ever comes in.
        self._loose = plant.stops - plant.onward.keys() - set(plant.onward.values())
        self._kinds: defaultdict[object, int] = defaultdict(count().__next__)
        for name, views in plant.bridge.items():
            if views[0].name == name:  # once for each bridge
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
        plant, kinds, loose = self.plant, self._kinds, self._loose
        number, exits = len(self.exits), []
        alike: dict[int, list[str]] = {}
        first: list[tuple[View, int]] = []
        place_of, takers = plant.place, plant.takers
        for view in views:
            place = place_of[view.name]
            if place in loose and len(takers[place]) == 1 and not view.select:
                kind = kinds[_ALL_BUT_NAME(view)]
                if kind in alike:
                    alike[kind].append(place)
                else:
                    alike[kind] = [place]
                    first.append((view, kind))
                continue
            group = self.at(place)  # several bridge ports of a port share a group
            way = Exit(view, group, place in plant.stops, plant.onward.get(place, ""), -1)
            self.bridge[view.name] = number
            self.linked.append((number, way))
            exits.append(way)
        for view, kind in first:
            places = alike[kind]
            group = Group(tuple(places))
            for place in places:
                self.place[place] = group
            way = Exit(view, group, True, "", kind)
            self.bridge[view.name] = number
            self.pendant.append((number, way))
            exits.append(way)
        self.exits.append(exits)
