"""The evidence behind an event: which lines, defaults and assumptions made a bridge port do what it did."""

from __future__ import annotations

from vlancheck.dot1q.model import BridgePort, Port
from vlancheck.dot1q.rules import Rule
from vlancheck.evidence import UNKNOWN, Cover, Fact, Origins, State, join
from vlancheck.places import split_place
from vlancheck.walk.flood import Event
from vlancheck.wiring.network import Network


def evidence(network: Network, event: Event) -> Origins:
    """Return the origins that decided `event`, the ones of an applied row first."""
    port = network.port(event.place)
    device, name = split_place(event.name)
    row = event.row.origins if event.row else ()
    if not name or name not in network.devices[device].bridge_ports:
        return join(row, network.end(event.name).origins if name else (), () if name else port.origins)
    bridge_port = network.bridge_port(event.name)
    bridge = network.bridge(device, bridge_port)
    return join(row, _decided(event, bridge_port, port, bridge.exists, bridge.active))


def named_rule(network: Network, event: Event) -> Rule:
    """Return the event's rule, told apart where sets alone do not: suspended or absent, private or not a member."""
    device, name = split_place(event.name)
    if not name or name not in network.devices[device].bridge_ports or event.vid < 0:
        return event.rule
    bridge_port = network.bridge_port(event.name)
    if event.rule is Rule.VLAN_ABSENT:
        exists = network.bridge(device, bridge_port).exists
        return Rule.VLAN_SUSPENDED if exists.possible >> event.vid & 1 else Rule.VLAN_ABSENT
    if event.rule is Rule.NOT_MEMBER and bridge_port.private is not None:
        return Rule.PRIVATE_VLAN
    return event.rule


def doubt(network: Network, event: Event) -> Origins:
    """Return the origins of the unknown facts that an event rests on; empty when none is unknown."""
    port = network.port(event.place)
    device, name = split_place(event.name)
    facts: list[Fact[bool]] = [port.up, port.link]
    if not name or name not in network.devices[device].bridge_ports:
        if name:
            facts.append(network.end(event.name).up)
        return join(*(fact.origins for fact in facts if fact.value is UNKNOWN))
    bridge_port = network.bridge_port(event.name)
    bridge = network.bridge(device, bridge_port)
    found: list[Origins] = [bridge_port.doubt]
    facts.append(bridge_port.up)
    if bridge_port.pvid.value is UNKNOWN and event.vid < 0:
        found.append(bridge_port.pvid.origins)
    found += [fact.origins for fact in facts if fact.value is UNKNOWN]
    covers = (bridge_port.admit, bridge_port.member, bridge_port.untagged, bridge_port.forwarding)
    for cover in (*covers, bridge.exists, bridge.active):
        if event.vid >= 0 and (why := cover.why(event.vid))[0] is State.UNKNOWN:
            found.append(why[1])
    found += [row.origins for row in (*bridge_port.entry, *bridge_port.exit) if not row.sure]
    return join(*found)


def _decided(event: Event, bridge_port: BridgePort, port: Port, exists: Cover, active: Cover) -> Origins:
    vid = event.vid
    match event.rule:
        case Rule.PORT_DOWN | Rule.PORT_DOWN_OUT:
            return join(*(fact.origins for fact in (port.up, port.link, bridge_port.up) if fact.value is not True))
        case Rule.FOREIGN_TAG:
            return bridge_port.tpid_origins
        case Rule.PVID_IN | Rule.NO_PVID:
            return bridge_port.pvid.origins
        case Rule.TAGGED_IN | Rule.NOT_ADMITTED:
            return _of(bridge_port.admit, vid)
        case Rule.VLAN_ABSENT:
            absent = not exists.possible >> vid & 1
            return _of(exists, vid) if absent else _of(active, vid)
        case Rule.BLOCKED_IN | Rule.BLOCKED_OUT:
            return _of(bridge_port.forwarding, vid)
        case Rule.NOT_MEMBER:
            private = bridge_port.private.origins if bridge_port.private else ()
            return join(_of(bridge_port.member, vid), private)
        case Rule.TAGGED_OUT | Rule.UNTAGGED_OUT:
            return join(_of(bridge_port.member, vid), _of(bridge_port.untagged, vid))
        case Rule.ISOLATED:
            return bridge_port.isolation_origins or port.origins
        case Rule.IN_DOUBT:
            return bridge_port.doubt or bridge_port.pvid.origins
        case Rule.GROWING:
            return bridge_port.pvid.origins
        case _:
            return port.origins


def _of(cover: Cover, vid: int) -> Origins:
    return cover.why(vid)[1] if vid >= 0 else ()
