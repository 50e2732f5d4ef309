"""A jack, port, panel port, cord label, circuit or MAC in, everything known about it in one survey out."""

from __future__ import annotations

from dataclasses import dataclass

from vlancheck.dot1q.model import Seen
from vlancheck.errors import UsageError
from vlancheck.places import split_place
from vlancheck.site.boxes import Boxes, Occupied
from vlancheck.site.chains import Chain
from vlancheck.site.placed import PlacedHandoff, PlacedHold, PlacedService, PlacedVlan
from vlancheck.site.places import PlaceError
from vlancheck.site.sheet import Contradiction, Doubt, Endpoint, Jack, LooseRow, PanelPort, PlacedRow, SheetCord
from vlancheck.site.spots import Spot, SpotKind
from vlancheck.site.strands import panel_key


@dataclass(frozen=True, slots=True)
class About:
    """Everything known about one place."""

    spot: Spot  # what the name stands for
    places: tuple[str, ...]  # DEVICE:PORT; () when nothing is patched there, two for a cord between two ports
    chains: tuple[Chain, ...] = ()  # the cords that lead from it or to it
    panel: PanelPort | None = None  # its panel port
    jack: Jack | None = None  # its outlet
    endpoint: Endpoint | None = None  # what hangs there
    rows: tuple[SheetCord | LooseRow, ...] = ()  # rows of the sheet about it
    handoff: PlacedHandoff | None = None  # the handoff that is there
    holds: tuple[PlacedHold, ...] = ()  # whoever must be asked first
    services: tuple[PlacedService, ...] = ()  # services that enter or come out there
    vlans: tuple[PlacedVlan, ...] = ()  # VLANs that must come out there, or must not
    seen: tuple[
        tuple[str, Seen], ...
    ] = ()  # DEVICE:PORT and what a capture shows behind it; of a MAC itself and neighbours
    occupancy: tuple[Occupied, ...] = ()  # of each of `places` that this survey has
    contradictions: tuple[Contradiction, ...] = ()  # rows about it that cannot all be right
    doubts: tuple[Doubt, ...] = ()  # rows about it that nothing was made of

    @property
    def labels(self) -> tuple[str, ...]:
        """Return the labels of the cords in order."""
        return tuple(label for chain in self.chains for label in chain.labels)


def lookup(boxes: Boxes, text: str) -> tuple[About, ...]:
    """Return what `text` is: one answer, or one for each port of a range.

    Raises UsageError, with the nearest names, for a name that is no place of the site.
    """
    try:
        spots = boxes.spots.find(text)
    except PlaceError as error:
        raise UsageError(error.message, hint=error.hint) from error
    return tuple(_about(boxes, spot) for spot in spots)


def _about(boxes: Boxes, spot: Spot) -> About:
    key = panel_key(spot.name)
    chains = tuple(chain for chain in boxes.chains if _belongs(chain, spot))
    passed = {name for chain in chains for name in chain.passed}
    names = {spot.name, *spot.places} | passed
    outer = [chain.outermost(place) for chain in chains for place in spot.places if place in chain.ports]
    panel = boxes.panels.get(spot.name) or next((boxes.panels[name] for name in outer if name in boxes.panels), None)
    jack = boxes.jacks.get(spot.name) or (boxes.jacks.get(panel.jack) if panel else None)
    if panel is None and jack is not None:
        panel = boxes.panels.get(jack.panel)
    if panel is not None:
        names.add(panel.name)
    keys = {panel_key(name) for name in names}
    rows = tuple(row.row for row in boxes.rows if _about_row(row, keys, spot))
    unclear = {one for place in spot.places for one in boxes.plugs.unclear.get(place, ())}
    hangs = [boxes.endpoints[place] for place in spot.places if place in boxes.endpoints]
    return About(
        spot=spot,
        places=spot.places,
        chains=chains,
        panel=panel,
        jack=jack,
        endpoint=hangs[0] if hangs else _unpatched(boxes, keys),
        rows=rows,
        handoff=next((one for one in boxes.placed.handoffs if names.intersection(one.spot.places)), None),
        holds=tuple(one for one in boxes.placed.holds if panel_key(one.name) == key or names.intersection(_held(one))),
        services=tuple(one for one in boxes.placed.services if _serves(one, names)),
        vlans=tuple(one for one in boxes.placed.vlans if _touches(one, names)),
        seen=tuple(
            (place, one) for place in spot.places if _is_there(boxes, place) for one in _seen(boxes, spot, place)
        ),
        occupancy=tuple(boxes.occupancy(place) for place in spot.places if _is_there(boxes, place)),
        contradictions=tuple(one for one in boxes.contradictions if _contradicts(one, names, spot)),
        doubts=tuple(one for one in boxes.doubts if unclear.intersection(one.origins) or _doubts(one, keys)),
    )


def _is_there(boxes: Boxes, place: str) -> bool:
    """Tell whether this survey has a port: another one's capture may show one that this one's does not."""
    device, port = split_place(place)
    return device in boxes.devices and port in boxes.devices[device].ports


def _seen(boxes: Boxes, spot: Spot, place: str) -> tuple[Seen, ...]:
    """Return what captures show behind a port; of an address, only what is said of it and of neighbours."""
    device, port = split_place(place)
    every = boxes.devices[device].ports[port].seen
    return tuple(one for one in every if spot.kind is not SpotKind.MAC or one.mac in ("", spot.name))


def _belongs(chain: Chain, spot: Spot) -> bool:
    """Tell whether a chain begins at the ports of a spot, or passes the panel port, jack or cord that it is."""
    labels = {label.casefold() for label in chain.labels}
    return bool({*chain.ports}.intersection(spot.places)) or spot.name in chain.passed or spot.name.casefold() in labels


def _about_row(row: PlacedRow, keys: set[str], spot: Spot) -> bool:
    label = row.row.label if isinstance(row.row, SheetCord) else ""
    named = {panel_key(name) for name in (row.name, row.row.jack, *row.places) if name}
    return not keys.isdisjoint(named) or bool(label and label.casefold() == spot.name.casefold())


def _contradicts(clash: Contradiction, names: set[str], spot: Spot) -> bool:
    return bool(names.intersection((clash.name, *clash.places))) or not {*spot.doubt}.isdisjoint(clash.origins)


def _doubts(doubt: Doubt, keys: set[str]) -> bool:
    return any(panel_key(end.name) in keys for end in doubt.ends)


def _unpatched(boxes: Boxes, keys: set[str]) -> Endpoint | None:
    """Return what a row says hangs at a panel port or jack without a cord."""
    found = boxes.sheet.endpoints if boxes.sheet else ()
    return next((endpoint for endpoint in found if panel_key(endpoint.at) in keys), None)


def _held(hold: PlacedHold) -> tuple[str, ...]:
    return hold.name, *hold.places


def _serves(service: PlacedService, names: set[str]) -> bool:
    spots = (*service.enters, *(ending.spot for ending in service.endings))
    return any(names.intersection((spot.name, *spot.places)) for spot in spots)


def _touches(vlan: PlacedVlan, names: set[str]) -> bool:
    spots = (*(ending.spot for ending in vlan.endings), *vlan.never)
    return any(names.intersection((spot.name, *spot.places)) for spot in spots)
