"""The patch sheet of a survey in, its cords as rows of worksheets out: every cord of it, and none twice."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from enum import IntEnum
from typing import assert_never

from vlancheck.dot1q.model import DeviceKind
from vlancheck.evidence import Origins
from vlancheck.moves.worksheets.scene import Scene
from vlancheck.places import split_place
from vlancheck.site.cordkinds import CordKind, cord_kind
from vlancheck.site.endpoints import EndpointKind, endpoint_kinds
from vlancheck.site.ends import EndSort
from vlancheck.site.placed import PlacedHold
from vlancheck.site.sheet import SheetCord
from vlancheck.site.strands import panel_key


class Role(IntEnum):
    """What a cord is for; the order is the one in which cords come out (common practice, no source)."""

    DESK = 1  # to a jack, or to what hangs at a desk
    SERVER = 2
    UPLINK = 3  # between boxes that pass frames on
    ROUTER = 4
    HANDOFF = 5
    POWER = 6
    FIXED = 7  # cabling of the building: it stays


@dataclass(frozen=True, slots=True)
class CordRow:
    """One cord."""

    key: str  # jack or panel port it leads to, else a DEVICE:PORT of it; else what its row names first
    one: str  # an end as written, the one at the panel first
    other: str  # the other end
    label: str  # on the cord; "" none
    written: str  # its kind as written
    kind: CordKind | None  # its kind, where the words name one
    colour: str
    length: str
    serves: str  # what hangs at its end
    kinds: tuple[EndpointKind, ...]  # what the words name
    room: str
    note: str
    panel: str  # panel or room list its key belongs to; "" for a cord between boxes
    places: tuple[str, ...]  # DEVICE:PORT it leads to
    role: Role  # what it is for
    hold: str  # what must be asked, and of whom; "" when nobody must
    owner: str  # whom to ask; "" when nobody says
    why: str  # what hangs on a held cord
    origins: Origins  # its row

    @property
    def cord(self) -> str:
        """Return what it is called: its label and what it is made of."""
        return ", ".join(word for word in (self.label, self.written, self.colour, self.length) if word)

    @property
    def remark(self) -> str:
        """Return what hangs there, where, and what the sheet remarks."""
        room = f"room {self.room}" if self.room and "room" not in self.room.casefold() else self.room
        return "; ".join(word for word in (self.serves, room, self.note) if word)


class Holds:
    """Whoever must be asked about a cord, by what either survey says: no hold is lost between the two."""

    def __init__(self, *scenes: Scene) -> None:
        """Take the holds of all surveys."""
        self._named: dict[str, PlacedHold] = {}
        self._placed = {scene.name: {place: hold for hold in scene.holds for place in hold.places} for scene in scenes}
        for scene in scenes:
            for hold in scene.holds:
                self._named.setdefault(panel_key(hold.name), hold)
            for row in scene.boxes.rows:
                found = next((one for place in row.places if (one := self._placed[scene.name].get(place))), None)
                names = (row.name, row.row.jack, row.row.label if isinstance(row.row, SheetCord) else "")
                for name in names if found else ():
                    if found and name:
                        self._named.setdefault(panel_key(name), found)

    def at(self, scene: Scene, names: Iterable[str], places: Iterable[str]) -> PlacedHold | None:
        """Return the hold of a cord of a survey that has these names and leads to these ports."""
        for name in names:
            if name and (hold := self._named.get(panel_key(name))):
                return hold
        return next((hold for place in places if (hold := self._placed[scene.name].get(place))), None)


def told(hold: PlacedHold | None) -> str:
    """Return a hold in words, with whom to ask; "" for none."""
    if hold is None:
        return ""
    return f"HOLD{': ' if hold.why else ''}{hold.why}; ask {hold.owner or 'its owner'} first"


def cords(scene: Scene, holds: Holds) -> tuple[CordRow, ...]:
    """Return a row for every cord that a survey's sheet and site.yaml tell, in their order."""
    sheet = scene.boxes.sheet
    placed = {id(row.row): row for row in scene.boxes.rows}
    made: list[CordRow] = []
    for cord in sheet.cords if sheet else ():
        row = placed.get(id(cord))
        named = {end.name for end in cord.ends}
        made.append(_of_row(scene, holds, cord, row.name if row else "", row.places if row else _ports(scene, named)))
    return (*made, *_declared(scene, holds))


