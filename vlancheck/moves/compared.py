"""One survey in; what is compared of each port with others, what may be done with its cord, and its words, out."""

from __future__ import annotations

import re
from collections.abc import Hashable, Iterator, Mapping
from dataclasses import dataclass, fields, replace
from enum import StrEnum

from vlancheck.changes.side import Side
from vlancheck.changes.signing import must_sign
from vlancheck.dot1q.forward import View, World, see
from vlancheck.dot1q.model import BridgePort, Device, DeviceKind, Port, PortKind, PrivateVlan
from vlancheck.dot1q.properties import SHOWN, Property
from vlancheck.evidence import UNKNOWN, Fact, Origins, join
from vlancheck.moves.exchange import Open
from vlancheck.moves.marks import says_fixed
from vlancheck.places import split_place
from vlancheck.site.badmarks import marked_bad, meant
from vlancheck.site.boxes import Boxes, Occupancy
from vlancheck.site.chains import Chain
from vlancheck.site.cordkinds import CordKind, cord_kind
from vlancheck.vids import WIRE, text

_COMPARED = tuple(item.name for item in fields(View) if item.name not in ("name", "alive"))
_RELAYS = frozenset({DeviceKind.BRIDGE})
_NUMBERS = re.compile(r"\d+")


class Cord(StrEnum):
    """What may be done with the cord of a port."""

    FREE = "free"  # it may move to any port of its class
    SIGN = "sign"  # it may move when somebody signs for it
    EMPTY = "empty"  # nothing is plugged in: a cord may move here
    KEPT = "kept"  # the sheet says that the cord stays, or that the port is bad
    UNCLEAR = "unclear"  # nobody knows whether something is plugged in


@dataclass(frozen=True, slots=True)
class AlikePort:
    """One port that is compared with others."""

    place: str  # DEVICE:PORT
    cord: Cord  # what may be done with its cord
    name: str = ""  # jack or panel port its cord leads to; "" none
    serves: str = ""  # what hangs there, as written
    why: str = ""  # why its cord is not free
    bridge_port: BridgePort | None = None  # what it does with tags
    properties: Mapping[Property, Fact[str]] | None = None  # what it is set to beside VLANs
    origins: Origins = ()  # where it is named


@dataclass(frozen=True, slots=True)
class Apart:
    """A port with something in it that is compared with none."""

    place: str  # DEVICE:PORT
    why: str  # in words
    doubt: bool = False  # something unread or unknown is the reason
    settled_by: str = ""  # what would decide it
    origins: Origins = ()  # the lines


