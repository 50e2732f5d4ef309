"""A text in jot in, the case that checks look at out: its network, the verdicts on what it orders, holds, endpoints."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import replace

from vlancheck.changes.compare import Meant, compare
from vlancheck.changes.side import EVERY_FRAME, Side
from vlancheck.changes.signing import must_sign
from vlancheck.dot1q.tags import parse_frame
from vlancheck.evidence import assumed
from vlancheck.findings.case import Case
from vlancheck.notation.parsing import Notation
from vlancheck.notation.words import Line
from vlancheck.reconciliation.reconcile import reconcile
from vlancheck.reconciliation.sightings import Row, Sighted
from vlancheck.site.anchors import Anchor, AnchorKind
from vlancheck.site.boxes import Occupancy, Occupied
from vlancheck.site.endpoints import endpoint_kinds
from vlancheck.site.pieces import Piece, Run
from vlancheck.site.sheet import Clash, Contradiction, Doubt, Endpoint
from vlancheck.verdicts.ground import CarrierTags, Ground
from vlancheck.verdicts.judge import judge
from vlancheck.verdicts.orders import Frames
from vlancheck.wiring import Link, wire


def case(notation: Notation, before: Notation | None = None) -> Case:
    """Return the survey that `notation` describes, judged, and compared with an earlier one where there is one."""
    links = tuple(Link(one, other) for one, other in notation.links)
    network = wire(notation.devices, links, handoffs=notation.handoffs)
    ordered = notation.ordered
    unknown = assumed("nobody says whether something is plugged in")

    def occupancy(place: str) -> Occupied:
        if place in ordered.empty:
            return Occupied(Occupancy.EMPTY, assumed("nothing is plugged in"))
        if place in ordered.unknown:
            return Occupied(Occupancy.UNKNOWN, unknown)
        return Occupied(Occupancy.OCCUPIED, ())

    tags = {
        place: CarrierTags(one.carrier or "the carrier", one.map, "order", one.said["map"].origins)
        for place, several in ordered.carrier.items()
        for one in several
        if one.map
    }
    ground = Ground(network, occupancy, ordered.holds, tags)
    orders = tuple(ordered.orders.values())
    verdicts = tuple(judge(ground, order, tuple(one for one in orders if one is not order)) for order in orders)
    endpoints = {
        place: Endpoint(place, text, endpoint_kinds(text), assumed(f"{text} hangs at {place}"))
        for place, text in ordered.endpoints.items()
    }
    devices = {device.name: device for device in notation.devices}
    contradictions = tuple(
        Contradiction(Clash.PORT_TWICE, place, words, (origins,), (place,))
        for place, words, origins in ordered.contradictions
    )
    doubts = tuple(Doubt(words, origins) for words, origins in ordered.doubtful)
    made = Case(
        ground,
        devices,
        links,
        verdicts,
        endpoints,
        contradictions,
        doubts,
        pieces=tuple(ordered.rows),
        runs=_runs(ordered.rows, {f"{box.name}:{port}" for box in notation.devices for port in box.ports}),
        absent=ordered.uncaptured,
        stale=ordered.stale,
        typed=frozenset(ordered.typed),
        deleted=ordered.deleted,
        failed=ordered.failed,
        ordered={network.stands_for.get(place, place): several for place, several in ordered.carrier.items()},
        accepted=tuple(ordered.accepted),
    )
    if before is None:
        return made
    was = case(before)
    sides = side_of(was), side_of(made)
    compared = compare(*sides, map(_meant, ordered.meant), sign=lambda at: must_sign(was.ground, was.endpoints, at))
    moves = reconcile(_sighted(was, sides[0]), _sighted(made, sides[1]))
    return replace(made, comparison=compared, moves=moves, earlier=was)


def _sighted(case: Case, side: Side) -> Sighted:
    """Return the survey as evidence about cords asks for it: `serves` and `link` lines are its rows."""
    rows = [Row(side.anchors[place].name, (place,), one.origins) for place, one in case.endpoints.items()]
    rows += [Row(one, (one, other), origins) for one, other, origins in case.cords]
    return Sighted(side, case.devices, case.cords, tuple(rows), case.endpoints, frozenset(case.stale))


def side_of(case: Case) -> Side:
    """Return the survey as a comparison looks at it: a port is known by what hangs there, where only it has that."""
    counted = Counter(endpoint.text for endpoint in case.endpoints.values())
    anchors = {}
    for place in case.network.boundary:
        endpoint = case.endpoints.get(place)
        alone = endpoint is not None and counted[endpoint.text] == 1
        name = endpoint.text if endpoint and alone else place
        anchors[place] = Anchor(AnchorKind.ENDPOINT if alone else AnchorKind.PORT, name.casefold(), name)
    needed = dict(case.needed_frames)
    needed |= {place: EVERY_FRAME for place in case.network.boundary if case.network.only_ends(place)}
    return Side(case.ground, anchors, needed)


def _runs(rows: Sequence[Piece], ports: set[str]) -> tuple[Run, ...]:
    """Return the cords one behind the other: two rows that name one socket, which is no port, are joined there."""
    left = [row for row in rows if row.is_cord]
    made = []
    while left:
        first = left.pop(0)
        before, after = (list(_beyond(socket, left, ports)) for socket in first.sockets)
        made.append((*reversed(before), first, *after))
    return tuple(made)


def _beyond(socket: str, left: list[Piece], ports: set[str]) -> Iterator[Piece]:
    """Yield the cords behind a socket, and take them out of those that are left."""
    while socket not in ports and (row := next((one for one in left if socket in one.sockets), None)) is not None:
        left.remove(row)
        yield row
        socket = row.sockets[1 - row.sockets.index(socket)]


def _meant(row: tuple[str, str, Frames, Line]) -> Meant:
    place, way, frames, line = row

    def among(text: str) -> bool:
        frame = parse_frame(text)
        if not frame:
            return frames.untagged
        return frame in frames.stacks or (len(frame) == 1 and bool(frames.vids >> frame[0].vid & 1))

    gains, loses = (among, None) if way == "gains" else (None, among)
    return Meant(place, frozenset({place}), gains, loses, " ".join(line.words[2:]), line.origins)