def _of_row(scene: Scene, holds: Holds, cord: SheetCord, name: str, places: tuple[str, ...]) -> CordRow:
    one, other = cord.ends
    panel = scene.boxes.panels.get(name)
    if panel is None and (jack := scene.boxes.jacks.get(name)) is not None:
        panel = scene.boxes.panels.get(jack.panel)
    outer = name and (panel is not None or name in scene.boxes.jacks)
    if other.sort in (EndSort.PANEL, EndSort.JACK, EndSort.THING) or (outer and _is(other.name, name)):
        one, other = other, one
    if outer and _is(other.name, name) and not _is(one.name, name):
        one, other = other, one
    key = name if outer or not places else places[0]
    hold = holds.at(scene, (name, cord.jack, panel.jack if panel else "", cord.label), places)
    serves = cord.serves or next((scene.boxes.endpoints[p].text for p in places if p in scene.boxes.endpoints), "")
    kind = cord_kind(cord.kind)
    kinds = endpoint_kinds(serves)
    return CordRow(
        key=key or one.name,
        one=one.text or one.name,
        other=other.text or other.name,
        label=cord.label,
        written=cord.kind,
        kind=kind,
        colour=cord.colour,
        length=cord.length,
        serves=serves,
        kinds=kinds,
        room=cord.room or (panel.room if panel else ""),
        note="; ".join(word for word in (_contradicted(scene, cord), cord.note) if word),
        panel=(panel.panel or "ports without a panel") if panel else "jacks" if outer else "",
        places=places,
        role=_role(scene, places, kind, kinds, fixed="permanent" in cord.kind.casefold()),
        hold=told(hold),
        owner=hold.owner if hold else "",
        why=hold.why if hold else "",
        origins=cord.origins,
    )


def _declared(scene: Scene, holds: Holds) -> Iterator[CordRow]:
    """Yield the cords that site.yaml declares and no row of the sheet tells."""
    for chain in scene.boxes.chains:
        for strand in chain.strands:
            if strand.cords:
                continue
            nodes = sorted(strand.nodes, key=lambda node: node.sort is EndSort.PORT)
            outer = nodes[0].sort is not EndSort.PORT
            panel = scene.boxes.panels.get(nodes[0].name)
            hold = holds.at(scene, (nodes[0].name, strand.label) if outer else (strand.label,), chain.ports)
            serves = next((scene.boxes.endpoints[p].text for p in chain.ports if p in scene.boxes.endpoints), "")
            yield CordRow(
                key=nodes[0].name,
                one=nodes[0].name,
                other=nodes[1].name,
                label=strand.label,
                written="",
                kind=None,
                colour="",
                length="",
                serves=serves,
                kinds=endpoint_kinds(serves),
                room=panel.room if panel else "",
                note="",
                panel=(panel.panel if panel else split_place(nodes[0].name)[0]) if outer else "",
                places=chain.ports,
                role=_role(scene, chain.ports, None, endpoint_kinds(serves)),
                hold=told(hold),
                owner=hold.owner if hold else "",
                why=hold.why if hold else "",
                origins=strand.origins,
            )


def _contradicted(scene: Scene, cord: SheetCord) -> str:
    """Return what is said of a cord whose row another row contradicts."""
    several = (*scene.boxes.contradictions, *(scene.boxes.sheet.contradictions if scene.boxes.sheet else ()))
    found = any(not {*cord.origins}.isdisjoint(one.origins) for one in several)
    return "TRACE IT: another row says otherwise" if found else ""


def _ports(scene: Scene, named: Iterable[str]) -> tuple[str, ...]:
    """Return those of some names that are ports of the survey: the cord itself carries no frames."""
    known = scene.boxes.devices
    return tuple(sorted(name for name in named if split_place(name)[0] in known))


def _is(written: str, name: str) -> bool:
    return panel_key(written) == panel_key(name)


def _role(
    scene: Scene,
    places: tuple[str, ...],
    kind: CordKind | None,
    kinds: tuple[EndpointKind, ...],
    fixed: bool = False,
) -> Role:
    if fixed:
        return Role.FIXED
    if kind is CordKind.POWER:
        return Role.POWER
    if any(place in scene.boxes.handoffs for place in places):
        return Role.HANDOFF
    boxes = [found for place in places if (found := scene.kind(place)) is not None]
    roles = [_of_box(one) for one in boxes]
    if len(places) == 2 or kind is CordKind.STACK:
        return max((role for role in roles if role is not Role.UPLINK), default=Role.UPLINK)
    far = Role.SERVER if {EndpointKind.SERVER, EndpointKind.PHONE_SYSTEM} & {*kinds} else Role.DESK
    # a cord to a jack is a desk's, whatever box it comes from; one from a router or a carrier's box is theirs
    return max([far, *(role for role in roles if role in (Role.ROUTER, Role.HANDOFF))])


def _of_box(kind: DeviceKind) -> Role:
    """Return what a cord to a box of this kind is for."""
    match kind:
        case DeviceKind.CARRIER_BOX:
            return Role.HANDOFF
        case DeviceKind.ROUTER | DeviceKind.FIREWALL:
            return Role.ROUTER
        case DeviceKind.HOST:
            return Role.SERVER
        case DeviceKind.PHONE | DeviceKind.ACCESS_POINT:
            return Role.DESK
        case DeviceKind.BRIDGE | DeviceKind.THROUGH | DeviceKind.UNMANAGED | DeviceKind.PANEL:
            return Role.UPLINK
        case _:
            assert_never(kind)
