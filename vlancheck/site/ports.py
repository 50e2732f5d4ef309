"""Names of devices and ports in, `DEVICE:PORT` of one survey out.

Boxes and ports that nobody captured are drawn as cords, sheets and declarations name them.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from functools import cached_property

from vlancheck.dot1q.model import Device, DeviceKind, Port
from vlancheck.evidence import Kind, Origin, Origins, join
from vlancheck.places import split_place
from vlancheck.site.declaration import Declaration
from vlancheck.site.drawn import absent_box, declared_box, overridden, with_assumed_port
from vlancheck.site.places import (
    Interface,
    PlaceError,
    default_name,
    find_device,
    find_interface,
    find_port,
    nearest,
)
from vlancheck.site.renamed import Rename
from vlancheck.site.sheet import Sheet

DefaultPort = Callable[[Device, str], Device | None]  # the device with the port as its family's defaults make it


@dataclass(frozen=True, slots=True)
class Elsewhere:
    """What the other surveys of the site know."""

    devices: Mapping[str, Device] = field(default_factory=dict)  # captured in any of them, by name
    sheets: tuple[Sheet, ...] = ()  # their patch sheets


class Ports:
    """The devices of one survey while it is built."""

    def __init__(
        self,
        declaration: Declaration,
        read: Iterable[Device],
        survey: str,
        elsewhere: Callable[[], Elsewhere] | None,
        default_port: DefaultPort | None,
        in_sheet: frozenset[str] = frozenset(),
    ) -> None:
        """Take what was captured and the boxes, in folded case, that the patch sheet names.

        `elsewhere` is asked only for a name that this survey does not know.
        """
        self.declaration, self.survey = declaration, survey
        self.devices = {device.name: device for device in read}
        self.captured = frozenset(self.devices)
        self.panels = [one.name for one in declaration.devices.values() if one.kind is DeviceKind.PANEL]
        self.renames: tuple[Rename, ...] = declaration.renamed.get(survey, ())
        self.absent: dict[str, Origins] = {}
        self._elsewhere, self._default_port = elsewhere, default_port
        self._drawn: dict[str, list[str]] = {}
        self._wired: dict[tuple[str, str], str] = {}
        for declared in declaration.devices.values():
            if declared.name in self.devices:
                self.devices[declared.name] = overridden(self.devices[declared.name], declared)
            elif declared.kind is DeviceKind.PANEL:
                continue
            elif declared.kind not in (None, DeviceKind.BRIDGE):
                self._stub(declared.name, declared.carrier_ports)
            elif declared.name.casefold() in in_sheet or self.known_elsewhere(declared.name) is not None:
                self.draw_absent(declared.name, declared.at.origins)
            elif declared.kind is None:
                hint = "add `kind:`, or captures that show this name at the prompt"
                raise declared.at.error(f"{declared.name} is in no capture, and nothing says what it is", hint)
            else:
                declared_box(declared, DeviceKind.BRIDGE, ())

    @cached_property
    def elsewhere(self) -> Elsewhere:
        """What the other surveys know."""
        return self._elsewhere() if self._elsewhere else Elsewhere()

    def kinds(self) -> dict[str, DeviceKind | None]:
        """Return what every device is; None where nothing says so."""
        kinds: dict[str, DeviceKind | None] = {name: device.kind for name, device in self.devices.items()}
        for name in self._drawn:
            if name in self.declaration.devices:
                kinds[name] = self.declaration.devices[name].kind
        return kinds

    def known_elsewhere(self, name: str) -> Device | None:
        """Return the device of that name in another survey, or None."""
        try:
            return self.elsewhere.devices[find_device(self.elsewhere.devices, name)]
        except PlaceError:
            return None

    def draw_absent(self, name: str, origins: Origins) -> None:
        """Add a box that this survey has no capture of."""
        why = (
            Origin(
                Kind.ASSUMED,
                f"{name} is in no capture of {self.survey or 'this survey'}",
                settle=f"a capture of {name}",
            ),
        )
        self.absent.setdefault(name, join(why, origins))
        self._stub(name, ())

    def wired(self, device: str, port: str) -> str:
        """Return the `DEVICE:PORT` of a cord's end; a box nobody captured gets the port.

        `device` is the name of a device of the survey.  Raises PlaceError for a port that the device cannot have.
        """
        if (device, port) not in self._wired:
            self._wired[device, port] = self._wire(device, port)
        return self._wired[device, port]

    def _wire(self, device: str, port: str) -> str:
        box = self.devices[device]
        try:
            return f"{device}:{find_port(box, port)}"
        except PlaceError as error:
            if device in self._drawn:
                self._add(device, port)
                return f"{device}:{port}"
            return self._unprinted(device, port, error)

    def finish(self) -> None:
        """Draw every box that nobody captured, with the ports that cords, sheets and handoffs named."""
        for name in self._drawn:
            self._draw(name)

    def named(self, device: str, port: str) -> tuple[str, Interface | None]:
        """Return the `DEVICE:PORT` of a port or sub-interface that is named without a cord, and the sub-interface.

        Raises PlaceError for a port that the device cannot have.
        """
        box = self.devices[device]
        try:
            return f"{device}:{find_port(box, port)}", None
        except PlaceError as error:
            if (interface := self._interface(device, port)) is not None:
                return self.named(device, split_place(interface.place)[1])[0], interface
            if device in self._drawn and (device in self.absent or not self._drawn[device]):
                self._add(device, port)
                self._draw(device)
                return f"{device}:{port}", None
            if device in self._drawn:
                raise
            return self._unprinted(device, port, error), None

    def device(self, text: str) -> str:
        """Return the device of this survey that `text` names; one that only another survey has becomes absent here.

        Raises PlaceError with the nearest names when there is none.
        """
        try:
            return find_device(self.devices, text)
        except PlaceError:
            known = self.known_elsewhere(text)
            if known is None:
                names = [*self.devices, *self.panels, *self.elsewhere.devices]
                raise PlaceError(f"there is no device {text!r}", nearest(text, dict.fromkeys(names))) from None
            self.draw_absent(known.name, ())
            self._draw(known.name)
            return known.name

    def renamed(self, text: str) -> tuple[str, Rename | None]:
        """Return what `text` is called in this survey, and the renaming that says so."""
        device, port = split_place(text)
        for rename in self.renames:
            if rename.old.casefold() == text.strip().casefold():
                return rename.new, rename
        for rename in self.renames:
            old_device, old_port = split_place(rename.old)
            if port and old_port and old_device.casefold() == device.casefold():
                known = self.known_elsewhere(old_device) or self.devices.get(old_device)
                if known is not None and _same_port(known, old_port, port):
                    return rename.new, rename
        for rename in self.renames:
            if port and rename.old.casefold() == device.casefold():
                return f"{rename.new}:{port}", rename
        return self._called_before(text, device, port)

    def before(self, panels: Iterable[str]) -> dict[str, str]:
        """Return new name -> old name of what is called otherwise here, spelled as the surveys have it.

        Raises SiteError for a new name that this survey has not.
        """
        before: dict[str, str] = {}
        for rename in self.renames:
            device, port = split_place(rename.new)
            if device.casefold() in {name.casefold() for name in panels}:
                before[rename.new] = rename.old
                continue
            try:
                found = self.device(device)
                new = self.named(found, port)[0] if port else found
            except PlaceError as error:
                raise rename.error(f"{rename.old} becomes {rename.new}: {error.message}", error.hint) from error
            before[new] = self._spelled_before(rename.old)
        return before

    def spelled_in(self, device: str, port: str) -> str:
        """Return the port as another survey's device spells it, where it has one of that name; else as given."""
        known = self.known_elsewhere(device)
        try:
            return find_port(known, port) if known is not None else port
        except PlaceError:
            return port

    def _spelled_before(self, old: str) -> str:
        device, port = split_place(old)
        known = self.known_elsewhere(device)
        name = known.name if known is not None else device
        return f"{name}:{self.spelled_in(device, port)}" if port else name

    def _called_before(self, text: str, device: str, port: str) -> tuple[str, Rename | None]:
        """Return the old name of a box that only a later survey's renaming knows."""
        if device.casefold() in {name.casefold() for name in (*self.devices, *self.panels)}:
            return text, None
        others = [row for survey, rows in self.declaration.renamed.items() if survey != self.survey for row in rows]
        for rename in others:
            if rename.new.casefold() == text.strip().casefold():
                return rename.old, rename
        for rename in others:
            if port and rename.new.casefold() == device.casefold():
                return f"{rename.old}:{port}", rename
        return text, None

    def _interface(self, device: str, port: str) -> Interface | None:
        """Return the sub-interface that `port` names here, or in another survey where this one has lost it."""
        found = find_interface(self.devices, f"{device}:{port}")
        if found is None and (known := self.known_elsewhere(device)) is not None:
            found = find_interface({known.name: known}, f"{known.name}:{port}")
        return found

    def _unprinted(self, device: str, port: str, error: PlaceError) -> str:
        """Return a port that the capture does not print: one that the naming allows, or that another survey shows."""
        box = self.devices[device]
        name = default_name(box, port)
        if name is None and (known := self.known_elsewhere(device)) is not None:
            try:
                name = find_port(known, port)
            except PlaceError:
                name = None
        if name is None or (name not in box.ports and error.several):
            raise error
        if name not in box.ports:
            made = self._default_port(box, name) if self._default_port else None
            self.devices[device] = made if made is not None and name in made.ports else with_assumed_port(box, name)
        return f"{device}:{name}"

    def _stub(self, name: str, ports: Iterable[str]) -> None:
        self._drawn.setdefault(name, [])
        self.devices.setdefault(name, Device(name=name))
        for port in ports:
            self._add(name, port)

    def _add(self, device: str, port: str) -> None:
        self._drawn[device].append(port)
        box = self.devices[device]
        ports = {**box.ports, port: Port(name=port)}
        self.devices[device] = Device(name=device, kind=box.kind, ports=ports)

    def _draw(self, name: str) -> None:
        declared = self.declaration.devices.get(name)
        if name in self.absent or declared is None or declared.kind is None:
            known = self.known_elsewhere(name)
            kind = declared.kind if declared and declared.kind else known.kind if known else None
            self.devices[name] = absent_box(name, kind, self._drawn[name], self.absent.get(name, ()))
        else:
            self.devices[name] = declared_box(declared, declared.kind, self._drawn[name])


def _same_port(device: Device, one: str, other: str) -> bool:
    try:
        return find_port(device, one) == find_port(device, other)
    except PlaceError:
        return False