class Compared:
    """Says of one port what is to be compared."""

    def __init__(self, side: Side, boxes: Boxes) -> None:
        self.side, self.boxes = side, boxes
        self.network = side.ground.network
        self.chain: dict[str, Chain] = {port: chain for chain in boxes.chains for port in chain.ports}
        self.bridge_ports: dict[str, list[BridgePort]] = {}
        for device in self.network.devices.values():
            for found in device.bridge_ports.values():
                self.bridge_ports.setdefault(f"{device.name}:{found.port}", []).append(found)
        self.bundles = {f"{d.name}:{p.bundle}" for d in self.network.devices.values() for p in d.ports.values()}
        self.powers = {name for name, box in self.network.devices.items() if _shows_power(box)}
        self.remarks: dict[str, list[str]] = {}
        for placed in boxes.rows:
            for place in placed.places:
                self.remarks.setdefault(place, []).extend((placed.row.note, placed.row.hold))
        self.bad = {
            name: one.note for one in boxes.pieces if marked_bad(one.note) for name in meant(one, self._is_port)
        }
        self._facts: dict[str, Mapping[str, Hashable]] = {}
        self._number: dict[str, int] = {}
        self._of_key: dict[Hashable, int] = {}

    def _is_port(self, name: str) -> bool:
        device, port = split_place(name) if ":" in name else ("", "")
        return device in self.network.devices and port in self.network.devices[device].ports

    def jacks(self) -> Iterator[str]:
        """Yield the ports of our bridges that a cord can go into, in the order of the text."""
        for device in self.network.devices.values():
            if device.kind in _RELAYS and device.owner != "carrier":
                yield from (f"{device.name}:{p.name}" for p in device.ports.values() if p.kind is PortKind.JACK)

    def reason(self, place: str) -> Apart | None:
        """Return why a port is compared with none; None when it is to be compared.

        A reason without words is for a port that nobody asks about.
        """
        network = self.network
        device, name = split_place(place)
        port = network.devices[device].ports[name]
        here = self.bridge_ports.get(place, [])
        if place in self.side.ground.held:
            return Apart(place, f"hold: {self.side.ground.held[place]}", origins=port.origins)
        if place in network.handoffs:
            return Apart(place, "handoff", origins=port.origins)
        if place in self.bundles:
            return Apart(place, "")  # its members are told
        if place in network.stands_for or port.bundle:
            return Apart(place, f"member of the bundle {port.bundle}", origins=port.origins)
        if (far := network.peer.get(place)) is not None:
            return Apart(place, f"its cord leads to {far}", origins=port.origins)
        if not here or not network.ends_at(place):
            return Apart(place, "frames end here" if network.only_ends(place) else "")
        if len(here) > 1:
            return Apart(place, "it holds several bridge ports", origins=port.origins)
        if place in self.boxes.doubted:
            settle = f"trace the cord at {place} and mend the sheet"
            return Apart(place, "rows of the sheet contradict each other here", True, settle, self.boxes.doubted[place])
        if (doubt := here[0].doubt) or UNKNOWN in (here[0].pvid.value, port.up.value, here[0].up.value):
            doubt = doubt or join(here[0].pvid.origins, port.up.origins)
            first = doubt[0] if doubt else None
            why = first.text.strip() if first else "what it does is not known"
            return Apart(place, why, True, first.settle if first else "", doubt)
        if False in (port.up.value, here[0].up.value):
            return Apart(place, "shut", origins=join(port.up.origins, here[0].up.origins))
        if (shut := port.properties.get(Property.SHUT_BY)) is not None:
            return Apart(place, f"the box itself shut it: {shut.value}", origins=shut.origins)
        if unread := [f for p, f in port.properties.items() if f.value is UNKNOWN and p not in SHOWN]:
            return Apart(place, "a line about it is not understood", True, "", unread[0].origins)
        chain = self.chain.get(place)
        kinds = {cord_kind(cord.kind) for strand in chain.strands for cord in strand.cords} if chain else set()
        for kind in (CordKind.FIBRE_PAIR, CordKind.STACK, CordKind.ANALOG):
            if kind in kinds:
                return Apart(place, f"its cord is {kind}", origins=chain.origins if chain else ())
        return None

    def undecided(self, place: str, found: Open) -> Apart:
        """Return a port of which the carriage is not proven."""
        reason = self.side.ground.reasons.undecided(found.sender, found.frame, found.at)
        return Apart(place, reason.words, True, reason.settled_by, reason.evidence)

    def key(self, place: str) -> Hashable:
        """Return what must be equal of ports that are alike, but for where they stand in the network."""
        return tuple(self.facts(place).values())

    def number(self, place: str) -> int:
        """Return a number that ports share whose keys are equal; a port that is not comparable has its own."""
        if place not in self._number:
            key = self.key(place) if self.comparable(place) else place
            self._number[place] = self._of_key.setdefault(key, len(self._of_key))
        return self._number[place]

    def comparable(self, place: str) -> bool:
        """Tell whether a port has one bridge port, so that its settings can be laid beside another's."""
        return len(self.bridge_ports.get(place, ())) == 1

    def facts(self, place: str) -> Mapping[str, Hashable]:
        """Return what is compared of a port, by what it is called."""
        if place not in self._facts:
            self._facts[place] = dict(self._found(place))
        return self._facts[place]

    def _found(self, place: str) -> Iterator[tuple[str, Hashable]]:
        device, name = split_place(place)
        box = self.network.devices[device]
        port, here = box.ports[name], self.bridge_ports[place][0]
        yield "family", box.dialect
        yield "kind of port", kind_of(name)
        yield "power of the box", box.name in self.powers
        yield "VLANs", tuple(self._view(box, port, here, world) for world in (World.SURE, World.POSSIBLE))
        yield "private VLAN", here.private and replace(here.private, origins=())
        for prop in Property:
            fact = port.properties.get(prop)
            if prop not in SHOWN:
                yield str(prop), fact.value if fact is not None else None

    def port(self, place: str) -> AlikePort:
        """Return a port with what may be done with its cord."""
        device, name = split_place(place)
        port = self.network.devices[device].ports[name]
        cord, why = self._cord(place, port)
        chain = self.chain.get(place)
        endpoint = self.boxes.endpoints.get(place)
        outermost = chain.outermost(place) if chain else ""
        serves = endpoint.text if endpoint else ""
        return AlikePort(
            place, cord, outermost, serves, why, self.bridge_ports[place][0], port.properties, port.origins
        )

    def _cord(self, place: str, port: Port) -> tuple[Cord, str]:
        remarks = [text for text in self.remarks.get(place, ()) if text]
        if bad := self.bad.get(place) or next(filter(marked_bad, remarks), ""):
            return Cord.KEPT, f"the sheet calls it bad: {bad}"
        match self.side.ground.occupancy(place).state:
            case Occupancy.EMPTY:
                return Cord.EMPTY, ""
            case Occupancy.UNKNOWN:
                return Cord.UNCLEAR, "nobody knows whether something is plugged in"
            case Occupancy.OCCUPIED:
                pass
        if why := must_sign(self.side.ground, self.boxes.endpoints, place):
            return Cord.SIGN, why
        if fixed := [text for text in remarks if says_fixed(text)]:
            return Cord.KEPT, f"the sheet says: {fixed[0]}"
        if names := [one.neighbour for one in port.seen if one.neighbour]:
            return Cord.SIGN, f"a box that calls itself {names[0]} speaks there"
        if place not in self.boxes.endpoints:
            return Cord.SIGN, "nobody says what hangs there"
        return Cord.FREE, ""

    def _view(self, box: Device, port: Port, here: BridgePort, world: World) -> Hashable:
        view = see(here, port, box.bridges[here.bridge], box.name, world)
        return tuple(getattr(view, name) for name in _COMPARED)

    def differs(self, name: str, one: str, other: str) -> str:
        return f"{name}: {self._worded(name, one)}, there {self._worded(name, other)}"

    def _worded(self, name: str, place: str) -> str:
        device, port = split_place(place)
        box = self.network.devices[device]
        match name:
            case "family":
                return box.dialect or "declared"
            case "kind of port":
                return kind_of(port)
            case "power of the box":
                return "a power table was shown" if device in self.powers else "no power table was shown"
            case "VLANs":
                return vlan_words(self.bridge_ports[place][0])
            case "private VLAN":
                private = self.bridge_ports[place][0].private
                return private_words(private) if private else "none"
            case _:
                fact = box.ports[port].properties.get(Property(name))
                return str(fact.value) if fact is not None else "not set"


