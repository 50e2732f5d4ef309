"""A plant and cords that go elsewhere in, the plant with those cords out; all else is shared and not laid anew."""

from __future__ import annotations

from collections.abc import Mapping
from copy import copy

from vlancheck.walk.plant import Plant


def recorded(plant: Plant, joined: Mapping[str, str]) -> Plant:
    """Return the plant in which the ports of `joined` lead to other ones; to "" where their cord is walked no further.

    What the ports do stays as it is: modes are not negotiated anew, and bundles stay what they were.
    """
    made = copy(plant)
    made.onward = {place: far for place, far in plant.onward.items() if place not in joined}
    made.onward |= {place: far for place, far in joined.items() if far}
    made.stops = (plant.stops - {place for place, far in joined.items() if far}) | {
        place for place, far in joined.items() if not far
    }
    return made
