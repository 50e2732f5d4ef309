"""What site.yaml declares in, the same at the ports of one survey out."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from vlancheck.dot1q.tags import format_frame
from vlancheck.evidence import Origins, assumed, join
from vlancheck.site.declaration import Declaration
from vlancheck.site.endpoints import ON_HOLD, EndpointKind, endpoint_kinds
from vlancheck.site.ends import is_doubt, is_free
from vlancheck.site.expected import Expected, Hold
from vlancheck.site.frames import SAME, EndingFrame
from vlancheck.site.handoffs import Handoff
from vlancheck.site.places import PlaceError
from vlancheck.site.services import Ending, Service, Vlan
from vlancheck.site.sheet import LooseRow, PlacedRow, SheetCord
from vlancheck.site.spots import Spot, Spots
from vlancheck.site.yamltext import Value


@dataclass(frozen=True, slots=True)
class PlacedEnding:
    """Where a service or a VLAN must come out."""

    spot: Spot  # the place; its `place` is "" when nothing is patched there
    frame: EndingFrame  # the frame at the port; None when not said
    declared: Ending  # as site.yaml has it


@dataclass(frozen=True, slots=True)
class PlacedHandoff:
    """A handoff at its port."""

    spot: Spot  # the place
    declared: Handoff  # as site.yaml has it


@dataclass(frozen=True, slots=True)
class PlacedService:
    """A service at its ports."""

    declared: Service  # as site.yaml has it
    enters: tuple[Spot, ...]  # where it enters
    endings: tuple[PlacedEnding, ...]  # where it must come out, each once


@dataclass(frozen=True, slots=True)
class PlacedVlan:
    """A VLAN at its ports."""

    declared: Vlan  # as site.yaml has it
    endings: tuple[PlacedEnding, ...]  # where it must come out, each once
    never: tuple[Spot, ...]  # what it must not touch


@dataclass(frozen=True, slots=True)
class PlacedExpected:
    """A meant change at its place."""

    declared: Expected  # as site.yaml has it
    spots: tuple[Spot, ...]  # where it is


@dataclass(frozen=True, slots=True)
class PlacedHold:
    """A row nobody may touch without its owner."""

    name: str  # jack, panel port, cord or DEVICE:PORT
    places: tuple[str, ...]  # DEVICE:PORT its cord leads to; () when nothing is patched
    why: str  # what hangs there, or what the sheet says
    owner: str  # whom to ask; "" when not said
    assumed: bool  # nobody wrote `hold`; what hangs there is taken for one
    origins: Origins  # the row or the line


@dataclass(frozen=True, slots=True)
class Placed:
    """Everything declared, at the ports of one survey."""

    handoffs: tuple[PlacedHandoff, ...] = ()  # in the order declared
    services: tuple[PlacedService, ...] = ()  # in the order declared
    vlans: tuple[PlacedVlan, ...] = ()  # in the order declared
    expected: tuple[PlacedExpected, ...] = ()  # in the order declared
    holds: tuple[PlacedHold, ...] = ()  # declared ones first, then those of the sheet


def spots_at(spots: Spots, text: str, at: Value) -> tuple[Spot, ...]:
    """Return what `text` stands for; SiteError at `at`, with the nearest names, when it is nothing."""
    try:
        return spots.find(text)
    except PlaceError as error:
        raise at.error(error.message, error.hint) from error


def place_handoffs(spots: Spots, handoffs: Iterable[Handoff]) -> tuple[PlacedHandoff, ...]:
    """Return the handoffs at their ports, and let their circuits be names of places."""
    placed = []
    for handoff in handoffs:
        spot = _single(spots, handoff.at, handoff.where, "a handoff")
        placed.append(PlacedHandoff(spot, handoff))
        if handoff.circuit:
            key = handoff.circuit.casefold()
            if key in spots.circuits and spots.circuits[key].places != spot.places:
                what = f"the circuit {handoff.circuit} is at {spots.circuits[key].places[0]} already"
                raise handoff.where.error(what, "a circuit has one handoff")
            spots.circuits[key] = replace(spot, kind=spot.kind.CIRCUIT, name=handoff.circuit)
    return tuple(placed)


def place_all(
    spots: Spots,
    declaration: Declaration,
    handoffs: tuple[PlacedHandoff, ...],
    rows: Iterable[PlacedRow],
) -> Placed:
    """Return everything declared, at its ports; `rows` are rows of the sheet with the name and the ports they mean."""
    services = tuple(
        PlacedService(
            service,
            tuple(_single(spots, value.word("`enters`"), value, "where a service enters") for value in service.enters),
            _endings(spots, service.leaves),
        )
        for service in declaration.services
    )
    vlans = tuple(
        PlacedVlan(
            vlan,
            _endings(spots, vlan.reaches),
            tuple(spot for value in vlan.never for spot in spots_at(spots, value.word("`never`"), value)),
        )
        for vlan in declaration.vlans
    )
    expected = tuple(PlacedExpected(one, spots_at(spots, one.at, one.where)) for one in declaration.expected)
    declared = tuple(_hold(spots, one) for one in declaration.holds)
    return Placed(handoffs, services, vlans, expected, _with_rows(declared, rows))


def hold_of_row(row: SheetCord | LooseRow, name: str, places: tuple[str, ...]) -> PlacedHold | None:
    """Return the hold that a row of a sheet makes: by its `hold` cell, else by what it serves; None for neither.

    A row that serves an alarm, a lift, a door, an emergency or a medical line is held until the cell says `no`.
    """
    said = row.hold.strip()
    kinds = endpoint_kinds(row.serves)
    if said and (said.lower() in ("no", "n", "false", "0", "released") or is_free(said)):
        return None
    if not said and ON_HOLD.isdisjoint(kinds):
        return None
    if said:
        plain = is_doubt(said) or said.lower() in ("yes", "y", "x", "true", "1", "hold")
        why = row.serves or ("" if plain else said)
        return PlacedHold(name, places, why, "" if plain or why == said else said, False, row.origins)
    held = next(kind for kind in EndpointKind if kind in kinds and kind in ON_HOLD)
    because = assumed(f"the row serves {row.serves}: {held} lines are held until the hold column says no")
    return PlacedHold(name, places, row.serves, "", True, join(row.origins, because))


def _single(spots: Spots, text: str, at: Value, what: str) -> Spot:
    found = spots_at(spots, text, at)
    if len(found) != 1:
        raise at.error(f"{text!r} is a range of {len(found)} ports; {what} is one", "write them one by one")
    return _one_port(found[0], text, at)


def _one_port(spot: Spot, text: str, at: Value) -> Spot:
    if len(spot.places) > 1:
        raise at.error(f"{text!r} joins {' and '.join(spot.places)}", "write the one that is meant")
    return spot


def _endings(spots: Spots, endings: Iterable[Ending]) -> tuple[PlacedEnding, ...]:
    made: dict[tuple[str, EndingFrame], PlacedEnding] = {}
    for ending in endings:
        for found in spots_at(spots, ending.at, ending.where):
            spot = _one_port(found, ending.at, ending.where)
            frame = _frame(spot, ending)
            made.setdefault((spot.place or spot.name, frame), PlacedEnding(spot, frame, ending))
    return tuple(made.values())


def _frame(spot: Spot, ending: Ending) -> EndingFrame:
    """Return the frame at the port; a sub-interface is its port and its tag, whatever is said of what it sees."""
    if not spot.interface or not spot.frame:
        return ending.frame
    if ending.frame in ((), None, SAME, spot.frame) or ending.by_vid:
        return spot.frame
    tag = format_frame(spot.frame)
    hint = f"leave `frame` out, or write untagged or {tag}; another tag belongs to another sub-interface"
    raise ending.where.error(f"{ending.at} takes frames with the tag {tag}", hint)


def _hold(spots: Spots, hold: Hold) -> PlacedHold:
    found = spots_at(spots, hold.at, hold.where)
    places = tuple(dict.fromkeys(place for spot in found for place in spot.places))
    name = found[0].name if len(found) == 1 else hold.at
    return PlacedHold(name, places, hold.why, hold.owner, False, hold.where.origins)


def _with_rows(declared: tuple[PlacedHold, ...], rows: Iterable[PlacedRow]) -> tuple[PlacedHold, ...]:
    """Return the declared holds, and those of the sheet that no declaration names already."""
    named = {hold.name for hold in declared} | {place for hold in declared for place in hold.places}
    made: dict[str, PlacedHold] = {}
    for row, name, places in rows:
        hold = hold_of_row(row, name, places)
        if hold is not None and name not in named and not named.intersection(places):
            made.setdefault(name, hold)
    return (*declared, *made.values())
