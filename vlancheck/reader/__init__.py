"""Sections of captures come in, devices of the 802.1Q model and notes on what could not be used go out."""

from __future__ import annotations

import gc
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from types import MappingProxyType
from typing import TypeAlias

from vlancheck.capture import Section
from vlancheck.capture.detect import Signature
from vlancheck.dot1q.model import Device
from vlancheck.evidence import Origins
from vlancheck.reader.accounts import Account, accounts
from vlancheck.reader.dialect import Dialect
from vlancheck.reader.grouping import Note, NoteKind, group
from vlancheck.reader.loading import dialect_names, load_dialect, load_signs
from vlancheck.reader.passed import Passed, passed_over
from vlancheck.reader.pasting import all_pasted, with_what_was_shown
from vlancheck.reader.reading import Gathered
from vlancheck.reader.several import read_group
from vlancheck.reader.signs import port_signs
from vlancheck.reader.unprinted import with_unprinted_port

ReadNote = Note

__all__ = [
    "Account",
    "Dialect",
    "Gathered",
    "NoteKind",
    "Passed",
    "ReadNote",
    "Reading",
    "dialect_names",
    "load_dialect",
    "passed_over",
    "read",
    "signatures",
    "with_changed",
    "with_default_port",
    "with_lines_pasted",
    "with_what_was_shown",
]


Deletions: TypeAlias = tuple[tuple[int, Origins], ...]  # VIDs (a bitset), and the lines that delete them, if they stay


@dataclass(frozen=True, slots=True)
class Reading:
    """What was understood of some captures."""

    devices: tuple[Device, ...]  # by name
    notes: tuple[ReadNote, ...]  # what was not used, or is not sure, and why
    gathered: Mapping[str, Gathered] = field(default_factory=dict)  # facts by device, to replay planned lines over
    texts: Mapping[str, tuple[Section, ...]] = field(default_factory=dict)  # what was read of each device
    typed: Mapping[str, str] = field(default_factory=dict)  # DEVICE:PORT that pasted lines change -> what is said of it
    deleted: Mapping[str, Deletions] = field(default_factory=dict)  # device -> what pasted lines delete there
    sections: tuple[Section, ...] = ()  # all that was captured, also what nothing reads

    @property
    def accounts(self) -> tuple[Account, ...]:
        """Return how much of each file was read, that of pasted lines among them."""
        return accounts(self.sections, self.gathered.items())


def read(
    sections: Sequence[Section], *, names: Mapping[str, str] | None = None, dialects: Mapping[str, str] | None = None
) -> Reading:
    """Return the devices that `sections` describe.

    `names` says which device a file belongs to (file -> device), `dialects` how a device is read
    (device -> dialect), where the text does not say.  Raises DialectError when a dialect's folder is not right;
    whatever is wrong with the captures is a note.
    """
    bound = {device: load_dialect(name) for device, name in (dialects or {}).items() if name in dialect_names()}
    groups, notes = group(sections, names or {}, dialects or {}, bound, signatures())
    devices: list[Device] = []
    gathered: dict[str, Gathered] = {}
    texts: dict[str, tuple[Section, ...]] = {}
    with _without_collector():
        for one in groups:
            made, gathered[one.name], more = read_group(one)
            notes += more
            devices += made
            texts |= dict.fromkeys([device.name for device in made], tuple(section for section, _ in one.pairs))
    devices.sort(key=lambda device: device.name)
    return Reading(
        tuple(devices),
        tuple(notes),
        MappingProxyType(gathered),
        MappingProxyType(texts),
        sections=tuple(sections),
    )


@contextmanager
def _without_collector() -> Iterator[None]:
    """Let the search for cycles rest: what is read are values without any that all live on, a fifth of the time."""
    was = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was:
            gc.enable()


def with_lines_pasted(reading: Reading, edits: Mapping[str, Sequence[Section]]) -> Reading:
    """Return what captures say with lines (device -> sections) typed at their devices; CaptureError as `all_pasted`."""
    return with_changed(reading, *all_pasted(reading.devices, reading.gathered, edits))


def with_changed(reading: Reading, devices: Sequence[Device], gathered: Mapping[str, Gathered]) -> Reading:
    """Return what captures say with its boxes, in the same order, as lines make them that are still to be typed."""
    typed = {
        f"{old.name}:{port}": f"lines are planned at {old.name}:{port}"
        for old, new in zip(reading.devices, devices, strict=True)
        if old is not new
        for before, after in [(port_signs(old), port_signs(new))]
        for port in new.ports
        if before.get(port) != after.get(port)
    }
    deleted = {
        old.name: parts
        for old, new in zip(reading.devices, devices, strict=True)
        if old is not new and (parts := tuple(_deleted(old, new)))
    }
    return replace(
        reading,
        devices=tuple(devices),
        gathered=MappingProxyType(dict(gathered)),
        typed=MappingProxyType({**reading.typed, **typed}),
        deleted=MappingProxyType({**reading.deleted, **deleted}),
    )


def _deleted(old: Device, new: Device) -> Iterator[tuple[int, Origins]]:
    """Yield the VIDs that a box had, or may have had, and may no longer have, with the new lines that say so."""
    for name, bridge in old.bridges.items():
        if name in new.bridges:
            was, now = bridge.exists, new.bridges[name].exists
            gone = (was.sure & ~now.sure) | (was.possible & ~now.possible)
            known = {one for _, _, by in was.parts for one in by}
            for bits, _, by in now.parts:
                if bits & gone:
                    yield bits & gone, tuple(one for one in by if one.file and one not in known)


def with_default_port(reading: Reading, device: Device, port: str) -> Device | None:
    """Return a captured box with a port that no capture prints, by its family's defaults; None where none are known."""
    gathered = reading.gathered.get(device.name)
    return with_unprinted_port(gathered, device, port) if gathered is not None else None


def signatures() -> list[Signature]:
    """Return how every dialect is known by its text."""
    return [Signature(name, *load_signs(name)) for name in dialect_names()]
