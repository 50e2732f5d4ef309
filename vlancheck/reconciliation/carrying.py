"""Two ports of one network in, whether a cord may be in either without anything needed faring otherwise out."""

from __future__ import annotations

from vlancheck.dot1q.model import BridgePort
from vlancheck.evidence import UNKNOWN, Cover
from vlancheck.places import split_place
from vlancheck.vids import WIRE
from vlancheck.wiring.network import Network

_UNTAGGED = 1 << 4095


def carries_alike(network: Network, one: str, other: str, frames: int) -> bool | None:
    """Tell whether two ports (DEVICE:PORT) do the same with frames of at most one tag; None when nobody knows.

    `frames` is a bitset of VIDs in a tag, bit 4095 for untagged frames.  A VID is taken to be the same VLAN on all
    boxes.  Ports that select or change tags are alike only when everything about them is.
    """
    mine, theirs = (_at(network, place) for place in (one, other))
    if mine is None or theirs is None:
        return None
    if mine.doubt or theirs.doubt:
        return None
    plain = not any((p.select, p.entry, p.exit, p.private, p.isolation) for p in (mine, theirs))
    if not plain and _said(mine) != _said(theirs):
        return False
    answers = (
        _is_up(network, one) is _is_up(network, other),
        mine.tpids == theirs.tpids and mine.sends == theirs.sends,
        _same_untagged(mine, theirs) if frames & _UNTAGGED else True,
        _same_tagged(mine, theirs, frames & WIRE),
        _exist(network, one, mine, frames) == _exist(network, other, theirs, frames),
    )
    return None if None in answers else all(answers)


def _at(network: Network, place: str) -> BridgePort | None:
    """Return what classifies the frames of a port, where one thing does."""
    device, port = split_place(place)
    box = network.devices.get(device)
    here = [found for found in box.bridge_ports.values() if found.port == port] if box else []
    return here[0] if len(here) == 1 else None


def _is_up(network: Network, place: str) -> bool | None:
    found = _at(network, place)
    values = (network.port(place).up.value, found.up.value if found else True)
    return None if UNKNOWN in values else all(values)


def _same_untagged(mine: BridgePort, theirs: BridgePort) -> bool | None:
    """Tell whether untagged frames get into, and come out of, the same VLAN."""
    vids = mine.pvid.value, theirs.pvid.value
    if UNKNOWN in vids:
        return None
    if vids[0] != vids[1]:
        return False
    bare = [_certain(one.member, one.untagged) for one in (mine, theirs)]
    return None if None in bare else bare[0] == bare[1]


def _same_tagged(mine: BridgePort, theirs: BridgePort, vids: int) -> bool | None:
    """Tell whether tagged frames of some VIDs are taken and sent alike."""
    for one, other in ((mine.admit, theirs.admit), (mine.member, theirs.member), (mine.untagged, theirs.untagged)):
        if (one.sure ^ one.possible | other.sure ^ other.possible) & vids:
            return None
        if (one.sure ^ other.sure) & vids:
            return False
    return True


def _certain(member: Cover, untagged: Cover) -> int | None:
    """Return the VIDs that leave untagged; None when nobody knows."""
    sure, possible = member.sure & untagged.sure & WIRE, member.possible & untagged.possible & WIRE
    return sure if sure == possible else None


def _exist(network: Network, place: str, port: BridgePort, frames: int) -> int:
    """Return the VIDs among the needed ones that the bridge of a port has."""
    vids = frames & WIRE
    if frames & _UNTAGGED and isinstance(port.pvid.value, int):
        vids |= 1 << port.pvid.value
    return network.bridge(split_place(place)[0], port).exists.sure & vids


def _said(port: BridgePort) -> tuple[object, ...]:
    return port.select, port.entry, port.exit, port.private, port.isolation
