"""Cords between boxes in; what it does when one of their ends is exchanged with another cord, out."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from vlancheck.changes.side import Side
from vlancheck.dot1q.forward import View, World
from vlancheck.dot1q.model import DeviceKind
from vlancheck.dot1q.tags import C_TAG, TAGS, UNTAGGED, Frame, Tag
from vlancheck.moves.harm import Harm, Leaf
from vlancheck.places import split_place
from vlancheck.vids import members
from vlancheck.walk.cycles import cycles
from vlancheck.walk.flood import Flood, What, flood
from vlancheck.walk.plant import Plant
from vlancheck.walk.recorded import recorded

_WITNESSES = 4  # VIDs of a cord that are followed
_FRAMES = 4  # frames of a place that are tried as witnesses
_MOST = 1500  # exchanges that are tried, at most; with more of them those at one box alone
_SENDERS = 4  # places of a box whose frames are followed, each with needs or a treatment of its own
_SAME = "the two ports do the same"
_SEVERAL = 2  # endpoints that hear or reach no more; with so many it is the site


@dataclass(frozen=True, slots=True)
class Tangle:
    """An end of a cord between boxes that is exchanged with another cord."""

    port: str  # DEVICE:PORT where the cord belongs
    other: str  # DEVICE:PORT where it is instead
    harm: Harm
    words: str  # in one sentence
    pairs: int = 1  # exchanges that this stands for: with each cord of which the same becomes


@dataclass(frozen=True, slots=True)
class _Witness:
    """A frame that crosses a cord."""

    sender: str  # DEVICE:PORT
    frame: Frame  # as it is sent
    vid: int  # relay VID in which it arrives or leaves at the port
    heard: frozenset[str]  # boundary ports that hear it
    rings: frozenset[str]  # ports that copies go round by, where nothing blocks them


class Tangles:
    """Tries exchanges, by walks of frames that cross the cord."""

    def __init__(self, side: Side, cells: Sequence[Sequence[Leaf]]) -> None:
        """Take the survey, and its other cords by cells of which the same becomes."""
        self.side, self.cells = side, cells
        self.network = side.ground.network
        self.plant: Plant = _sure(side)
        self.views: dict[str, tuple[View, ...]] = {
            place: tuple(view for view in takers if isinstance(view, View))
            for place, takers in self.plant.takers.items()
        }

    def all(self) -> tuple[list[Tangle], int]:
        """Return every exchange of a cord between boxes with another one, and how many exchanges were not tried.

        All are tried where that are not too many, else those at one box.
        """
        cords = [place for place in self.network.peer if self._movable(place)]
        cells = self._cells()
        several = sum(len(ports) for ports in cells.values())
        far = len(cords) * (len(cords) // 2 + several) <= _MOST
        crossing = self._crossing(cords)
        found: list[Tangle] = []
        left = 0
        for number, place in enumerate(cords):
            device = split_place(place)[0]
            for other in cords[number + 1 :]:
                if other == self.network.peer[place]:
                    continue  # the other end of the same cord
                if far or split_place(other)[0] == device:
                    found.append(self._tried(place, other, crossing))
                else:
                    left += 1
            for box, ports in cells.items():
                for alike in ports.values():
                    if far or box == device:
                        tangle = self._tried(place, alike[0][0].place, crossing)
                        found += [self._with_leaf(tangle, cell) for cell in alike]
                    else:
                        left += sum(map(len, alike))
        return found, left

    def _cells(self) -> dict[str, dict[object, list[list[Leaf]]]]:
        """Return the cords to no other box by device, and by what their ports do with frames."""
        found: dict[str, dict[object, list[list[Leaf]]]] = {}
        for cell in self.cells:
            apart: dict[tuple[str, object], list[Leaf]] = {}
            for leaf in cell:
                views = self.views.get(leaf.place, ())
                bridges = tuple(id(self.plant.bridge[view.name]) for view in views)
                apart.setdefault((split_place(leaf.place)[0], (_does(views), bridges)), []).append(leaf)
            for (device, does), leaves in apart.items():
                found.setdefault(device, {}).setdefault(does, []).append(leaves)
        return found

    def _movable(self, place: str) -> bool:
        """Tell whether the cord at a port of one of our bridges leads to another box."""
        box = self.network.devices[split_place(place)[0]]
        far = self.network.peer.get(place)
        if box.kind is not DeviceKind.BRIDGE or box.owner == "carrier" or far is None:
            return False
        return place not in self.network.handoffs and far not in self.network.handoffs and place in self.plant.onward

    def _tried(self, place: str, other: str, crossing: Mapping[str, list[_Witness]]) -> Tangle:
        if self._same(place, other):
            return Tangle(place, other, Harm.NONE, _SAME)
        far, beyond = self.network.peer[place], self.network.peer.get(other, "")
        joined = {other: far, far: other, place: beyond}
        if beyond:
            joined[beyond] = place
        plant = recorded(self.plant, joined)
        several = self._witnesses(place, other, crossing)
        if beyond:
            several += self._witnesses(other, place, crossing)
        worst = Tangle(place, other, Harm.NONE, "")
        for witness in several:
            after = flood(plant, witness.sender, witness.frame)
            found = self._judged(witness, after, {place, other}, {place, other, far, beyond})
            if found is not None and found[0] > worst.harm:
                worst = Tangle(place, other, found[0], found[1])
            if worst.harm is Harm.SITE:
                return worst
        return worst

    def _same(self, one: str, other: str) -> bool:
        """Tell whether two ports of one bridge do the same with every frame."""
        mine, theirs = self.views.get(one, ()), self.views.get(other, ())
        if len(mine) != 1 or len(theirs) != 1 or _does(mine) != _does(theirs):
            return False
        return self.plant.bridge[mine[0].name] is self.plant.bridge[theirs[0].name]

    def _witnesses(self, place: str, other: str, crossing: Mapping[str, list[_Witness]]) -> list[_Witness]:
        """Return frames that cross the cord of one port, those first that the other one does not carry."""
        carried = 0
        for view in self.views.get(other, ()):
            carried |= view.member
        return sorted(crossing.get(place, ()), key=lambda one: carried >> one.vid & 1)[: _WITNESSES * 2]

    def _with_leaf(self, tangle: Tangle, cell: Sequence[Leaf]) -> Tangle:
        """Return an exchange with each of several cords that lead to no other box."""
        leaf = cell[0]
        found = replace(tangle, other=leaf.place, pairs=len(cell))
        if leaf.kinds and tangle.harm < Harm.SILENT and tangle.words != _SAME:
            return replace(found, harm=Harm.SILENT, words=f"{leaf.name} is in a port between boxes")
        return found

    def _judged(self, witness: _Witness, after: Flood, moved: set[str], corded: set[str]) -> tuple[Harm, str] | None:
        # A ring that goes by another port than before is no news: what kept it from going round still does.
        if after.growing or (corded & self._rings(after) and not corded & witness.rings):
            return Harm.SITE, "a loop: frames go round for ever"
        heard = {place for place, *_ in after.delivered} - moved - {witness.sender}
        lost = sorted(place for place in witness.heard - moved - heard if self._wants(place, witness))
        gained = heard - witness.heard
        if toward := sorted(gained & self.network.handoffs):
            return Harm.CARRIER, f"frames of {witness.sender} get to the handoff {toward[0]}"
        whose = f"{witness.sender} is not heard any more at {lost[0]}" if lost else ""
        if len(lost) >= _SEVERAL or any(self.network.only_ends(place) for place in (*lost, witness.sender) if lost):
            return Harm.SITE, whose + (f" and {len(lost) - 1} more" if len(lost) > 1 else "")
        if lost:
            return Harm.SILENT, whose
        return (Harm.SILENT, f"{witness.sender} is heard at {min(gained)}") if gained else None

    def _rings(self, walked: Flood) -> frozenset[str]:
        return frozenset(self.plant.place[state[0]] for ring in cycles(walked) for state in ring)

    def _wants(self, place: str, witness: _Witness) -> bool:
        return bool(self.side.needed.get(place, 0)) or place in self.network.handoffs or place == witness.sender

    def _crossing(self, cords: Sequence[str]) -> dict[str, list[_Witness]]:
        """Return for each cord frames that cross it, from either side, for a few VIDs."""
        wanted = set(cords)
        found: dict[str, list[_Witness]] = {}
        seen: set[tuple[str, bool, int]] = set()
        speakers: set[tuple[tuple[str, ...], int]] = set()
        asked: Counter[str] = Counter()
        for place in self.network.boundary:
            needs = self.side.needed.get(place, 0)
            key = (self.side.ground.carried.carriage.speakers(place), needs)
            device = split_place(place)[0]
            if not needs or key in speakers or (asked[device] >= _SENDERS and place not in self.network.handoffs):
                continue
            speakers.add(key)
            asked[device] += 1
            for frame in _frames(needs):
                walked = flood(self.plant, place, frame)
                heard, rings = frozenset(at for at, *_ in walked.delivered) - {place}, self._rings(walked)
                for event in walked.events:
                    if event.place not in wanted or event.what not in (What.ENTERS, What.LEAVES):
                        continue
                    mark = (event.place, event.what is What.ENTERS, event.vid)
                    several = found.setdefault(event.place, [])
                    if mark not in seen and sum(one.vid == event.vid for one in several) < 2:
                        seen.add(mark)
                        several.append(_Witness(place, frame, event.vid, heard, rings))
        return found


def _sure(side: Side) -> Plant:
    from vlancheck.walk.walk import plant

    return plant(side.ground.network, World.SURE)


def _does(views: tuple[View, ...]) -> object:
    """Return what a port does with frames, without its name."""
    return tuple(tuple(getattr(view, name) for name in View.__slots__ if name != "name") for view in views)


def _frames(needs: int) -> Iterator[Frame]:
    """Yield the untagged frame and a few tagged ones among those needed."""
    if needs & UNTAGGED:
        yield ()
    for number, vid in enumerate(members(needs & TAGS)):
        if number == _FRAMES:
            return
        yield (Tag(C_TAG, vid),)
