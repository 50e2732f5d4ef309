"""The planned survey in, the sheet by which the night is accepted out: each jack, what is due there, what to try."""

from __future__ import annotations

from collections.abc import Iterable

from vlancheck.moves.worksheets import cautions, order
from vlancheck.moves.worksheets.cords import CordRow, Holds, Role, cords, told
from vlancheck.moves.worksheets.expected import declared, endings, frames, said
from vlancheck.moves.worksheets.scene import Scene
from vlancheck.moves.worksheets.sheet import Blank, Fill, Row, Worksheet
from vlancheck.places import natural, split_place
from vlancheck.site.endpoints import ON_HOLD, EndpointKind, endpoint_kinds
from vlancheck.site.strands import panel_key

NAME = "acceptance"
FIRST = "Test first"
_HELD = "HOLD: the owner tests"
_JUDGED = (Role.DESK, Role.SERVER, Role.ROUTER)

# What a person tries at each kind of endpoint; common practice, no source.
_TEST = {
    EndpointKind.ALARM: "the owner sends a signal and the monitoring station says it came; a dial tone is no test",
    EndpointKind.LIFT: "the lift company calls from the cabin and is answered; both hear each other",
    EndpointKind.EMERGENCY: "its owner makes a call that was announced, and the place shown to the other side is right",
    EndpointKind.MEDICAL: "the ward's own people raise a call and see it arrive",
    EndpointKind.DOOR: "its owner calls, speaks and opens; it still opens from inside by hand",
    EndpointKind.FAX: "send and receive a page",
    EndpointKind.PAYMENT: "the owner makes a payment and takes it back",
    EndpointKind.PRINTER: "print a page from a desk",
    EndpointKind.CAMERA: "a live picture, and it is recorded",
    EndpointKind.ACCESS_POINT: "powered and found by its controller; a client joins each network",
    EndpointKind.PHONE: "it registers, its own number shows, one call out and one in with voice both ways",
    EndpointKind.PHONE_SYSTEM: "a call out and a call in over the line, and one from desk to desk",
    EndpointKind.SERVER: "it answers from a desk, and its service does",
    EndpointKind.DISPLAY: "it shows its picture after a restart",
    EndpointKind.PC: "an address of the right range, the gateway, and one thing its user works with",
    EndpointKind.BUILDING: "its owner sees it in the building's own system",
    EndpointKind.OTHER: "ask its user what it does, and see it do that",
}
_GATEWAY = "from a desk in each VLAN: the gateway answers, and what is behind it does"
_CARRIER = (
    "through it, both ways: a full-size packet that may not be split (a ping with 1472 octets of data), a short one; "
    "and the light that the port measures"
)
_NO_WORDS = "link; an address of the right range; ask what hangs here"


def acceptance(scene: Scene, holds: Holds, first: Iterable[str] = ()) -> Worksheet:
    """Return a row for each jack and each other place where something ends.

    `first` names the rows that are the most dangerous to get wrong, worst first: these are tested before the others.
    """
    ranks = {panel_key(name): rank for rank, name in enumerate(first)}
    rows = [row for row in cords(scene, holds) if row.role in _JUDGED or _ends_there(scene, row)]
    made = [_of_cord(scene, row, ranks) for row in rows] + _others(scene, holds, rows, ranks)
    made += [row for row in _handoffs(scene, holds) if row.key not in {other.key for other in made}]

    def rank(row: Row) -> tuple[object, ...]:
        return row.part == _HELD, row.part != FIRST, ranks.get(panel_key(row.key), len(ranks))

    panels = {row.key: row.panel for row in rows}
    made.sort(key=lambda row: (not panels.get(row.key), natural(row.part), natural(row.key)))
    made.sort(key=rank)
    return Worksheet(
        name=NAME,
        title="Acceptance, jack by jack",
        use="The frame at the port, the VLAN it is in and what that is called, by the model of the planned survey. "
        "Only what was tried at the jack is passed; not tested is an answer, too.",
        headings=("Jack or port", "What hangs there", "Frame -> VLAN, name", "The model says", "Try"),
        rows=tuple(made),
        blanks=(Blank("Result", Fill.RESULT, "result"), Blank("Seen", Fill.WORDS, "seen")),
        cautions=(cautions.HOLD, cautions.DECIDE) if any(row.hold for row in made) else (),
        signatures=("Tested by", "Accepted for the site by"),
        wide=True,
    )


