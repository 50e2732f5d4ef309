"""A survey in, the interfaces with an address of their own out, each with the frame it sends, and which hear which."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from ipaddress import IPv4Interface, ip_interface

from vlancheck.dot1q.model import Device, End
from vlancheck.dot1q.tags import C_TAG, Frame, Tag
from vlancheck.evidence import Origins
from vlancheck.findings.case import Case
from vlancheck.findings.routed import ADDRESS, tagged, takes_untagged
from vlancheck.vids import first

SHARED = "shared-address:"  # in the settings of a box, before the name of an interface that shares one with others


@dataclass(frozen=True, slots=True)
class Addressed:
    """An interface that is not shut and has an address."""

    device: str  # the box
    name: str  # of the interface
    place: str  # DEVICE:PORT where its frames go out
    frame: Frame  # as it sends them there
    vid: int | None  # VID in which it is; None where the frame has no tag and no bridge of its own gives it one
    address: IPv4Interface  # with its network
    shares: bool  # it has an address beside it that other routers answer for as well
    origins: Origins  # the line with the address

    @property
    def title(self) -> str:
        """Return the interface with its box."""
        return f"{self.device}:{self.name}"


def addressed(case: Case) -> Iterator[Addressed]:
    """Yield every interface of our boxes that is not shut and whose address is known."""
    for device, box in case.network.devices.items():
        for key, fact in box.settings.items():
            name = key.removeprefix(ADDRESS)
            if name == key or box.owner or not isinstance(fact.value, str):
                continue
            found, sent = _address(fact.value), _sent(case, box, name)
            if found is not None and sent is not None:
                port, frame, vid = sent
                shares = SHARED + name in box.settings
                yield Addressed(device, name, f"{device}:{port}", frame, vid, found, shares, fact.origins)


def hears(case: Case, one: Addressed, other: Addressed) -> bool:
    """Tell whether what one interface sends is certainly taken by another."""
    ends = [end.name for end in case.network.devices[other.device].ends.values()]
    return any(
        copy.port == other.place and (other.name not in ends or copy.interface == other.name)
        for copy in case.ground.reasons.walk(one.place, one.frame).deliveries
    )


def _address(text: str) -> IPv4Interface | None:
    """Return the address in the words of a line (`192.0.2.1 255.255.255.0`, `192.0.2.1/24`); None where none is."""
    try:
        made = ip_interface("/".join(text.split()))
    except ValueError:
        return None  # `dhcp`, or an address that several boxes answer for
    return made if isinstance(made, IPv4Interface) else None


def _sent(case: Case, box: Device, name: str) -> tuple[str, Frame, int | None] | None:
    """Return port, frame and VID of what an interface sends; None where it is shut or takes several tags."""
    end, own = box.ends.get(name), box.bridge_ports.get(name)
    port = box.ports.get(end.port if end else own.port if own else "")
    if port is None or port.up.value is not True:
        return None
    if end is not None:
        return None if end.up.value is not True else _framed(end)
    if own is None or own.up.value is not True or not case.ground.inside(f"{box.name}:{own.port}"):
        return None
    return own.port, (), own.pvid.value if isinstance(own.pvid.value, int) else None


def _framed(end: End) -> tuple[str, Frame, int | None] | None:
    vids = tagged(end) if end.select else 0
    if takes_untagged(end):
        return end.port, (), None
    return (end.port, (Tag(C_TAG, first(vids)),), first(vids)) if vids.bit_count() == 1 else None
