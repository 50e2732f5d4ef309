"""Two ports of one network in, whether a cord may be in either without anything needed faring otherwise out."""

from __future__ import annotations

from vlancheck.dot1q.model import BridgePort
from vlancheck.dot1q.tags import C_TAG, UNTAGGED, Frame
from vlancheck.evidence import UNKNOWN, Cover
from vlancheck.places import split_place
from vlancheck.verdicts.arriving import one_frame
from vlancheck.verdicts.ground import Ground
from vlancheck.verdicts.orders import batch_of
from vlancheck.vids import WIRE
from vlancheck.walk.relation import filled
from vlancheck.wiring.network import Network


def carries_alike(ground: Ground, one: str, other: str, frames: int) -> bool | None:
    """Tell whether a cord may be in either of two boundary ports (DEVICE:PORT); None when nobody knows.

    `frames` are those that are needed there, a bitset of VIDs in a tag, bit 4095 for untagged frames.  Of two bridges,
    the frames must reach the same places as well, and be answered from one of them on each box.
    """
    alike = does_alike(ground.network, one, other, frames)
    if alike is not True or _bridge_of(ground.network, one) == _bridge_of(ground.network, other):
        return alike
    return _reaches_alike(ground, one, other, frames)


def does_alike(network: Network, one: str, other: str, frames: int) -> bool | None:
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
        (mine.tpids, mine.sends, mine.foreign) == (theirs.tpids, theirs.sends, theirs.foreign),
        _same_untagged(mine, theirs) if frames & UNTAGGED or C_TAG not in mine.tpids else True,
        _same_tagged(mine, theirs, frames & WIRE),
        _exist(network, one, mine, frames) == _exist(network, other, theirs, frames),
    )
    return None if None in answers else all(answers)


def _bridge_of(network: Network, place: str) -> tuple[str, str]:
    found = _at(network, place)
    return split_place(place)[0], found.bridge if found else ""


def _reaches_alike(ground: Ground, one: str, other: str, frames: int) -> bool | None:
    """Tell whether frames from two ports arrive at the same third places in the same tags, and answers come back."""
    thirds: dict[tuple[str, Frame], tuple[str, Frame]] = {}  # box and frame -> a place and what it would answer
    for tpids in (form for form in ground.carried.carriage.forms if len(form) == 1):
        reached: list[dict[tuple[str, Frame], int]] = []
        for sender in (one, other):
            reached.append({})
            for at, copies in ground.carried.copies(sender, tpids):
                value = copies.value & frames if tpids == (C_TAG,) else 0
                if at in (one, other) or not value:
                    continue
                if not copies.certain:
                    return None
                reached[-1][at, copies.frame] = reached[-1].get((at, copies.frame), 0) | value
                answer = filled(copies.frame, one_frame(tpids, value))
                thirds.setdefault((split_place(at)[0], copies.frame), (at, answer))
        if reached[0] != reached[1]:
            return False
    for at, answer in thirds.values():
        if len(answer) > 1:
            return None
        back = [set(ground.carried.coming_out(at, batch_of(answer), end)) for end in (one, other)]
        if back[0] != back[1]:
            return False
    return True


def _at(network: Network, place: str) -> BridgePort | None:
    """Return what classifies the frames of a port, where one thing does and no frame ends there."""
    device, port = split_place(place)
    box = network.devices.get(device)
    here = [found for found in box.bridge_ports.values() if found.port == port] if box else []
    ends = box is not None and any(end.port == port for end in box.ends.values())
    return here[0] if len(here) == 1 and not ends else None


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
    pvid = 1 << vids[0] if isinstance(vids[0], int) else 0
    bare = [_certain(one.member, one.untagged) for one in (mine, theirs)]
    return None if None in bare else bare[0] == bare[1] and not (mine.forwarding.sure ^ theirs.forwarding.sure) & pvid


def _same_tagged(mine: BridgePort, theirs: BridgePort, vids: int) -> bool | None:
    """Tell whether tagged frames of some VIDs are taken and sent alike."""
    pairs = [(getattr(mine, name), getattr(theirs, name)) for name in ("admit", "member", "untagged", "forwarding")]
    for one, other in pairs:
        if (one.sure ^ one.possible | other.sure ^ other.possible) & vids:
            return None
        if (one.sure ^ other.sure) & vids:
            return False
    return True


def _certain(member: Cover, untagged: Cover) -> int | None:
    """Return the VIDs that leave untagged; None when nobody knows."""
    sure, possible = member.sure & untagged.sure, member.possible & untagged.possible
    return sure if sure == possible else None


def _exist(network: Network, place: str, port: BridgePort, frames: int) -> int:
    """Return the VIDs among the needed ones that the bridge of a port has."""
    vids = frames & WIRE
    if frames & UNTAGGED and isinstance(port.pvid.value, int):
        vids |= 1 << port.pvid.value
    return network.bridge(split_place(place)[0], port).exists.sure & vids


def _said(port: BridgePort) -> tuple[object, ...]:
    return port.select, port.entry, port.exit, port.private, port.isolation
