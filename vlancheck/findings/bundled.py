"""A survey in, the cords of its bundles out, each with both ends and how they join."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from vlancheck.findings.case import Case
from vlancheck.places import split_place


@dataclass(frozen=True, slots=True)
class Member:
    """A port of a bundle and what its cord leads to."""

    place: str  # DEVICE:PORT
    bundle: str  # DEVICE:PORT of the bundle
    mode: str  # how it joins: `on`, `active`, `passive`, another family's word, or "" when not said
    far: str  # DEVICE:PORT at the other end of its cord; "" no cord
    far_bundle: str = ""  # DEVICE:PORT of the bundle that port is in; "" none
    far_mode: str = ""  # how that one joins

    @property
    def target(self) -> str:
        """Return what the cord leads to: a bundle, or the device of a port that is in none."""
        return self.far_bundle or split_place(self.far)[0]


def bundle_members(case: Case) -> Iterator[Member]:
    """Yield every port that is in a bundle of its device, in the order of the text."""
    far = {}
    for link in case.cords:
        far[link.one], far[link.other] = link.other, link.one
    for device, box in case.devices.items():
        for name in box.ports:
            place = f"{device}:{name}"
            if bundle := _bundle(case, place):
                there = far.get(place, "")
                far_bundle = _bundle(case, there) if there else ""
                yield Member(place, bundle, _mode(case, place), there, far_bundle, _mode(case, there) if there else "")


def torn_bundles(members: Iterable[Member]) -> frozenset[str]:
    """Return the bundles (DEVICE:PORT) whose cords do not all lead to one bundle, or one device."""
    targets: dict[str, set[str]] = {}
    for one in members:
        if one.far:
            targets.setdefault(one.bundle, set()).add(one.target)
    return frozenset(bundle for bundle, several in targets.items() if len(several) > 1)


def _bundle(case: Case, place: str) -> str:
    device, port = split_place(place)
    ports = case.devices[device].ports
    name = ports[port].bundle
    return f"{device}:{name}" if name and name in ports else ""


def _mode(case: Case, place: str) -> str:
    device, port = split_place(place)
    return case.devices[device].ports[port].bundle_mode