def try_at(kinds: Iterable[EndpointKind]) -> str:
    """Return what to try at an endpoint of these kinds; what people's safety hangs on comes first."""
    several = sorted({*kinds}, key=lambda kind: (kind not in ON_HOLD, list(EndpointKind).index(kind)))
    return "; ".join(_TEST[kind] for kind in several) or _NO_WORDS


def _kinds(row: CordRow) -> set[EndpointKind]:
    """Return what hangs at a cord, by what either sheet and the hold say of it; else by what its box is called."""
    said = {*row.kinds, *endpoint_kinds(row.why)}
    named = {kind for place in row.places for kind in endpoint_kinds(split_place(place)[0])} - {EndpointKind.OTHER}
    return said or (named if row.role is Role.SERVER else set())


def _ends_there(scene: Scene, row: CordRow) -> bool:
    """Tell whether frames end at a cord between boxes: beyond it is something that nobody can look into."""
    if row.role is not Role.UPLINK or len(row.places) != 2:
        return False
    return any(place in scene.network.peer and scene.network.ends_at(place) for place in row.places)


def _of_cord(scene: Scene, row: CordRow, ranks: dict[str, int]) -> Row:
    where = " ".join(word for word in (row.key, f"({row.room})" if row.room else "") if word)
    hangs = row.serves or " to ".join((row.one, row.other))
    names = (row.key, row.one, row.other)
    test = _GATEWAY if row.role is Role.ROUTER else try_at(_kinds(row))
    cells = (where, hangs, frames(scene, row.places), declared(scene, row.places, names), test)
    return Row(row.key, cells, _part(row.key, order.at(row), row.hold, ranks), row.hold, row.label, test=test)


def _handoffs(scene: Scene, holds: Holds) -> list[Row]:
    """Return a row for each handoff: what only a test shows of the carrier's side is tried through it."""
    made = []
    for one in scene.boxes.placed.handoffs:
        name, place = one.spot.name, one.spot.place
        hold = told(holds.at(scene, (name,), (name, place)))
        cells = (name, one.declared.called, frames(scene, (place,)), "the carrier's side is not modelled", _CARRIER)
        made.append(Row(name, cells, _part(name, "Handoffs", hold, {}), hold, test=_CARRIER))
    return list({row.key: row for row in made}.values())


def _others(scene: Scene, holds: Holds, rows: list[CordRow], ranks: dict[str, int]) -> list[Row]:
    """Return a row for each place where something must come out and to which no cord of the sheet leads."""
    there = {place for row in rows for place in row.places} | {panel_key(row.key) for row in rows}
    judged = {scene.case.ground.judged_at(place) for place in there if place in scene.network.peer} | there
    found: dict[str, list[str]] = {}
    for verdict, ending in endings(scene):
        name = ending.stop.name
        if not {ending.at, ending.stop.place, panel_key(name)} - {""} & judged:
            found.setdefault(name, []).append(f"{verdict.order.name} {ending.frame}: {said(ending)}")
    made = []
    for name, several in found.items():
        hold = told(holds.at(scene, (name,), (name,)))
        cells = (name, "", frames(scene, (name,)), "; ".join(dict.fromkeys(several)), _NO_WORDS)
        made.append(
            Row(name, cells, _part(name, "Declared, and on no cord of the sheet", hold, ranks), hold, test=_NO_WORDS)
        )
    return made


def _part(key: str, at: str, hold: str, ranks: dict[str, int]) -> str:
    return _HELD if hold else FIRST if panel_key(key) in ranks else at
