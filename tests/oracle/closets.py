"""A network of the model in, the wiring of Open vSwitch bridges that does the same out, and what it cannot say."""

from __future__ import annotations

from dataclasses import dataclass, field

from vlancheck.dot1q.model import BridgePort, Device, DeviceKind
from vlancheck.dot1q.tags import Tag, format_frame
from vlancheck.evidence import Cover
from vlancheck.vids import WIRE, members
from vlancheck.walk.walk import Walk
from vlancheck.wiring import Network

from .ovs import Ovs
from .wirings import Bridge, Port, Wiring

_UNUSED = 4000  # a VID that no closet uses: a trunk of it alone carries nothing


@dataclass
class Closet:
    """A network as bridges of Open vSwitch."""

    network: Network  # what it was made of
    wiring: Wiring = field(default_factory=lambda: Wiring(()))  # the bridges
    names: dict[str, tuple[str, str]] = field(default_factory=dict)  # DEVICE:PORT -> bridge and port there
    opaque: set[str] = field(default_factory=set)  # DEVICE:PORT that no port of Open vSwitch is like
    doubtful: dict[str, int] = field(default_factory=dict)  # DEVICE:PORT -> tags that are taken otherwise on arrival

    def decides(self, walked: Walk) -> bool:
        """Tell whether a walk keeps to ports and tags of which Open vSwitch decides as the model is set."""
        for step in walked.steps:
            if step.port in self.opaque or step.port not in self.names:
                return False
            if step.frame.isdecimal() and self.doubtful.get(step.port, 0) >> int(step.frame) & 1:
                return False
        return True

    def heard(self, ovs: Ovs, sender: str, frame: str) -> set[tuple[str, str]]:
        """Return where a frame comes out of the closet that stands, and in which form, as the switch traces it."""
        places = {name: place for place, name in self.names.items()}
        tags = () if frame == "untagged" else ((0x8100, int(frame)),)
        found = ovs.trace(*self.names[sender], tags)
        return {
            (places[one.bridge, one.port], format_frame(tuple(Tag(tpid, vid) for tpid, vid in one.frame)))
            for one in found
            if (one.bridge, one.port) in places
        }


TAP = "tap"  # port of a box that hears every VLAN with its tag


def closet_of(network: Network, tapped: str = "") -> Closet:
    """Return the bridges that do what a network does; of a box that is no plain bridge, ports that carry nothing.

    The box `tapped` gets one port more, TAP.
    """
    made = Closet(network)
    plain = [box for box in network.devices.values() if box.kind is DeviceKind.BRIDGE and len(box.bridges) == 1]
    for number, box in enumerate(plain):
        for count, port in enumerate(box.ports):
            if any(one.port == port for one in box.bridge_ports.values()):
                made.names[f"{box.name}:{port}"] = (f"b{number}", f"b{number}p{count}")
    bridges = []
    for number, box in enumerate(plain):
        ports = [_port(made, box, port) for port in box.ports if f"{box.name}:{port}" in made.names]
        if box.name == tapped:
            ports.append(Port(TAP, vlan_mode="trunk"))
            made.names[f"{box.name}:{TAP}"] = (f"b{number}", TAP)
        bridges.append(Bridge(f"b{number}", tuple(ports)))
    made.wiring = Wiring(tuple(bridges))
    return made


def _port(made: Closet, box: Device, port: str) -> Port:
    place = f"{box.name}:{port}"
    name = made.names[place][1]
    far = made.names.get(made.network.peer.get(place, ""), ("", ""))[1]
    peer = far or None
    mine = [one for one in box.bridge_ports.values() if one.port == port]
    dead = Port(name, vlan_mode="trunk", trunks=(_UNUSED,), peer=peer)
    if False in (box.ports[port].up.value, box.ports[port].link.value) or mine[0].up.value is False:
        return dead
    bridge = box.bridges[mine[0].bridge]
    if len(mine) != 1 or _special(mine[0]) or not all(map(_known, (bridge.exists, bridge.active))):
        made.opaque.add(place)
        return dead
    there = bridge.exists.sure & bridge.active.sure & mine[0].forwarding.sure & WIRE
    carried, bare = mine[0].member.sure & there, mine[0].member.sure & mine[0].untagged.sure & there
    pvid = mine[0].pvid.value
    native = 1 << pvid & there if isinstance(pvid, int) else 0
    tagged = carried & ~bare
    if native != bare:
        made.opaque.add(place)
        return dead
    unknown = mine[0].admit.sure ^ mine[0].admit.possible
    # A port of Open vSwitch with a native VLAN takes that in a tag as well: ovs-vswitchd.conf.db(5), vlan_mode.
    takes = tagged | bare if tagged else 0
    made.doubtful[place] = (unknown | takes ^ mine[0].admit.sure & there) & WIRE
    if not carried:
        return dead
    if not tagged:
        return Port(name, vlan_mode="access", tag=pvid if isinstance(pvid, int) else None, peer=peer)
    if not bare:
        return Port(name, vlan_mode="trunk", trunks=tuple(members(tagged)), peer=peer)
    assert isinstance(pvid, int)
    return Port(name, vlan_mode="native-untagged", tag=pvid, trunks=tuple(members(carried)), peer=peer)


def _special(one: BridgePort) -> bool:
    """Tell whether a port does what is no matter of its sets alone."""
    covers = (one.member, one.untagged & one.member, one.forwarding)
    odd = one.select or one.entry or one.exit or one.isolation or one.private or one.doubt
    return bool(odd) or not all(map(_known, covers))


def _known(cover: Cover) -> bool:
    return not (cover.sure ^ cover.possible) & WIRE
