"""A network and a port in; how the port carries a VLAN, in the words in which a change is said, out."""

from __future__ import annotations

from enum import StrEnum

from vlancheck.dot1q.model import Bridge, BridgePort
from vlancheck.places import split_place
from vlancheck.vids import WIRE
from vlancheck.wiring.network import Network
from vlancheck.writer import PortPlan


class How(StrEnum):
    """How a port carries a VLAN, both ways."""

    TAGGED = "tagged"
    UNTAGGED = "untagged"
    NOT = "not"  # not at all, or in one direction alone
    OTHERWISE = "otherwise"  # by rows or several bridge ports, which no plain change touches


def plain_port(network: Network, place: str) -> BridgePort | None:
    """Return the bridge port of a place where it has one alone that looks at one tag; None where it has not."""
    device, port = split_place(place)
    if device not in network.devices:
        return None
    found = [one for one in network.devices[device].bridge_ports.values() if one.port == port]
    plain = len(found) == 1 and not (found[0].select or found[0].doubt or found[0].private)
    return found[0] if plain else None


def how(network: Network, place: str, vid: int) -> How:
    """Return how a port carries a VLAN for sure."""
    port = plain_port(network, place)
    if port is None:
        return How.OTHERWISE
    if port.pvid.value == vid and port.member.sure >> vid & 1 and port.untagged.sure >> vid & 1:
        return How.UNTAGGED
    if port.member.sure & port.admit.sure & ~port.untagged.possible & WIRE & 1 << vid:
        return How.TAGGED
    return How.NOT


def carried_at(network: Network, place: str) -> PortPlan | None:
    """Return what a port carries for sure, whatever rows it has for other tags; None where it is no plain port."""
    port = plain_port(network, place)
    if port is None or not (port.pvid.value is None or isinstance(port.pvid.value, int)):
        return None
    tagged = port.member.sure & port.admit.sure & ~port.untagged.possible & WIRE
    return PortPlan(port.port, port.pvid.value, tagged)


def bridge_at(network: Network, place: str) -> Bridge | None:
    """Return the bridge that the frames of a port get into; None where none are bridged."""
    device, port = split_place(place)
    box = network.devices[device]
    return next((box.bridges[one.bridge] for one in box.bridge_ports.values() if one.port == port), None)


def carries_tags(network: Network, place: str) -> bool:
    """Tell whether a port carries any VLAN tagged."""
    port = plain_port(network, place)
    return port is not None and bool(port.member.possible & ~port.untagged.sure & WIRE)
