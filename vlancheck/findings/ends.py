"""A link in, what each of its two ends sends and takes out, for checks that hold one end against the other."""

from __future__ import annotations

from dataclasses import dataclass

from vlancheck.dot1q.model import Bridge, BridgePort, PrivateRole
from vlancheck.dot1q.tags import C_TAG, UNTAGGED
from vlancheck.evidence import UNKNOWN, Origins, State
from vlancheck.findings.case import Case
from vlancheck.places import split_place
from vlancheck.site.boxes import Occupancy
from vlancheck.vids import WIRE, first
from vlancheck.wiring.network import Link
from vlancheck.wiring.tree import ROOT_GUARD_RULE


@dataclass(frozen=True, slots=True)
class PlainEnd:
    """One end of a link where one bridge port takes every frame and no row changes its tags."""

    place: str  # DEVICE:PORT
    port: BridgePort  # what classifies its frames
    bridge: Bridge  # the relay behind it

    @property
    def tags(self) -> int:
        """Return the VIDs (a bitset) that surely leave with their tag."""
        return self.port.member.sure & ~self.port.untagged.possible & WIRE

    @property
    def may_tag(self) -> int:
        """Return the VIDs that may leave with their tag."""
        return self.port.member.possible & ~self.port.untagged.sure & WIRE

    @property
    def refuses(self) -> int:
        """Return the VIDs that are surely not taken when they arrive tagged (IEEE Std 802.1Q-2022, 6.9, 8.6.2)."""
        return ~self.port.admit.possible & WIRE

    @property
    def keeps(self) -> int:
        """Return the VIDs that surely never leave, tagged or not (8.6.4, 8.8.10)."""
        return ~self.port.member.possible & WIRE

    @property
    def pvid(self) -> int | None:
        """Return the VID that untagged frames get; None when they are lost, or when nobody knows."""
        return self.port.pvid.value if isinstance(self.port.pvid.value, int) else None

    @property
    def takes_untagged(self) -> bool | None:
        """Tell whether untagged frames are taken; None when nobody knows."""
        return None if self.port.pvid.value is UNKNOWN else self.port.pvid.value is not None

    @property
    def bare(self) -> int | None:
        """Return the only VID that surely leaves untagged; None when there is none or more than one."""
        sent = self.port.member.sure & self.port.untagged.sure & WIRE
        return first(sent) if sent.bit_count() == 1 else None

    @property
    def access(self) -> bool:
        """Tell whether the end is in one VLAN, untagged both ways, and tags nothing."""
        return self.pvid is not None and self.bare == self.pvid and not self.may_tag

    @property
    def tree(self) -> str:
        """Return which spanning tree the bridge speaks, `unknown` when nobody knows."""
        mode = self.bridge.spanning_tree.value
        return "unknown" if mode is UNKNOWN else mode

    def why_member(self, vid: int) -> Origins:
        """Return who decided whether `vid` may leave or arrive here."""
        return self.port.member.why(vid)[1] or self.port.admit.why(vid)[1]


def tags_at_access(case: Case, link: Link, ends: tuple[PlainEnd, PlainEnd]) -> tuple[PlainEnd, PlainEnd, int] | None:
    """Return the tagging end, the access end and the VIDs needed across that the one tags; None when that is no fault.

    An access end takes them for its own VLAN, or loses them; it never sends them with a tag.
    """
    for trunk, access in (ends, ends[::-1]):
        if access.access and not trunk.access and (vids := trunk.tags & case.needed_across(link)):
            return trunk, access, vids
    return None


def absent_access(case: Case, device: str, bridge: str) -> dict[int, list[str]]:
    """Return the VIDs a bridge does not have and untagged frames at its edge get, with those ports in use."""
    box = case.network.devices[device]
    found: dict[int, list[str]] = {}
    for port in box.bridge_ports.values():
        place, vid = f"{device}:{port.port}", port.pvid.value
        if port.bridge != bridge or not isinstance(vid, int) or box.bridges[bridge].exists.possible >> vid & 1:
            continue
        if not case.network.ends_at(place) or not port.member.sure >> vid & 1:
            continue
        used = bool(case.needed_frames.get(place, 0) & UNTAGGED)
        if not (port.member.possible & ~port.untagged.sure & WIRE) and not case.ground.inside(place):
            used = used or case.ground.occupancy(place).state is Occupancy.OCCUPIED
        if used:
            found.setdefault(vid, []).append(place)
    return found


def kept_out_of_root(port: BridgePort) -> int:
    """Return the VIDs that a root guard of the port keeps from passing, since the root is beyond it."""
    found = 0
    for bits, state, origins in port.forwarding.parts:
        if state is State.OUT and any(one.source == ROOT_GUARD_RULE for one in origins):
            found |= bits
    return found


def plain_ends(case: Case, link: Link) -> tuple[PlainEnd, PlainEnd] | None:
    """Return both ends of a link; None when one of them is not plain, or is in doubt as a whole."""
    one, other = plain_end(case, link.one), plain_end(case, link.other)
    return None if one is None or other is None else (one, other)


def plain_end(case: Case, place: str) -> PlainEnd | None:
    """Return the end at `place`; None when tags are selected or changed there, or it is shut or in doubt."""
    device, port = split_place(place)
    box = case.network.devices[device]
    here = [found for found in box.bridge_ports.values() if found.port == port]
    if len(here) != 1:
        return None
    found = here[0]
    if found.select or found.entry or found.exit or found.doubt or C_TAG not in found.tpids:
        return None
    if found.private and found.private.role is not PrivateRole.TRUNK:
        return None
    if False in (found.up.value, box.ports[port].up.value):
        return None
    return PlainEnd(place, found, box.bridges[found.bridge])
