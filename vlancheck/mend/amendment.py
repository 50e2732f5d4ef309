"""What is to be changed at a site, as a value: VLANs made, ports set, cords moved; no dialect is known here."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from vlancheck.dot1q.model import Device
from vlancheck.places import natural, split_place
from vlancheck.site.repatched import NewEnd
from vlancheck.vids import members, of, text
from vlancheck.writer import PortEdit, PortPlan, Wish, WriteError, plan_of

KEEP = -1  # the VID of untagged frames stays as it is


@dataclass(frozen=True, slots=True)
class PortChange:
    """What is to become of one port; whatever it does not name stays."""

    add: int = 0  # bitset of the VIDs it is to carry tagged
    drop: int = 0  # bitset of the VIDs it is to carry no longer
    untagged: int | None = KEEP  # VID of untagged frames, both ways; None: none any more
    enable: bool = False  # it is to be turned on

    def joined(self, other: PortChange) -> PortChange | None:
        """Return both changes as one; None where they contradict each other."""
        bare = {one.untagged for one in (self, other)} - {KEEP}
        if len(bare) > 1 or self.add & other.drop or self.drop & other.add:
            return None
        untagged = bare.pop() if bare else KEEP
        return PortChange(self.add | other.add, self.drop | other.drop, untagged, self.enable or other.enable)

    def plan(self, now: PortPlan) -> PortPlan:
        """Return what a port that is `now` is to be."""
        untagged = now.untagged if self.untagged == KEEP else self.untagged
        if untagged is not None and (self.drop | self.add) >> untagged & 1:
            untagged = None
        tagged = (now.tagged | self.add) & ~self.drop
        if untagged is not None:
            tagged &= ~(1 << untagged)
        return PortPlan(now.port, untagged, tagged, True if self.enable else None)

    @property
    def words(self) -> str:
        """Return the change in words."""
        said = [f"tagged also VLAN {text(self.add)}"] if self.add else []
        said += [f"VLAN {text(self.drop)} no longer"] if self.drop else []
        if self.untagged != KEEP:
            said.append("nothing untagged" if self.untagged is None else f"untagged VLAN {self.untagged}")
        said += ["enabled"] if self.enable else []
        return ", ".join(said)


@dataclass(frozen=True, slots=True)
class CordChange:
    """One end of a cord that goes to another port."""

    name: str  # panel port, jack or port at its other end
    label: str  # of the cord; "" none
    before: str  # DEVICE:PORT where it is
    after: str  # DEVICE:PORT where it goes
    end: NewEnd  # what changes in the sheet
    ask: str = ""  # who must be asked first, and why; "" nobody


@dataclass(frozen=True)
class Amendment:
    """Changes that belong together."""

    create: frozenset[tuple[str, int]] = frozenset()  # (device, VID) of VLANs to be made
    ports: Mapping[str, PortChange] = field(default_factory=dict)  # DEVICE:PORT -> what is to become of it
    cords: tuple[CordChange, ...] = ()  # cords to be moved

    def __post_init__(self) -> None:
        object.__setattr__(self, "ports", MappingProxyType(dict(self.ports)))

    def joined(self, other: Amendment) -> Amendment | None:
        """Return both as one; None where they contradict each other."""
        ports = dict(self.ports)
        for place, change in other.ports.items():
            both = ports[place].joined(change) if place in ports else change
            if both is None:
                return None
            ports[place] = both
        moved = {one.before for one in self.cords}
        cords = self.cords + tuple(one for one in other.cords if one not in self.cords)
        if any(one.before in moved for one in other.cords if one not in self.cords):
            return None
        return Amendment(self.create | other.create, ports, cords)

    @property
    def devices(self) -> tuple[str, ...]:
        """Return the boxes at which something is typed."""
        names = {device for device, _ in self.create} | {split_place(place)[0] for place in self.ports}
        return tuple(sorted(names, key=natural))

    def vlans(self, device: str) -> int:
        """Return the VLANs to be made at a box."""
        return of(vid for name, vid in self.create if name == device)

    def ports_of(self, device: str) -> dict[str, PortChange]:
        """Return the changes of the ports of a box, by the port's own name."""
        found = {split_place(place): change for place, change in self.ports.items()}
        return {port: change for (name, port), change in found.items() if name == device}

    def wish(self, device: Device) -> Wish:
        """Return what a box is to become; WriteError where a port is no plain one, so that it cannot be told."""
        plans: list[PortPlan] = []
        edits: list[PortEdit] = []
        for port, change in self.ports_of(device.name).items():
            try:
                plans.append(change.plan(plan_of(device, port)))
            except WriteError:
                if change.untagged != KEEP or change.enable:
                    raise
                edits.append(PortEdit(port, change.add, change.drop))
        return Wish(create=self.vlans(device.name), ports=tuple(plans), edits=tuple(edits))

    def words(self, device: str) -> tuple[str, ...]:
        """Return in words what is to become of a box."""
        made = [f"make VLAN {vid}" for vid in members(self.vlans(device))]
        return (*made, *(f"{port}: {change.words}" for port, change in self.ports_of(device).items()))

    def __hash__(self) -> int:
        return hash((self.create, frozenset(self.ports.items()), self.cords))

    @property
    def empty(self) -> bool:
        """Tell whether nothing is to be changed."""
        return not (self.create or self.ports or self.cords)


def all_joined(several: Iterable[Amendment]) -> Amendment | None:
    """Return changes as one; None where some contradict each other."""
    found: Amendment | None = Amendment()
    for one in several:
        found = found.joined(one) if found is not None else None
    return found
