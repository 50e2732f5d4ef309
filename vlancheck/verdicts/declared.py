"""The boxes of one survey and their network in, orders and the ground they are judged on out."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace

from vlancheck.dot1q.model import DeviceKind
from vlancheck.dot1q.tags import C_TAG, Frame, Tag
from vlancheck.evidence import Origins, join
from vlancheck.places import split_place
from vlancheck.site import frames as sites
from vlancheck.site.boxes import Boxes
from vlancheck.site.declaration import Declaration
from vlancheck.site.frames import EndingFrame, Tags
from vlancheck.site.handoffs import Handoff
from vlancheck.site.placed import PlacedEnding, PlacedService, PlacedVlan
from vlancheck.site.spots import Spot
from vlancheck.site.strands import panel_key
from vlancheck.verdicts.ground import CarrierTags, Ground
from vlancheck.verdicts.orders import Frames, Order, OrderKind, Same, Stop, batches
from vlancheck.wiring.network import Network


def orders(boxes: Boxes) -> tuple[Order, ...]:
    """Return everything that was ordered and promised, services first, each in the order declared.

    Raises SiteError for a tag of more than two levels.
    """
    services = tuple(_service(one) for one in boxes.placed.services)
    vlans = tuple(_vlan(one) for one in boxes.placed.vlans)
    return tuple(_doubted(order, boxes) for order in (*services, *vlans))


def _doubted(order: Order, boxes: Boxes) -> Order:
    """Return the order with the doubtful rows that name a stop of it where no other row says what is patched there."""
    if not boxes.doubts:
        return order
    rows: dict[str, Origins] = {}
    for doubt in boxes.doubts:
        for end in doubt.ends:
            rows[panel_key(end.name)] = join(rows.get(panel_key(end.name), ()), doubt.origins)

    def told(stop: Stop) -> Stop:
        return stop if stop.place else replace(stop, doubt=join(stop.doubt, rows.get(panel_key(stop.name), ())))

    return replace(order, enters=tuple(map(told, order.enters)), stops=tuple(map(told, order.stops)))


def ground(declaration: Declaration, boxes: Boxes, network: Network) -> Ground:
    """Return the survey as verdicts ask for it."""
    held: dict[str, str] = {}
    for hold in boxes.placed.holds:
        held |= {network.stands_for.get(place, place): hold.why or "hold" for place in hold.places}
    return Ground(network, boxes.occupancy, held, dict(_carriers(declaration, boxes, network)))


def handoffs_at(boxes: Boxes, network: Network) -> Mapping[str, tuple[Handoff, ...]]:
    """Return what was ordered of the carrier at each handoff, by the port that acts for it."""
    found: dict[str, tuple[Handoff, ...]] = {}
    for one in boxes.placed.handoffs:
        for place in one.spot.places:
            at = network.stands_for.get(place, place)
            found[at] = (*found.get(at, ()), one.declared)
    return found


def _carriers(declaration: Declaration, boxes: Boxes, network: Network) -> Iterable[tuple[str, CarrierTags]]:
    """Yield the carrier's box that is corded beyond a handoff; without one, what the order says of tags there."""
    for place, several in handoffs_at(boxes, network).items():
        for one in several:
            if one.map:
                yield place, CarrierTags(one.carrier or "the carrier", one.map, "order", one.said["map"].origins)
    for place in network.handoffs:
        device, port = split_place(network.peer.get(place, ":"))
        if device in network.devices and network.devices[device].kind is DeviceKind.CARRIER_BOX:
            declared = declaration.devices.get(device)
            row = declared.carrier_ports.get(port) if declared else None
            rows, said = (row.rows, row.said) if row else ({}, "")
            if rows or not any(one.map for one in handoffs_at(boxes, network).get(place, ())):
                yield place, CarrierTags(device, rows, said, row.origins if row else ())


def _service(placed: PlacedService) -> Order:
    declared = placed.declared
    try:
        made = batches(_frames(declared.tag), _frames(declared.inner) if declared.inner else None)
    except ValueError as error:
        raise declared.tag.at.error(str(error)) from error
    return Order(
        kind=OrderKind.SERVICE,
        name=declared.name,
        tag=declared.tag.text,
        batches=made,
        enters=tuple(_stop(spot, None, declared.at.origins) for spot in placed.enters),
        stops=tuple(_ending(ending) for ending in placed.endings),
        origins=declared.at.origins,
        apart=declared.apart,
    )


def _vlan(placed: PlacedVlan) -> Order:
    declared = placed.declared
    tag = (Tag(C_TAG, declared.vid),)
    stops = tuple(_ending(ending) for ending in placed.endings)
    return Order(
        kind=OrderKind.VLAN,
        name=declared.name or f"VLAN {declared.vid}",
        tag=str(declared.vid),
        batches=batches(Frames(1 << declared.vid)),
        enters=(),
        stops=tuple(replace(stop, frame=tag) if isinstance(stop.frame, Same) else stop for stop in stops),
        origins=declared.at.origins,
        never=tuple(_stop(spot, (), declared.at.origins) for spot in placed.never),
        only=declared.only,
        vid=declared.vid,
    )


def _frames(tags: Tags) -> Frames:
    return Frames(tags.vids | int(tags.every), tags.untagged, tags.stacks)


def _ending(ending: PlacedEnding) -> Stop:
    return _stop(ending.spot, ending.frame, ending.declared.where.origins)


def _stop(spot: Spot, frame: EndingFrame, origins: Origins) -> Stop:
    match frame:
        case None:
            told: Frame | Same = Same.ANY
        case sites.Same():
            told = Same.SAME
        case _:
            told = frame
    return Stop(spot.name, spot.place, told, join(origins, spot.origins), spot.absent, spot.doubt)
