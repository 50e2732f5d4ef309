"""Bundles (link aggregation): one port for the members whose far ends are proved to be in one bundle.

A member that joins statically acts in its bundle whatever is at the far end.  A member that negotiates and finds no
partner walks alone by its family's rule.  A bundle that is torn between two neighbours is in doubt as a whole.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from vlancheck.dot1q.model import BridgePort, Device
from vlancheck.evidence import Kind, Origin, Origins, join
from vlancheck.places import split_place
from vlancheck.wiring.network import Link

# Modes that form a bundle, either way round (IEEE Std 802.1AX for active and passive; `on` never pairs with LACP).
_PAIRS = {frozenset({"on"}), frozenset({"active"}), frozenset({"active", "passive"})}
_PAIRS |= {frozenset({"desirable"}), frozenset({"desirable", "auto"})}


@dataclass(frozen=True, slots=True)
class Bundled:
    """What became of the bundles of a network."""

    devices: tuple[Device, ...]  # bridge ports only where a cord's frames are classified
    links: tuple[Link, ...]  # bundles joined as one port
    stands_for: dict[str, str]  # place of a member -> place of the bundle it acts in


def settle_bundles(devices: Iterable[Device], links: Iterable[Link]) -> Bundled:
    """Join bundles as far as both ends prove them."""
    found = _Bundles({device.name: device for device in devices}, list(links))
    return Bundled(tuple(found.reduced(device) for device in found.boxes.values()), found.joined(), found.acting)


def modes_pair(one: str, other: str) -> bool:
    """Tell whether two bundle modes form a bundle; a mode that is not said counts as static (`on`)."""
    return frozenset({one or "on", other or "on"}) in _PAIRS


class _Bundles:
    """The bundles of a network and what each member does."""

    def __init__(self, boxes: dict[str, Device], links: list[Link]) -> None:
        self.boxes, self.links = boxes, links
        self.far = {end: other for link in links for end, other in ((link.one, link.other), (link.other, link.one))}
        self.bundle = {
            f"{device.name}:{port.name}": f"{device.name}:{port.bundle}"
            for device in boxes.values()
            for port in device.ports.values()
            if port.bundle in device.ports and port.bundle
        }
        self.acting = {place: bundle for place, bundle in self.bundle.items() if self._acts(place)}
        self.torn = self._torn()
        self.acting = {place: bundle for place, bundle in self.acting.items() if bundle not in self.torn}

    def joined(self) -> tuple[Link, ...]:
        """Return the links with acting members replaced by their bundles, each once."""
        merged: dict[tuple[str, str], Origins] = {}
        for link in self.links:
            one, other = self.acting.get(link.one, link.one), self.acting.get(link.other, link.other)
            pair = (other, one) if (other, one) in merged else (one, other)
            merged[pair] = join(merged.get(pair, ()), link.origins)
        return tuple(Link(one, other, origins) for (one, other), origins in merged.items())

    def reduced(self, device: Device) -> Device:
        """Return the box without the bridge ports of members that act in a bundle, and of bundles nobody acts in."""
        members = [place for place in self.bundle if split_place(place)[0] == device.name]
        if not members:
            return device
        idle = {split_place(place)[1] for place in members if not self._alone(place)}
        idle |= {split_place(self.bundle[place])[1] for place in members if self.bundle[place] not in self._used()}
        kept = {name: bp for name, bp in device.bridge_ports.items() if bp.port not in idle}
        for place in members:
            if (origins := self.torn.get(self.bundle[place])) and place in self.far:
                kept |= _doubted(device, place, split_place(self.bundle[place])[1], origins)
        ends = {name: end for name, end in device.ends.items() if end.port not in idle}
        return replace(device, bridge_ports=kept, ends=ends)

    def _acts(self, place: str) -> bool:
        if (far := self.far.get(place)) is None:
            return True
        if far in self.bundle and modes_pair(self._mode(place), self._mode(far)):
            return True
        return self._mode(place) in ("on", "")

    def _torn(self) -> dict[str, Origins]:
        """Return the bundles whose members act toward more than one far place."""
        toward: dict[str, dict[str, str]] = {}
        for place, bundle in self.acting.items():
            if place in self.far:
                far = self.far[place]
                toward.setdefault(bundle, {})[place] = self.acting.get(far, far)
        return {bundle: _torn_origins(bundle, ways) for bundle, ways in toward.items() if len(set(ways.values())) > 1}

    def _alone(self, place: str) -> bool:
        """Tell whether a member's own bridge port classifies the frames of its cord."""
        if place in self.acting or place not in self.far:
            return False
        lone = self.boxes[split_place(place)[0]].settings.get("bundle-alone")
        return self.bundle[place] not in self.torn and (lone is None or lone.value != "suspended")

    def _used(self) -> set[str]:
        return set(self.acting.values())

    def _mode(self, place: str) -> str:
        device, port = split_place(place)
        return self.boxes[device].ports[port].bundle_mode


def _doubted(device: Device, place: str, bundle: str, origins: Origins) -> dict[str, BridgePort]:
    """Return the bundle's bridge ports as they may stand at one member, in doubt."""
    port = split_place(place)[1]
    return {
        f"{port}{bp.name.removeprefix(bundle)}": replace(
            bp, name=f"{port}{bp.name.removeprefix(bundle)}", port=port, doubt=join(bp.doubt, origins)
        )
        for bp in device.bridge_ports.values()
        if bp.port == bundle
    }


def _torn_origins(bundle: str, ways: dict[str, str]) -> Origins:
    told = ", ".join(f"{place} to {far}" for place, far in ways.items())
    settle = "the bundle's state as the device prints it, or a sheet that shows where every member goes"
    return (Origin(Kind.ASSUMED, f"the members of {bundle} lead to different places: {told}", settle=settle),)
