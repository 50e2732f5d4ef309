"""A plan in, the VLANs that lines to be pasted delete out, with the ports of that box that still use them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

from vlancheck.dot1q.model import BridgePort, Device
from vlancheck.evidence import Origins, join
from vlancheck.findings.case import Case
from vlancheck.findings.tables import needed_through
from vlancheck.places import split_place
from vlancheck.site.boxes import Occupancy
from vlancheck.vids import WIRE, members

_ALL = 4000  # VIDs from which on a list is no list


class Use(StrEnum):
    """How a port uses a VLAN."""

    UNTAGGED = "untagged at"
    OWN = "the VLAN of"
    TAGGED = "tagged at"


@dataclass(frozen=True, slots=True)
class User:
    """A port that uses a VLAN of its box."""

    place: str  # DEVICE:PORT
    use: Use  # how
    matters: bool  # something hangs there, or needs the VLAN beyond it
    origins: Origins  # the lines that put it there


@dataclass(frozen=True, slots=True)
class Deleted:
    """The VLANs that lines to be pasted delete at a box while its ports use them."""

    device: str  # the box
    vids: int  # bitset of the VLANs
    users: tuple[User, ...]  # at least one
    lines: Origins  # what deletes them; none where a deletion leaves no line behind


def deleted(case: Case) -> Iterator[Deleted]:
    """Yield what is deleted and used, by device."""
    for device in sorted(case.deleted):
        box = case.network.devices.get(device)
        vids = 0
        users: dict[str, User] = {}
        lines: Origins = ()
        for vid in members(case.deleted_at(device) & WIRE) if box else ():
            by = join(*(lines for bits, lines in case.deleted[device] if bits >> vid & 1))
            found = {user.place: user for user in (*_before(case, device, vid, by), *_users(case, device, vid))}
            for place, user in found.items():
                if place not in users or not users[place].matters:
                    users[place] = user
            if found:
                vids |= 1 << vid
                lines = join(lines, by)
        if vids:
            yield Deleted(device, vids, tuple(users.values()), lines)


def _users(case: Case, device: str, vid: int) -> Iterator[User]:
    """Yield the ports that use a VLAN as things are in the plan."""
    for port in case.network.devices[device].bridge_ports.values():
        if (user := _user(case, device, port, vid)) is not None:
            yield user


def _user(case: Case, device: str, port: BridgePort, vid: int) -> User | None:
    place = f"{device}:{port.port}"
    beyond = bool(needed_through(case, device, port) >> vid & 1)
    if port.select:
        return None
    if port.pvid.value == vid and port.member.possible >> vid & 1:
        inside = case.ground.inside(place)
        listed = port.member.possible & ~port.untagged.sure & WIRE
        if listed.bit_count() >= _ALL and not beyond:
            return None
        plugged = not listed and not inside and case.ground.occupancy(place).state is Occupancy.OCCUPIED
        own = inside and case.ground.has_address(place)
        return User(place, Use.OWN if inside else Use.UNTAGGED, beyond or plugged or own, _by(port, vid))
    tagged = port.member.possible & ~port.untagged.sure & WIRE
    if tagged >> vid & 1 and (beyond or tagged.bit_count() < _ALL):
        return User(place, Use.TAGGED, beyond, _by(port, vid))
    return None


def _before(case: Case, device: str, vid: int, by: Origins) -> Iterator[User]:
    """Yield the ports that used a VLAN before, and that no line but those that delete it puts anywhere else.

    Where a family writes ports under their VLAN, they leave it with the VLAN.
    """
    if case.earlier is None or (old := case.earlier.network.devices.get(case.was(device))) is None:
        return
    for port in case.network.devices[device].bridge_ports.values():
        was = next((one for one in old.bridge_ports.values() if _same(case, device, port, old, one)), None)
        if was is None or (user := _user(case.earlier, old.name, was, vid)) is None:
            continue
        known = {*by, *was.pvid.origins, *(one for _, _, several in was.member.parts for one in several)}
        decided = (*port.pvid.origins, *port.member.why(vid)[1])
        if port.member.possible >> vid & 1 or not any(one.file and one not in known for one in decided):
            yield User(f"{device}:{port.port}", user.use, user.matters, user.origins)


def _same(case: Case, device: str, port: BridgePort, old: Device, was: BridgePort) -> bool:
    return split_place(case.was(f"{device}:{port.port}")) == (old.name, was.port)


def _by(port: BridgePort, vid: int) -> Origins:
    return join(port.pvid.origins if port.pvid.value == vid else (), port.member.why(vid)[1])
