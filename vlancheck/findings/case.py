"""What a check looks at: one survey with its verdicts, and which VLANs are needed where."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import cached_property, reduce
from operator import or_

import networkx as nx

from vlancheck.changes.change import Comparison
from vlancheck.dot1q.model import Device, Port
from vlancheck.dot1q.rules import Rule
from vlancheck.dot1q.tags import C_TAG, Frame, Tag
from vlancheck.evidence import Origins
from vlancheck.places import split_place
from vlancheck.reconciliation.moved import Reconciled
from vlancheck.site.accepted import Accepted
from vlancheck.site.endpoints import EndpointKind
from vlancheck.site.handoffs import Handoff
from vlancheck.site.pieces import Piece, Run
from vlancheck.site.sheet import Contradiction, Doubt, Endpoint
from vlancheck.verdicts.arriving import lowest
from vlancheck.verdicts.ground import Ground
from vlancheck.verdicts.orders import Batch, Order, OrderKind, batch_of
from vlancheck.verdicts.verdict import Direction, EndingVerdict, State, Verdict, Way
from vlancheck.vids import WIRE, members
from vlancheck.walk.flood import What
from vlancheck.wiring.network import Link, Network

_VOICE = 4  # tagged VLANs at a port with a phone that are taken for voice, at most


@dataclass(frozen=True, slots=True)
class Gone:
    """Something accepted that is not found."""

    entry: Accepted  # what was accepted
    absent: tuple[str, ...] = ()  # its boxes that the survey has not


@dataclass(frozen=True)
class Case:
    """One survey, for checks."""

    ground: Ground  # network, carriage, reasons, occupancy, holds
    devices: Mapping[str, Device]  # the boxes as they were read, members of bundles with ports of their own
    cords: tuple[Link, ...] = ()  # the cords as they were given, each cord of a bundle by itself
    verdicts: tuple[Verdict, ...] = ()  # on everything declared
    endpoints: Mapping[str, Endpoint] = field(default_factory=dict)  # DEVICE:PORT -> what hangs there
    contradictions: tuple[Contradiction, ...] = ()  # rows of the sheet that cannot all be right
    doubts: tuple[Doubt, ...] = ()  # rows nothing was made of
    analog: Mapping[str, Origins] = field(default_factory=dict)  # DEVICE:PORT -> rows that put an analog cord into it
    pieces: tuple[Piece, ...] = ()  # what each row of the patch sheet says
    runs: tuple[Run, ...] = ()  # its cords one behind the other, from socket to socket
    absent: Mapping[str, Origins] = field(default_factory=dict)  # device of the sheet -> why nobody captured it
    comparison: Comparison | None = None  # with an earlier survey, where there is one
    moves: Reconciled | None = None  # what was seen in both, held against the sheet; None without an earlier one
    stale: Mapping[str, Origins] = field(default_factory=dict)  # device -> why its captures prove nothing
    typed: frozenset[str] = frozenset()  # DEVICE:PORT that lines to be pasted change
    deleted: Mapping[str, tuple[tuple[int, Origins], ...]] = field(default_factory=dict)  # device -> VIDs, pasted lines
    earlier: Case | None = None  # the survey it is compared with, where there is one
    was: Callable[[str], str] = str  # DEVICE:PORT -> its name in the earlier survey
    failed: Mapping[str, Origins] = field(default_factory=dict)  # DEVICE:PORT, jack or device -> tests that failed
    ordered: Mapping[str, tuple[Handoff, ...]] = field(default_factory=dict)  # DEVICE:PORT -> ordered of the carrier
    accepted: tuple[Accepted, ...] = ()  # findings that somebody answers for
    taken: str = ""  # when the survey was taken, `2026-03-14 22:40:00`; "" when nobody says
    whole: bool = True  # nothing is out of service or not yet done: what is not found is not there
    gone: tuple[Gone, ...] = ()  # accepted and not found, for checks that look at what the others found

    @property
    def network(self) -> Network:
        """Return the boxes joined: bundles as one port, negotiated modes settled."""
        return self.ground.network

    @property
    def orders(self) -> tuple[Order, ...]:
        """Return everything declared."""
        return tuple(verdict.order for verdict in self.verdicts)

    def losses(self) -> Iterator[tuple[Verdict, EndingVerdict, Direction]]:
        """Yield every direction of an ending that is refuted, with its reason."""
        for verdict in self.verdicts:
            for ending in verdict.endings:
                if ending.state is State.NOT_YET:
                    continue
                for way in dict.fromkeys((ending.inward, ending.back)):
                    if way is not None and way.way is Way.REFUTED:
                        yield verdict, ending, way

    def relay_vids(self, order: Order) -> tuple[int, ...]:
        """Return the relay VIDs that the frames of a service get where it enters; () for a VLAN."""
        found = 0
        for stop in order.enters if order.kind is OrderKind.SERVICE else ():
            if at := self.ground.judged_at(stop.place) if stop.place else "":
                for batch in order.batches:
                    found |= self._relay(at, batch)
        return tuple(members(found))

    @cached_property
    def needed_on(self) -> Mapping[str, int]:
        """Which VIDs (a bitset) are needed on each device: of what is declared, and untagged or voice at endpoints."""
        found: dict[str, int] = {}
        for at, batch in self._needed():
            # what a router takes is needed at the bridge that it hangs on
            place = at if self.relays(at) else self.network.peer.get(at, at)
            device = split_place(place)[0]
            found[device] = found.get(device, 0) | self._relay(place, batch)
        return found

    @cached_property
    def needed_frames(self) -> Mapping[str, int]:
        """Which frames of at most one tag (bit 4095: untagged) are needed at each boundary port."""
        found: dict[str, int] = {}
        for place, batch in self._needed():
            if len(batch.tpids) == 1:
                found[place] = found.get(place, 0) | int(batch.value)
        return found

    def needed_across(self, link: Link) -> int:
        """Return which VIDs are needed on both sides of a link; on a ring, those needed at two places round it."""
        return self._across.get(frozenset((link.one, link.other)), 0)

    def links(self) -> Iterator[Link]:
        """Yield the links at both ends of which frames are bridged."""
        for link in self.network.links:
            if all(self.relays(place) for place in (link.one, link.other)):
                yield link

    def relays(self, place: str) -> bool:
        """Tell whether a bridge classifies the frames of a port."""
        device, port = split_place(place)
        return any(bridge_port.port == port for bridge_port in self.network.devices[device].bridge_ports.values())

    def deleted_at(self, device: str) -> int:
        """Return the VIDs (a bitset) that lines to be pasted delete at a box."""
        return reduce(or_, (bits for bits, _ in self.deleted.get(device, ())), 0)

    def port(self, place: str) -> Port | None:
        """Return a port as it was read, a member of a bundle for itself; None where there is none."""
        device, port = split_place(place)
        return self.devices[device].ports.get(port) if device in self.devices else None

    @cached_property
    def cord_at(self) -> Mapping[str, Link]:
        """The cords, by the ports at either end."""
        return {place: cord for cord in self.cords for place in (cord.one, cord.other)}

    def named_at(self, place: str) -> Origins:
        """Return where the text names a port."""
        return self.network.port(place).origins

    @cached_property
    def _across(self) -> Mapping[frozenset[str], int]:
        """What is needed across each link, by its ends: taken apart at a link, or a ring, the boxes fall into parts."""
        graph: nx.Graph[str] = nx.Graph()
        between: dict[frozenset[str], list[frozenset[str]]] = {}
        for link in self.network.links:
            one, other = split_place(link.one)[0], split_place(link.other)[0]
            if one != other:
                graph.add_edge(one, other)
                between.setdefault(frozenset((one, other)), []).append(frozenset((link.one, link.other)))
        found: dict[frozenset[str], int] = {}
        for ring in list(nx.biconnected_component_edges(graph)):
            graph.remove_edges_from(ring)
            several = seen = 0
            for device in {end for edge in ring for end in edge}:
                bits = self._any(nx.node_connected_component(graph, device))
                several |= seen & bits
                seen |= bits
            graph.add_edges_from(ring)
            found.update((ends, several) for edge in ring for ends in between[frozenset(edge)])
        return found

    def _any(self, devices: set[str]) -> int:
        found = 0
        for device in devices:
            found |= self.needed_on.get(device, 0)
        return found

    def _needed(self) -> Iterator[tuple[str, Batch]]:
        for order in self.orders:
            stops = [(stop, order.batches) for stop in order.enters]
            for stop in order.stops:
                said = not isinstance(stop.frame, str)
                stops.append((stop, (batch_of(stop.frame),) if said else (*order.batches, batch_of(()))))
            for stop, batches in stops:
                if at := self.ground.judged_at(stop.place) if stop.place else "":
                    yield from ((at, batch) for batch in batches)
        for place, endpoint in self.endpoints.items():
            at = self.ground.judged_at(place)
            if at:
                yield at, batch_of(())
                if EndpointKind.PHONE in endpoint.kinds:
                    yield from ((at, batch) for batch in self._voice(at))

        for device in self.devices.values():
            for port in device.ports.values():
                place = f"{device.name}:{port.name}"
                if port.seen and place not in self.endpoints and (at := self.ground.judged_at(place)):
                    yield from ((at, batch) for batch in self._shown(at, port))

    def _shown(self, place: str, port: Port) -> Iterator[Batch]:
        """Yield the frames in which addresses were learned at a port: tagged where their VLAN leaves it tagged."""
        device, name = split_place(place)
        tagged = 0
        for bridge_port in self.network.devices[device].bridge_ports.values():
            if bridge_port.port == name:
                tagged |= bridge_port.member.sure & ~bridge_port.untagged.possible
        learned = {one.vid for one in port.seen if one.mac}
        for vid in learned:
            yield batch_of((Tag(C_TAG, vid),) if vid is not None and tagged >> vid & 1 else ())

    def _voice(self, place: str) -> Iterator[Batch]:
        """Yield the frames that a phone at a port may tag."""
        device, port = split_place(place)
        for bridge_port in self.network.devices[device].bridge_ports.values():
            tagged = bridge_port.member.sure & ~bridge_port.untagged.possible & WIRE
            if bridge_port.port == port and 0 < tagged.bit_count() <= _VOICE:
                from vlancheck.verdicts.orders import Frames, batches

                yield from batches(Frames(tagged))

    def _relay(self, place: str, batch: Batch) -> int:
        """Return the relay VIDs that a batch of frames gets at a place, or would get if the bridge had the VLAN."""
        if len(batch.shape) == 1 and batch.shape[0].vids.bit_count() > 1:
            return batch.shape[0].vids
        frame = lowest(batch, batch.value)
        if (vids := _plainly(self.network, place, frame)) is not None:
            return vids
        walked = self.ground.reasons.walk(place, frame)
        for step in walked.steps:
            absent = step.rule is Rule.VLAN_ABSENT and step.port == place
            if (step.what is What.ENTERS or absent) and step.vid is not None:
                return 1 << step.vid
        return 0


def _plainly(network: Network, place: str, frame: Frame) -> int | None:
    """Return what `_relay` does, without a walk, where one plain bridge port settles it; None where it takes a walk."""
    device, port = split_place(place)
    box = network.devices[device]
    here = [found for found in box.bridge_ports.values() if found.port == port]
    if len(here) != 1 or len(frame) > 1:
        return None
    found = here[0]
    if found.select or found.entry or found.doubt or found.tpids != {C_TAG} or (frame and frame[0].tpid != C_TAG):
        return None
    if False in (box.ports[port].up.value, box.ports[port].link.value, found.up.value):
        return 0
    vid = frame[0].vid if frame and frame[0].vid else found.pvid.value
    if not isinstance(vid, int) or not found.forwarding.sure >> vid & 1:
        return None
    if frame and frame[0].vid and not found.admit.sure >> vid & 1:
        return None
    return 1 << vid
