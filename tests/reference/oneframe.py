"""One frame through bridges, copy by copy, straight from the clauses of IEEE Std 802.1Q; slow, simple, shares no code.

Devices, links, a sending port and a frame go in; where every copy ends comes out, for one of two worlds: every
unknown fact taken as out, or as in.  Only the data types of the model are the product's.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from enum import Enum
from typing import NamedTuple

from vlancheck.dot1q.model import NO_TAG, BridgePort, Device, DeviceKind, End, Foreign, PortKind, Rewrite, TagMatch
from vlancheck.dot1q.tags import RESERVED_VID, Frame, Tag
from vlancheck.evidence import UNKNOWN, Cover, Fact

Place = tuple[str, str]  # device, and a port or bridge port of it
Delivery = tuple[str, Frame, str | None]  # boundary port, frame as it crosses, interface that takes it
NOT_WALKED = {DeviceKind.UNMANAGED, DeviceKind.PHONE, DeviceKind.ACCESS_POINT}  # kinds of box no text describes


class World(Enum):
    """How a fact that nobody knows is taken; where it decides between two ways, IN goes both and OUT neither."""

    OUT = "out"
    IN = "in"


class Owner(NamedTuple):
    """Who put a tag on."""

    device: str  # name of the device
    bridge_port: str  # name of the bridge port in it
    side: str  # "entry" or "exit"


class Worn(NamedTuple):
    """A tag on a copy under way."""

    tpid: int  # EtherType of the tag
    vid: int  # VID; inside a bridge also a relay VID that no tag could carry
    owner: Owner | None  # who put it on; None: the sender


Stack = tuple[Worn, ...]  # outermost first


class State(NamedTuple):
    """A copy inside a bridge, between the port it came in by and the ports it leaves by."""

    device: str  # name of the device
    bridge_port: str  # bridge port it came in by
    vid: int  # relay VID
    owner: Owner | None  # who put that VID on
    below: Stack  # tags carried as data


@dataclass(slots=True)
class Fate:
    """What became of the copies of one frame."""

    deliveries: set[Delivery] = field(default_factory=set)  # copies that crossed a boundary
    losses: set[tuple[str, Stack, str]] = field(default_factory=set)  # lost on arrival: port, copy there, rule
    in_doubt: set[tuple[str, Frame]] = field(default_factory=set)  # nothing we read decides: port, frame there
    cycle: bool = False  # some copy comes round to a state it was in
    grows_at: set[tuple[str, Frame]] = field(default_factory=set)  # about to get a tag from a port whose tag is below

    @property
    def growing(self) -> bool:
        """Tell whether some copy would get another tag each time it comes round."""
        return bool(self.grows_at)


class OneFrame:
    """Devices and links in one world, ready to have frames followed through them."""

    def __init__(
        self,
        devices: tuple[Device, ...],
        links: tuple[tuple[str, str], ...],
        world: World,
        handoffs: frozenset[str] = frozenset(),
    ) -> None:
        self.devices = {device.name: device for device in devices}
        self.world = world
        self.handoffs = {_place(port) for port in handoffs}
        self.peers: dict[Place, Place] = {}
        for one, other in links:
            self.peers[_place(one)] = _place(other)
            self.peers[_place(other)] = _place(one)
        self.takers: dict[Place, list[BridgePort | End]] = {}
        for device in devices:
            for taker in (*device.bridge_ports.values(), *device.ends.values()):
                self.takers.setdefault((device.name, taker.port), []).append(taker)
        for standing in self.takers.values():
            standing.sort(key=_particular_first)

    def follow(self, port: str, frame: Frame) -> Fate:
        """Return the fate of `frame`, put in at the boundary port `port` (DEVICE:PORT)."""
        fate = Fate()
        place = _place(port)
        stack = tuple(Worn(tag.tpid, tag.vid, None) for tag in frame)
        takers = self.takers[place]
        if any(isinstance(taker, BridgePort) for taker in takers):
            waiting = list(self._arrive(place, stack, fate))
        elif self._port_up(place) and any(self._true(taker.up) for taker in takers):
            waiting = list(self._cross(place, stack, fate))
        else:
            waiting = []
        followed: dict[State, set[State]] = {}
        while waiting:
            state = waiting.pop()
            if state not in followed:
                followed[state] = set(self._relay(state, fate))
                waiting.extend(followed[state])
        fate.cycle = _has_cycle(followed)
        if fate.growing:
            fate.deliveries.clear()
        return fate

    def boundary(self) -> list[str]:
        """Return the ports where frames start and end, sorted: those that only ends stand on, and where walks end."""
        return sorted(
            ":".join(place)
            for place, standing in self.takers.items()
            if self._ends_the_walk(place) or all(isinstance(taker, End) for taker in standing)
        )

    # ---- arrival: 802.1Q 6.9.1 and 8.6.1 -------------------------------------------------------------------------

    def _arrive(self, place: Place, stack: Stack, fate: Fate) -> Iterator[State]:
        """Yield what a frame becomes that arrives at a port: it goes to the one taker that selects it."""
        device, port = place
        for taker in self.takers.get(place, ()):
            if not taker.select or _matches(taker.select, taker.tpids, stack, foreign_never=isinstance(taker, End)):
                break
        else:
            self._lost(fate, place, stack, "not-taken")
            return
        if not (self._port_up(place) and self._true(taker.up)):
            self._lost(fate, place, stack, "port-down")
        elif isinstance(taker, End):
            fate.deliveries.add((f"{device}:{port}", bare(stack), taker.name))
        elif taker.doubt:
            fate.in_doubt.add((f"{device}:{port}", bare(stack)))
        elif taker.foreign is Foreign.DROP and stack and stack[0].tpid not in taker.tpids:
            self._lost(fate, place, stack, "foreign-tag")
        else:
            yield from self._entry_rows(device, taker, stack, fate)

    def _entry_rows(self, device: str, bridge_port: BridgePort, stack: Stack, fate: Fate) -> Iterator[State]:
        place = device, bridge_port.port
        for row in bridge_port.entry:
            if not _matches(row.match, bridge_port.tpids, stack, foreign_never=False):
                continue
            if not row.sure and self.world is World.OUT:
                return  # with the row or without it: nothing is certain to happen
            if row.drop:
                if not row.sure:
                    continue  # perhaps there is no such row
                self._lost(fate, place, stack, "entry-row")
                return
            yield from self._rewritten(device, bridge_port, row, stack, fate)
            if row.sure:
                return
        yield from self._classify(device, bridge_port, stack, stack, fate)

    def _rewritten(
        self, device: str, bridge_port: BridgePort, row: Rewrite, stack: Stack, fate: Fate
    ) -> Iterator[State]:
        place = device, bridge_port.port
        rest = stack[row.pop :]
        if not row.push:
            yield from self._classify(device, bridge_port, rest, stack, fate)
            return
        me = Owner(device, bridge_port.name, "entry")
        if _wears(rest, me):
            fate.grows_at.add((":".join(place), bare(stack)))
            return
        relay, *others = row.push
        under = tuple(Worn(bridge_port.sends if tag.tpid is None else tag.tpid, tag.vid, me) for tag in others)
        yield from self._tagged(device, bridge_port, relay.vid, me, under + rest, stack, fate)

    def _classify(
        self, device: str, bridge_port: BridgePort, stack: Stack, arrived: Stack, fate: Fate
    ) -> Iterator[State]:
        """Give the frame its VID: that of its tag, or the PVID where it has none or the null VID (6.9.1, 9.6)."""
        outermost = stack[0] if stack and stack[0].tpid in bridge_port.tpids else None
        if outermost is not None and outermost.vid != 0:
            yield from self._tagged(device, bridge_port, outermost.vid, outermost.owner, stack[1:], arrived, fate)
            return
        place = device, bridge_port.port
        pvid = bridge_port.pvid.value
        if pvid is UNKNOWN:
            fate.in_doubt.add((":".join(place), bare(arrived)))
        elif pvid is None:
            self._lost(fate, place, arrived, "no-pvid")
        elif outermost is not None:  # a priority tag becomes a VLAN tag: the frame grows by none
            yield from self._carried(device, bridge_port, pvid, outermost.owner, stack[1:], arrived, fate)
        else:
            me = Owner(device, bridge_port.name, "entry")
            if _wears(stack, me):
                fate.grows_at.add((":".join(place), bare(arrived)))
                return
            yield from self._carried(device, bridge_port, pvid, me, stack, arrived, fate)

    def _tagged(
        self,
        device: str,
        bridge_port: BridgePort,
        vid: int,
        owner: Owner | None,
        below: Stack,
        arrived: Stack,
        fate: Fate,
    ) -> Iterator[State]:
        """Let the frame in if the port accepts its VID: acceptable frame types, ingress filtering (6.9.1, 8.6.2)."""
        if vid == RESERVED_VID:
            self._lost(fate, (device, bridge_port.port), arrived, "reserved-vid")
        elif not self._in(bridge_port.admit, vid):
            self._lost(fate, (device, bridge_port.port), arrived, "not-admitted")
        else:
            yield from self._carried(device, bridge_port, vid, owner, below, arrived, fate)

    def _carried(
        self,
        device: str,
        bridge_port: BridgePort,
        vid: int,
        owner: Owner | None,
        below: Stack,
        arrived: Stack,
        fate: Fate,
    ) -> Iterator[State]:
        """Keep what the bridge has a VLAN for and the arrival port's tree state lets in (8.8, 8.6.1)."""
        bridge = self.devices[device].bridges[bridge_port.bridge]
        place = device, bridge_port.port
        if not self._in(bridge.exists, vid):
            self._lost(fate, place, arrived, "vlan-absent")
        elif not self._in(bridge.active, vid):
            self._lost(fate, place, arrived, "vlan-suspended")
        elif not self._in(bridge_port.forwarding, vid):
            self._lost(fate, place, arrived, "blocked-in")
        else:
            yield State(device, bridge_port.name, vid, owner, below)

    # ---- departure: 802.1Q 8.6.1, 8.6.4 and 6.9.2 ------------------------------------------------------------------

    def _relay(self, state: State, fate: Fate) -> Iterator[State]:
        """Yield what the copies become that leave by each other bridge port of the bridge."""
        ports = self.devices[state.device].bridge_ports
        came_by = ports[state.bridge_port]
        for leaves_by in ports.values():
            if (
                leaves_by.name != came_by.name
                and leaves_by.bridge == came_by.bridge
                and not leaves_by.isolation & came_by.isolation
            ):
                yield from self._leave(state, leaves_by, fate)

    def _leave(self, state: State, bridge_port: BridgePort, fate: Fate) -> Iterator[State]:
        place = state.device, bridge_port.port
        inside = (Worn(bridge_port.sends, state.vid, state.owner), *state.below)
        if not (self._port_up(place) and self._true(bridge_port.up)):
            return
        if bridge_port.doubt:  # whatever may leave by what was read, an unread line may let it out
            fate.in_doubt.add((":".join(place), bare(inside)))
            return
        if not self._in(bridge_port.member, state.vid):
            return
        if not self._in(bridge_port.forwarding, state.vid):
            return
        goes, stays = self._ways(bridge_port.untagged, state.vid)
        if goes:
            yield from self._exit_rows(state.device, bridge_port, state.below, fate)
        if stays:
            yield from self._exit_rows(state.device, bridge_port, inside, fate)

    def _exit_rows(self, device: str, bridge_port: BridgePort, stack: Stack, fate: Fate) -> Iterator[State]:
        counted = bridge_port.tpids | {bridge_port.sends}
        me = Owner(device, bridge_port.name, "exit")
        for row in bridge_port.exit:
            if not _matches(row.match, counted, stack, foreign_never=False):
                continue
            if not row.sure and self.world is World.OUT:
                return
            if row.drop:
                if not row.sure:
                    continue
                return
            rest = stack[row.pop :]
            if row.push and _wears(rest, me):
                fate.grows_at.add((f"{device}:{bridge_port.port}", bare(stack)))
            else:
                pushed = tuple(
                    Worn(bridge_port.sends if tag.tpid is None else tag.tpid, tag.vid, me) for tag in row.push
                )
                yield from self._on_wire(device, bridge_port, pushed + rest, fate)
            if row.sure:
                return
        yield from self._on_wire(device, bridge_port, stack, fate)

    def _on_wire(self, device: str, bridge_port: BridgePort, stack: Stack, fate: Fate) -> Iterator[State]:
        if not stack or stack[0].vid < RESERVED_VID:
            yield from self._cross((device, bridge_port.port), stack, fate, out_of_bridge=True)

    # ---- links ---------------------------------------------------------------------------------------------------

    def _cross(self, place: Place, stack: Stack, fate: Fate, *, out_of_bridge: bool = False) -> Iterator[State]:
        """Yield what a frame becomes that is sent out of a port: delivered there, or over the link, or both."""
        if out_of_bridge and self._ends_the_walk(place):
            fate.deliveries.add((":".join(place), bare(stack), None))
        if self._goes_on(place):
            yield from self._arrive(self.peers[place], stack, fate)

    def _ends_the_walk(self, place: Place) -> bool:
        """Tell whether a copy that leaves here is delivered: nothing that we know all about is beyond."""
        device, port = place
        return (
            place not in self.peers
            or place in self.handoffs
            or self.devices[device].ports[port].kind is PortKind.INSIDE
            or self.devices[self.peers[place][0]].kind in NOT_WALKED
        )

    def _goes_on(self, place: Place) -> bool:
        device, port = place
        if (
            place not in self.peers
            or place in self.handoffs
            or self.devices[device].ports[port].kind is PortKind.INSIDE
        ):
            return False
        return self.world is World.IN or self.devices[self.peers[place][0]].kind not in NOT_WALKED

    # ---- facts of three values -------------------------------------------------------------------------------------

    def _in(self, cover: Cover, vid: int) -> bool:
        return bool((cover.possible if self.world is World.IN else cover.sure) >> vid & 1)

    def _ways(self, untagged: Cover, vid: int) -> tuple[bool, bool]:
        """Return whether the tag may go and whether it may stay."""
        goes, unknown = bool(untagged.sure >> vid & 1), bool((untagged.possible & ~untagged.sure) >> vid & 1)
        if unknown:
            return (True, True) if self.world is World.IN else (False, False)
        return goes, not goes

    def _true(self, fact: Fact[bool]) -> bool:
        return self.world is World.IN if fact.value is UNKNOWN else bool(fact.value)

    def _port_up(self, place: Place) -> bool:
        port = self.devices[place[0]].ports[place[1]]
        return self._true(port.up) and self._true(port.link)

    def _lost(self, fate: Fate, place: Place, arrived: Stack, rule: str) -> None:
        fate.losses.add((":".join(place), arrived, rule))


