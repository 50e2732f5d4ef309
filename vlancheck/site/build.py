"""What was read and what was declared in; all boxes of a survey, its cords and its handoffs out."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from vlancheck.dot1q.boxes import CarrierPort, carrier_box, host, unaware, uncaptured
from vlancheck.dot1q.model import Device, DeviceKind
from vlancheck.evidence import Origins
from vlancheck.places import split_place
from vlancheck.site.declaration import Declaration, DeclaredDevice, DeclaredLink
from vlancheck.site.places import PlaceError, find_device, find_place
from vlancheck.site.yamltext import Value


@dataclass(frozen=True, slots=True)
class Cord:
    """Two ports joined, with who says so."""

    one: str  # DEVICE:PORT
    other: str  # DEVICE:PORT
    origins: Origins  # the line of site.yaml


@dataclass(frozen=True, slots=True)
class Boxes:
    """All boxes of one survey and how they are joined."""

    devices: dict[str, Device]  # by name
    cords: tuple[Cord, ...]  # in the order written
    handoffs: tuple[str, ...]  # DEVICE:PORT


def build(declaration: Declaration, read: Iterable[Device]) -> Boxes:
    """Return the boxes that captures and declaration make together.

    Raises SiteError, with file and line, for a link or handoff that names no port, a port with two cords, and a box
    whose kind does not fit what is declared of it.
    """
    devices = {device.name: device for device in read}
    _spread_declared(declaration, devices)
    cords = tuple(_cord(devices, link) for link in declaration.links)
    _once(cords, declaration.links)
    handoffs = tuple(place(devices, handoff.at, handoff.where) for handoff in declaration.handoffs)
    return Boxes(devices, cords, handoffs)


def place(devices: Mapping[str, Device], text: str, at: Value) -> str:
    """Return the `DEVICE:PORT` that `text` on the line `at` means; SiteError with the nearest names otherwise."""
    try:
        return find_place(devices, text)
    except PlaceError as error:
        raise at.error(error.message, error.hint) from error


def _spread_declared(declaration: Declaration, devices: dict[str, Device]) -> None:
    """Add the boxes that only `devices:` knows, with the ports that links, handoffs and `ports:` name."""
    named = _named_ports(declaration)
    for declared in declaration.devices.values():
        if declared.name in devices:
            devices[declared.name] = _overridden(devices[declared.name], declared)
            continue
        if declared.kind is None:
            hint = "add `kind:`, or captures that show this name at the prompt"
            raise declared.at.error(f"{declared.name} is in no capture, and nothing says what it is", hint)
        ports = dict.fromkeys([*declared.carrier_ports, *named.get(declared.name, ())])
        devices[declared.name] = _declared_box(declared, declared.kind, list(ports))


def _named_ports(declaration: Declaration) -> dict[str, list[str]]:
    ports: dict[str, list[str]] = {}
    texts = [text for link in declaration.links for text in (link.one, link.other)]
    for text in (*texts, *(handoff.at for handoff in declaration.handoffs)):
        device, port = split_place(text)
        try:
            device = find_device(declaration.devices, device)
        except PlaceError:
            continue
        if port and port not in ports.setdefault(device, []):
            ports[device].append(port)
    return ports


def _overridden(device: Device, declared: DeclaredDevice) -> Device:
    """Return a captured box with what the declaration knows better."""
    changed = replace(device, owner=declared.owner or device.owner)
    return replace(changed, kind=declared.kind) if declared.kind else changed


def _declared_box(declared: DeclaredDevice, kind: DeviceKind, ports: list[str]) -> Device:
    origins = declared.at.origins
    match kind:
        case DeviceKind.HOST:
            device = host(declared.name, ports, origins, declared.frames)
        case DeviceKind.ROUTER | DeviceKind.FIREWALL:
            device = uncaptured(declared.name, kind, ports, origins)
        case DeviceKind.CARRIER_BOX:
            rows = {port: declared.carrier_ports.get(port) for port in ports}
            made = {
                port: CarrierPort(row.service, row.rows, row.origins) if row else None for port, row in rows.items()
            }
            device = carrier_box(declared.name, made, origins)
        case DeviceKind.THROUGH | DeviceKind.UNMANAGED | DeviceKind.PHONE | DeviceKind.ACCESS_POINT:
            try:
                device = unaware(declared.name, kind, ports, origins)
            except ValueError as error:
                raise declared.at.error(str(error), "name both of its ports in `links`") from error
        case DeviceKind.PANEL | DeviceKind.BRIDGE:
            hint = "a bridge needs a capture; a panel's cords come from a patch sheet"
            raise declared.at.error(f"{declared.name} cannot be built from its declaration alone", hint)
    return replace(device, owner=declared.owner or device.owner)


def _cord(devices: dict[str, Device], link: DeclaredLink) -> Cord:
    return Cord(place(devices, link.one, link.at), place(devices, link.other, link.at), link.at.origins)


def _once(cords: tuple[Cord, ...], links: tuple[DeclaredLink, ...]) -> None:
    used: dict[str, Cord] = {}
    for cord, link in zip(cords, links, strict=True):
        if cord.one == cord.other:
            raise link.at.error(f"both ends of this link are {cord.one}", "a cord joins two ports")
        for end in (cord.one, cord.other):
            if end in used:
                first = used[end].origins[0]
                raise link.at.error(f"{end} has a link already, on line {first.line}", "a port takes one cord")
            used[end] = cord
