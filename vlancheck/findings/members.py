"""A box and one of its bundles in, the members that are set otherwise than the bundle out, and in what."""

from __future__ import annotations

from collections import Counter
from collections.abc import Hashable, Mapping
from dataclasses import dataclass

from vlancheck.dot1q.model import BridgePort, Device
from vlancheck.dot1q.properties import Property
from vlancheck.evidence import UNKNOWN, Kind, Origins, join
from vlancheck.findings.pace import pace
from vlancheck.findings.settings import lines
from vlancheck.vids import WIRE, text

_SETTING, _COMPARED = "bundle-members", "compared"  # of a box that holds members against each other before they join
_SILENT = frozenset({Kind.DEFAULT, Kind.ASSUMED})


@dataclass(frozen=True, slots=True)
class Differing:
    """A member that is set otherwise than its bundle."""

    name: str  # of the port
    words: tuple[str, ...]  # in what it differs
    origins: Origins  # its lines


def bundles(device: Device) -> tuple[str, ...]:
    """Return the bundles of a box by name, in the order in which their members stand."""
    return tuple(dict.fromkeys(port.bundle for port in device.ports.values() if port.bundle in device.ports))


def differing_members(device: Device, bundle: str) -> tuple[Differing, ...]:
    """Return the members that surely differ; () in a family whose members take all from their bundle."""
    setting = device.settings.get(_SETTING)
    if setting is None or setting.value != _COMPARED:
        return ()
    names = device.members(bundle)
    asked = {name: found for name in names if (found := _asked(device, name)) is not None}
    whole = _asked(device, bundle) or _usual(asked)
    paces = {name: _pace(device, name) for name in names}
    common = Counter(paces.values()).most_common(1)[0][0]
    made = []
    for name in names:
        words = _told(asked[name], whole) if name in asked and whole is not None else []
        if paces[name] != common:
            words.append(f"is set to {pace(device.ports[name]).told}, as others are not")
        if words:
            own = join(lines_of(asked.get(name)), lines(device.ports[name], Property.SPEED, Property.DUPLEX))
            made.append(Differing(name, tuple(words), own or device.ports[name].origins))
    return tuple(made)


def lines_of(port: BridgePort | None) -> Origins:
    """Return the lines that ask for what a port does."""
    return tuple(one for one in _behind(port) if one.file) if port is not None else ()


def _behind(port: BridgePort) -> Origins:
    covers = (port.member, port.untagged)
    return join(port.pvid.origins, *(origins for cover in covers for _, _, origins in cover.parts))


def _asked(device: Device, name: str) -> BridgePort | None:
    """Return what lines ask of a port; None where no line does, or an unread one may change it."""
    found = device.ports[name].configured or device.bridge_ports.get(name)
    if found is None or found.doubt or all(one.kind in _SILENT for one in _behind(found)):
        return None
    return found


def _usual(asked: Mapping[str, BridgePort]) -> BridgePort | None:
    """Return what most members are asked for, where no line of the bundle itself says anything."""
    counted = Counter(map(_key, asked.values())).most_common(1)
    return next((one for one in asked.values() if _key(one) == counted[0][0]), None) if len(asked) > 1 else None


def _key(port: BridgePort) -> Hashable:
    return port.pvid.value, port.member.sure, port.untagged.sure


def _pace(device: Device, name: str) -> Hashable:
    """Return the speed and duplex that are forced; a port that negotiates is like any other that does."""
    found = pace(device.ports[name])
    return (found.rate, found.full) if found.forced else ()


def _told(one: BridgePort, whole: BridgePort) -> list[str]:
    """Return in what a member surely differs, in words."""
    words = []
    if more := _tags(one) & ~_may_tag(whole):
        words.append(f"tags {text(more)}, which the bundle does not")
    if less := _tags(whole) & ~_may_tag(one):
        words.append(f"does not tag {text(less)}, as the bundle does")
    if UNKNOWN not in (one.pvid.value, whole.pvid.value) and one.pvid.value != whole.pvid.value:
        words.append(f"takes {_untagged(one)} untagged where the bundle takes {_untagged(whole)}")
    return words


def _tags(port: BridgePort) -> int:
    return port.member.sure & ~port.untagged.possible & WIRE


def _may_tag(port: BridgePort) -> int:
    return port.member.possible & ~port.untagged.sure


def _untagged(port: BridgePort) -> str:
    return f"VLAN {port.pvid.value}" if isinstance(port.pvid.value, int) else "nothing"
