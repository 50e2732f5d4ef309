"""What a port is to be, in the words of IEEE Std 802.1Q, and what a port that was read is in these words."""

from __future__ import annotations

from dataclasses import dataclass

from vlancheck import vids
from vlancheck.dot1q.model import NO_TAG, BridgePort, Device, Rewrite
from vlancheck.vids import WIRE


class WriteError(ValueError):
    """A change that the family's phrases cannot say, or that its own reader does not find in what was written."""


@dataclass(frozen=True, slots=True)
class PortPlan:
    """What a port is to carry; whatever it says not stays as it is."""

    port: str  # its name, as the device prints it
    untagged: int | None = None  # VID of untagged frames, both ways; None: none arrive and none leave
    tagged: int = 0  # bitset of the VIDs it carries tagged, both ways
    up: bool | None = None  # admin state; None: as it is

    def __str__(self) -> str:
        state = {None: "", True: ", enabled", False: ", shut"}[self.up]
        return f"{self.port}: untagged {self.untagged or 'none'}, tagged {vids.text(self.tagged)}{state}"


@dataclass(frozen=True, slots=True)
class PortEdit:
    """VIDs that a port is to carry tagged besides what it does, or no longer, whatever rows it has for others."""

    port: str  # its name, as the device prints it
    allow: int = 0  # bitset of the VIDs to be let through, tagged
    forbid: int = 0  # bitset of the VIDs that are to go

    def __str__(self) -> str:
        return f"{self.port}: VLAN {vids.text(self.allow)} more, VLAN {vids.text(self.forbid)} less"


@dataclass(frozen=True, slots=True)
class Wish:
    """What a box is to become; whatever it does not name stays as it is."""

    create: int = 0  # bitset of the VLANs that are to exist
    delete: int = 0  # bitset of the VLANs that are to go
    ports: tuple[PortPlan, ...] = ()  # ports to be changed
    edits: tuple[PortEdit, ...] = ()  # ports that no plan can tell, and of which lists are edited


def plan_of(device: Device, port: str) -> PortPlan:
    """Return what a port that was read carries.

    Raises WriteError when it is no plain bridge port: in doubt, negotiated, several on one port, translating, or with
    sets that differ by direction.
    """
    mine = [one for one in device.bridge_ports.values() if one.port == port]
    if len(mine) != 1 or port not in device.ports:
        raise WriteError(f"{port} of {device.name} is {'no bridge port' if not mine else 'several bridge ports'}")
    one, negotiation = mine[0], device.ports[port].negotiation
    if why := _not_plain(one, negotiated=negotiation is not None and len(negotiation.variants) > 1):
        raise WriteError(f"{port} of {device.name} {why}")
    pvid = one.pvid.value
    assert pvid is None or isinstance(pvid, int)
    member = one.member.sure & WIRE
    bare = 0 if pvid is None else 1 << pvid
    if member & one.untagged.sure & WIRE != bare:
        raise WriteError(f"{port} of {device.name} sends other VIDs untagged than it takes untagged frames into")
    tagged = member & ~bare
    if tagged & ~one.admit.sure:
        raise WriteError(f"{port} of {device.name} sends VIDs tagged that it may not accept")
    up = device.ports[port].up.value
    return PortPlan(port, pvid, tagged, up if isinstance(up, bool) else None)


def _not_plain(one: BridgePort, *, negotiated: bool) -> str:
    if one.doubt:
        return "is in doubt"
    if negotiated:
        return "settles its mode with its neighbour"
    if one.select or _rewrites(one):
        return "rewrites or selects tags"
    if not (one.pvid.value is None or isinstance(one.pvid.value, int)):
        return "has a PVID that is not known"
    if any((cover.sure ^ cover.possible) & WIRE for cover in (one.member, one.untagged)):
        return "has VIDs of which nothing is known"
    return ""


def _rewrites(one: BridgePort) -> bool:
    """Tell whether a row touches frames a plan speaks of: those with no tag, or one of the TPID that the port sends."""
    bare = not one.member.possible & WIRE & ~one.untagged.sure  # what leaves has a tag only if it had a second one
    other = all(_drops_tagged(row) and one.sends not in (row.match[0].tpids or {one.sends}) for row in one.entry)
    second = all(_drops_tagged(row) and bare for row in one.exit)
    return not (other and second)


def _drops_tagged(row: Rewrite) -> bool:
    return row.drop and bool(row.match) and not row.match[0].vids >> NO_TAG & 1