def private_words(private: PrivateVlan) -> str:
    """Return the part a port plays in a private VLAN, in words."""
    of = "" if private.primary is None else f" of {private.primary}"
    return f"{private.role}{of}" + (f" in {private.secondary}" if private.secondary is not None else "")


def vlan_words(port: BridgePort) -> str:
    """Return what a bridge port does with VLANs, in the standard's words."""
    pvid = port.pvid.value
    words = [f"PVID {pvid}" if isinstance(pvid, int) else "no PVID" if pvid is None else "PVID unknown"]
    bare = port.member.sure & port.untagged.sure
    own = 1 << pvid if isinstance(pvid, int) else 0
    if bare != own:
        words.append(f"untagged {text(bare & WIRE) or 'none'}")
    if tagged := port.member.sure & ~port.untagged.possible & WIRE:
        words.append(f"tagged {'any' if tagged | own == WIRE or tagged == WIRE else text(tagged)}")
    return ", ".join(words)


def kind_of(name: str) -> str:
    """Return the words of a port's name, and its numbers but for the last and the first of three or more.

    Ports of one kind stand in one row of sockets: the first number of three is the member of a stack, the middle one
    the module (common practice, no source).
    """
    numbers = [found.span() for found in _NUMBERS.finditer(name)]
    kept = numbers[:-1] if len(numbers) < 3 else numbers[1:-1]
    return "".join(
        part if (start, start + len(part)) in kept or not part.isdecimal() else "*"
        for start, part in ((found.start(), found[0]) for found in re.finditer(r"\d+|\D+", name))
    )


def _shows_power(box: Device) -> bool:
    return any(
        Property.POWER_DRAWN in port.properties or Property.POWER in port.properties for port in box.ports.values()
    )
