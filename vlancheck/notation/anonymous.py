"""New names for the boxes of a private network, the same one wherever the old one stood."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from vlancheck.dot1q.model import BridgePort, Device, DeviceKind, End, PortKind
from vlancheck.dot1q.properties import Property
from vlancheck.dot1q.tree import OWN_REGION
from vlancheck.evidence import Fact
from vlancheck.notation.claims import Expectation, Finding
from vlancheck.places import split_place

_PREFIX = {
    DeviceKind.BRIDGE: "sw",
    DeviceKind.ROUTER: "rtr",
    DeviceKind.THROUGH: "conv",
    DeviceKind.CARRIER_BOX: "box",
    DeviceKind.UNMANAGED: "hub",
    DeviceKind.HOST: "host",
    DeviceKind.PHONE: "phone",
    DeviceKind.ACCESS_POINT: "ap",
    DeviceKind.FIREWALL: "fw",
    DeviceKind.PANEL: "panel",
}
_KEPT_SETTINGS = frozenset({"bundle-alone"})  # the settings that decide where a frame goes; none holds a name


# Properties that may hold a name, an address or a place.
_PRIVATE = frozenset(
    {
        Property.STICKY_MAC,
        Property.STATIC_MAC,
        Property.OPTION_82,
        Property.FILTER,
        Property.LOCATION,
        Property.VOICE,
        Property.AUTHENTICATION,
        Property.STORM_LIMIT,
        Property.PRIORITY_TRUST,
    }
)


@dataclass(frozen=True, slots=True)
class Renaming:
    """Old names to new ones; a name that is not there is kept, or with `hides` replaced by `x`."""

    hides: bool  # whether private words are left out
    devices: dict[str, str]  # by name
    ports: dict[tuple[str, str], str]  # by device and name
    bridge_ports: dict[tuple[str, str], str]  # by device and name
    ends: dict[tuple[str, str], str]  # by device and name
    bridges: dict[tuple[str, str], str]  # by device and name
    groups: dict[str, str]  # isolation groups
    addresses: dict[str, str]  # of bridges; the new ones stand in the old order
    regions: dict[str, str]  # MST regions

    def device(self, name: str) -> str:
        """Return the new name of a device."""
        return self.devices.get(name, self._other(name))

    def port(self, device: str, name: str) -> str:
        """Return the new name of a port of `device`, by its old name."""
        return self.ports.get((device, name), self._other(name))

    def bridge_port(self, device: str, name: str) -> str:
        """Return the new name of a bridge port."""
        return self.bridge_ports.get((device, name), self._other(name))

    def end(self, device: str, name: str) -> str:
        """Return the new name of an end."""
        return self.ends.get((device, name), self._other(name))

    def bridge(self, device: str, name: str) -> str:
        """Return the new name of a bridge; the nameless one has none."""
        return self.bridges.get((device, name), self._other(name)) if name else ""

    def group(self, name: str) -> str:
        """Return the new name of an isolation group."""
        return self.groups.get(name, self._other(name))

    def address(self, address: str) -> str:
        """Return the new address of a bridge."""
        return self.addresses.get(address, address)

    def region(self, name: str) -> str:
        """Return the new name of an MST region."""
        return self.regions.get(name, self._other(name))

    def place(self, place: str) -> str:
        """Return the new DEVICE:PORT, or the new device."""
        if not self.hides:
            return place
        device, port = split_place(place)
        return f"{self.device(device)}:{self.port(device, port)}" if port else self.device(device)

    def text(self, text: str) -> str:
        """Return free text, or nothing where private words are left out."""
        return "" if self.hides else text

    def owner(self, owner: str) -> str:
        """Return who owns a box; of private names only that it is not ours."""
        return owner if not self.hides or owner in ("", "carrier") else "other"

    def keeps(self, setting: str) -> bool:
        """Tell whether a setting of a box is written."""
        return not self.hides or setting in _KEPT_SETTINGS

    def properties(self, found: Mapping[Property, Fact[str]]) -> list[tuple[Property, Fact[str]]]:
        """Return the properties of a port that are written, in their order."""
        return [(key, found[key]) for key in Property if key in found and not (self.hides and key in _PRIVATE)]

    def expectation(self, expectation: Expectation) -> Expectation:
        """Return the expectation with new names."""
        if not self.hides:
            return expectation
        copies = tuple(
            replace(
                copy,
                port=self.place(copy.port),
                interface=None if copy.interface is None else self.end(split_place(copy.port)[0], copy.interface),
            )
            for copy in expectation.copies
        )
        at = self.place(expectation.at) if expectation.at else ""
        return replace(expectation, port=self.place(expectation.port), copies=copies, at=at)

    def finding(self, finding: Finding) -> Finding:
        """Return the finding with new names."""
        return replace(finding, places=tuple(self.place(place) for place in finding.places))

    def _other(self, name: str) -> str:
        return "x" if self.hides else name


def no_renaming() -> Renaming:
    """Return the renaming that keeps every name."""
    return Renaming(False, {}, {}, {}, {}, {}, {}, {}, {})


def renaming(devices: Iterable[Device]) -> Renaming:
    """Return new names for all parts of `devices`: devices by kind and number, ports by number."""
    devices = tuple(devices)
    found = Renaming(True, {}, {}, {}, {}, {}, {}, {}, {})
    _rename_trees(devices, found)
    counts: dict[str, int] = {}
    for device in devices:
        prefix = _PREFIX[device.kind]
        counts[prefix] = counts.get(prefix, 0) + 1
        found.devices[device.name] = f"{prefix}{counts[prefix]}"
        _rename_parts(device, found)
    return found


def _rename_trees(devices: Iterable[Device], found: Renaming) -> None:
    trees = [bridge.tree for device in devices for bridge in device.bridges.values()]
    addresses = {tree.address.value for tree in trees if isinstance(tree.address.value, str)}
    for number, address in enumerate(sorted(addresses), 1):
        found.addresses[address] = ":".join(f"{number | 2 << 40:012x}"[at : at + 2] for at in range(0, 12, 2))
    for tree in trees:
        if isinstance(region := tree.region.value, str):
            kept = region if region == OWN_REGION else f"r{len(found.regions) + 1}"
            found.regions.setdefault(region, kept)


def _rename_parts(device: Device, found: Renaming) -> None:
    name = device.name
    bundles = {port.bundle for port in device.ports.values()} - {""}
    counts: dict[str, int] = {}
    for port in device.ports.values():
        prefix = "lag" if port.name in bundles else "in" if port.kind is PortKind.INSIDE else ""
        counts[prefix] = counts.get(prefix, 0) + 1
        found.ports[name, port.name] = f"{prefix}{counts[prefix]}"
    for bundle in sorted(bundles - set(device.ports)):
        counts["lag"] = counts.get("lag", 0) + 1
        found.ports[name, bundle] = f"lag{counts['lag']}"
    variants = [one for port in device.ports.values() if port.negotiation for one in port.negotiation.variants.values()]
    bridges = dict.fromkeys([*device.bridges, *(one.bridge for one in variants)])
    for number, bridge in enumerate((one for one in bridges if one), 1):
        found.bridges[name, bridge] = f"br{number}"
    parts: list[BridgePort | End] = [*device.bridge_ports.values(), *device.ends.values()]
    taken: dict[str, int] = {}
    for part in sorted(parts, key=lambda part: part.name):
        where = found.port(name, part.port)
        taken[where] = taken.get(where, 0) + 1
        # Of two parts that take the same frames the first by name gets them: the new names stand in the old order.
        before = "0." if part.name < part.port else ""
        new = where if part.name == part.port else f"{before}{where}.{taken[where]:03}"
        (found.bridge_ports if isinstance(part, BridgePort) else found.ends)[name, part.name] = new
    asked = [port.configured for port in device.ports.values() if port.configured]
    for bridge_port in (*device.bridge_ports.values(), *variants, *asked):
        for group in sorted(bridge_port.isolation, key=lambda group: (len(group), group)):  # g9 before g10
            found.groups.setdefault(group, f"g{len(found.groups) + 1}")