def _place(written: str) -> Place:
    device, _, port = written.partition(":")
    return device, port


def bare(stack: Stack) -> Frame:
    """Return the frame as the wire shows it."""
    return tuple(Tag(worn.tpid, worn.vid) for worn in stack)


def _wears(stack: Stack, owner: Owner) -> bool:
    return any(worn.owner == owner for worn in stack)


def _particular_first(taker: BridgePort | End) -> tuple[int, list[int], str]:
    """Sort takers: longest selection, then the one that names fewest VIDs, outermost first, then by name."""
    return -len(taker.select), [_size(level.vids) for level in taker.select], taker.name


def _size(vids: int) -> int:
    """Return how many of the values 0 to 4095 a selection names."""
    return (vids & ((1 << 4096) - 1)).bit_count()


def _matches(levels: tuple[TagMatch, ...], accepted: frozenset[int], stack: Stack, *, foreign_never: bool) -> bool:
    """Tell whether a stack has what each level asks at its depth.

    A tag whose TPID does not count is "no tag" to a bridge port and no match at all to an end (`foreign_never`).
    """
    for depth, level in enumerate(levels):
        vid = NO_TAG
        if depth < len(stack):
            if stack[depth].tpid in (accepted if level.tpids is None else level.tpids):
                vid = stack[depth].vid
            elif foreign_never:
                return False
        if not level.vids >> vid & 1:
            return False
    return True


def _has_cycle(arcs: dict[State, set[State]]) -> bool:
    """Tell whether some state leads back to itself: what is left when states without a successor are struck out."""
    left = dict(arcs)
    while dead := [state for state, following in left.items() if not any(other in left for other in following)]:
        for state in dead:
            del left[state]
    return bool(left)
