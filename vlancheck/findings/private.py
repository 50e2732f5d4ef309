"""A survey in, who plays which part in which private VLAN, and what keeps two VLANs from being one, out."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from vlancheck.dot1q.model import Bridge, BridgePort, PrivateKind, PrivatePart, PrivateRole
from vlancheck.findings.case import Case

_HOSTS = frozenset({PrivateRole.ISOLATED, PrivateRole.COMMUNITY, PrivateRole.HOST})
_SECONDARY = (PrivateKind.ISOLATED, PrivateKind.COMMUNITY)


@dataclass(frozen=True, slots=True)
class PrivatePort:
    """A bridge port with a part in a private VLAN of which all is certain."""

    place: str  # DEVICE:PORT
    device: str  # its box
    port: BridgePort  # what classifies its frames
    role: PrivateRole  # part played
    primary: int | None  # VID of the primary VLAN
    secondary: int | None  # VID of a host's secondary VLAN

    @property
    def is_host(self) -> bool:
        """Tell whether it is a host port."""
        return self.role in _HOSTS

    @property
    def works(self) -> bool:
        """Tell whether what arrives is taken: a pair that is half-made takes nothing."""
        return self.port.pvid.value is not None

    @property
    def hears(self) -> int:
        """Return the VIDs (a bitset) that may leave here."""
        return self.port.member.possible


def private_ports(case: Case) -> Iterator[PrivatePort]:
    """Yield the ports that play a part in a private VLAN, those in doubt left out."""
    for device in case.network.devices.values():
        for port in device.bridge_ports.values():
            part = port.private
            if part is not None and not port.doubt:
                place = f"{device.name}:{port.port}"
                yield PrivatePort(place, device.name, port, part.role, part.primary, part.secondary)


def lacking(table: Mapping[int, PrivatePart], primary: int | None, secondary: int | None) -> str:
    """Return what keeps two VLANs from being a private VLAN, as lines of the bridge have them; "" nothing."""
    if primary is None or secondary is None:
        return "no line says which VLANs it is in"
    above, below = table.get(primary), table.get(secondary)
    if above is None or above.kind is not PrivateKind.PRIMARY:
        return f"no line makes VLAN {primary} a primary VLAN"
    if not above.secondaries >> secondary & 1:
        return f"VLAN {secondary} is not associated with VLAN {primary}"
    if below is None or below.kind not in _SECONDARY:
        return f"no line says whether VLAN {secondary} is isolated or a community"
    return ""


def pairs(bridge: Bridge) -> dict[int, dict[int, PrivateKind]]:
    """Return the private VLANs of a bridge that are whole: primary VID -> secondary VID -> what that one is."""
    found: dict[int, dict[int, PrivateKind]] = {}
    for vid in bridge.private:
        for other, below in bridge.private.items():
            if below.kind is not None and not lacking(bridge.private, vid, other):
                found.setdefault(vid, {})[other] = below.kind
    return found
