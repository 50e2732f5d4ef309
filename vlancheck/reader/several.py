"""The sections of one device come in, once or several times each; devices that say only what all of them say go out."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import replace
from typing import TypeVar

from vlancheck.capture import Section
from vlancheck.dot1q.model import Bridge, Device
from vlancheck.evidence import UNKNOWN, Cover, Fact, Origins, State, join
from vlancheck.reader.dialect import Source
from vlancheck.reader.grouping import Group, Note, NoteKind
from vlancheck.reader.logs import entered, logged
from vlancheck.reader.reading import Gathered, first_difference, gather, origin_of
from vlancheck.reader.signs import bridge_port_sign, end_sign, port_sign, port_signs

Pair = tuple[Section, Source]
T = TypeVar("T")


def read_group(group: Group) -> tuple[list[Device], Gathered, list[Note]]:
    """Return the devices of one group (several when its bridges are devices of their own), its facts, and notes.

    Of two captures of one command that say the same, one is read.  Where two differ, both are read, and what
    differs between the devices they make is unknown, with the lines of both behind it.
    """
    notes: list[Note] = []
    chosen, rivals = _rivals(group, notes)
    gathered = gather(group.dialect, chosen)
    notes += _problems(gathered, group.name)
    device = gathered.device(group.name)
    for ours, theirs, lines in rivals:
        swapped = [theirs if pair is ours else pair for pair in chosen]
        other = gather(group.dialect, swapped)
        notes += _problems(other, group.name)
        merged = _agreed(device, other.device(group.name), lines)
        notes.append(_disagreement(group.name, lines, same=merged is device))
        device = merged
    if group.saved:
        device = _with_saved(device, group, chosen)
    device = replace(
        device, logged=logged(group.dialect, group.texts), entered=entered(group.dialect, group.texts, group.pairs)
    )
    return _separated(device) if group.dialect.separate_bridges else [device], gathered, notes


def _with_saved(device: Device, group: Group, chosen: Sequence[Pair]) -> Device:
    """Return the device with a setting for each port at which a restart brings back something else, and its lines."""
    running = {source.only_without for _, source in group.saved}
    pairs = [pair for pair in chosen if pair[1].name not in running]
    later = gather(group.dialect, [*pairs, *group.saved]).device(device.name)
    found: dict[str, Fact[str]] = {}
    now, then = port_signs(device), port_signs(later)
    for port in dict.fromkeys((*device.ports, *later.ports)):
        if now.get(port) != then.get(port):
            origins = _lines_of(later, port) or _lines_of(device, port)
            found[f"unsaved:{port}"] = Fact("yes", origins)
    for name in dict.fromkeys((*device.bridges, *later.bridges)):
        one, other = device.bridges.get(name), later.bridges.get(name)
        if one and other and (one.exists.sure, one.exists.possible) != (other.exists.sure, other.exists.possible):
            section, source = group.saved[0]
            line = next((line for line in section.lines if line.text.strip()), section.lines[0])
            found["unsaved-vlans"] = Fact("yes", (origin_of(section, source, line),))
    return replace(device, settings={**device.settings, **found}) if found else device


def _lines_of(device: Device, port: str) -> Origins:
    """Return the lines that make a port what it is."""
    mine = [one for one in device.bridge_ports.values() if one.port == port]
    made = join(*(one.pvid.origins for one in mine), *(by for one in mine for _, _, by in one.member.parts))
    named = device.ports[port].origins if port in device.ports else ()
    return tuple(origin for origin in join(made, named) if origin.file)


def _rivals(group: Group, notes: list[Note]) -> tuple[list[Pair], list[tuple[Pair, Pair, Origins]]]:
    """Return the pairs to read, and the pairs that say otherwise with the first lines in which they differ."""
    chosen: list[Pair] = []
    rivals: list[tuple[Pair, Pair, Origins]] = []
    for pair in group.pairs:
        section, source = pair
        if source.moments:
            chosen.append(pair)
            continue
        first = next((one for one in chosen if one[1] is source and _same_output(one[0], section, source)), None)
        if first is None:
            chosen.append(pair)
        elif (lines := first_difference(first[0].lines, section.lines)) is None:
            message = f"says the same as {first[0].file} and is not read again"
            notes.append(Note(NoteKind.SAME, message, section.file, section.lines[0].number, group.name))
        else:
            origins = tuple(
                origin_of(where, source, line) for line, where in zip(lines, (first[0], section), strict=True)
            )
            rivals.append((first, pair, origins))
    for section, source in chosen:
        if source.is_cut(section):
            lost = "what follows is not known" if source.moments else f"nothing at the ports of {group.name} is proven"
            message = f"the output ends in the middle; {lost}"
            last = section.lines[-1].number
            notes.append(Note(NoteKind.CUT, message, section.file, last, group.name))
    return chosen, rivals


def _same_output(one: Section, other: Section, source: Source) -> bool:
    return not source.parts or one.command == other.command


def _problems(gathered: Gathered, device: str) -> list[Note]:
    return [
        Note(
            NoteKind.NOT_THE_FORM,
            f"{source.name} is not what it should be: {why}; capture it again, whole",
            section.file,
            section.lines[0].number,
            device,
        )
        for section, source, why in gathered.problems
    ]


def _disagreement(device: str, lines: Origins, *, same: bool) -> Note:
    one, other = lines
    places = f"{one.file}:{one.line} has {one.text!r}, {other.file}:{other.line} has {other.text!r}"
    if same:
        message = f"two captures of {device} differ, though not in what is modelled: {places}"
        return Note(NoteKind.SAME, message, other.file, other.line, device)
    message = f"two captures of {device} disagree: {places}; what differs is taken as unknown; leave one of them out"
    return Note(NoteKind.DISAGREE, message, other.file, other.line, device)


# ---- what two readings agree on ----------------------------------------------------------------------------------


def _agreed(one: Device, other: Device, lines: Origins) -> Device:
    """Return `one` with everything unknown in which the two differ; `one` itself when they do not differ."""
    ports = _both(one.ports, other.ports, port_sign, lambda port: replace(port, up=Fact(UNKNOWN, lines)))
    bridge_ports = _both(
        one.bridge_ports,
        other.bridge_ports,
        bridge_port_sign,
        lambda port: replace(port, doubt=join(port.doubt, lines)),
    )
    doubted = {name for name, port in ports.items() if port is not one.ports.get(name)}
    bridge_ports = {
        name: replace(port, doubt=join(port.doubt, lines)) if port.port in doubted else port
        for name, port in bridge_ports.items()
    }
    ends = _both(one.ends, other.ends, end_sign, lambda end: replace(end, up=Fact(UNKNOWN, lines)))
    bridges = {
        name: _agreed_bridge(one.bridges.get(name), other.bridges.get(name), lines)
        for name in dict.fromkeys((*one.bridges, *other.bridges))
    }
    same = all(
        new.get(name) is old.get(name)
        for new, old in ((ports, one.ports), (bridge_ports, one.bridge_ports), (ends, one.ends), (bridges, one.bridges))
        for name in new
    )
    if same:
        return one
    return replace(
        one,
        ports=ports,
        bridge_ports=bridge_ports,
        ends=ends,
        bridges=bridges,
        unread=(*one.unread, *(line for line in other.unread if line not in one.unread)),
    )


def _both(
    mine: Mapping[str, T], theirs: Mapping[str, T], sign: Callable[[T], object], doubted: Callable[[T], T]
) -> dict[str, T]:
    found: dict[str, T] = {}
    for name in dict.fromkeys((*mine, *theirs)):
        one, other = mine.get(name), theirs.get(name)
        if one is not None and other is not None and sign(one) == sign(other):
            found[name] = one
        elif (kept := one if one is not None else other) is not None:
            found[name] = doubted(kept)
    return found


def _agreed_bridge(one: Bridge | None, other: Bridge | None, lines: Origins) -> Bridge:
    if one is None or other is None:
        kept = one or other
        assert kept is not None
        return replace(kept, exists=Cover.unknown(lines))
    exists, active = _agreed_cover(one.exists, other.exists, lines), _agreed_cover(one.active, other.active, lines)
    if exists is one.exists and active is one.active:
        return one
    return replace(one, exists=exists, active=active)


def _agreed_cover(one: Cover, other: Cover, lines: Origins) -> Cover:
    differ = (one.sure ^ other.sure) | (one.possible ^ other.possible)
    return one.write(differ, State.UNKNOWN, lines) if differ else one


# ---- bridges that are devices of their own -----------------------------------------------------------------------


def _separated(device: Device) -> list[Device]:
    """Return a device for each bridge of a host, called HOST.BRIDGE, and one for what is in no bridge.

    The members of a bundle go with it.  A host with one bridge stays one device; so does one whose bridges share a
    port, since a jack is in one device, and one with a port of which no line says the bridge.
    """
    if len(device.bridges) < 2 or "" in device.bridges:
        return [device]
    holds: dict[str, set[str]] = {name: set() for name in device.bridges}
    for port in device.bridge_ports.values():
        holds[port.bridge].add(port.port)
    for names in holds.values():
        names.update(port.name for port in device.ports.values() if port.bundle in names)
    everywhere = [name for names in holds.values() for name in names]
    loose = {end.port for end in device.ends.values()}
    if len(everywhere) != len(set(everywhere)) or loose & set(everywhere):
        return [device]
    rest = [name for name in device.ports if name not in everywhere]
    made = [_part(device, f"{device.name}.{bridge}", bridge, holds[bridge]) for bridge in device.bridges]
    return [*made, _part(device, device.name, None, rest)] if rest else made


def _part(device: Device, name: str, bridge: str | None, ports: Iterable[str]) -> Device:
    mine: Sequence[str] = list(ports)
    return replace(
        device,
        name=name,
        bridges={} if bridge is None else {bridge: device.bridges[bridge]},
        ports={port: one for port, one in device.ports.items() if port in mine},
        bridge_ports={key: one for key, one in device.bridge_ports.items() if one.port in mine},
        ends={key: one for key, one in device.ends.items() if one.port in mine},
        unread=tuple(replace(line, device=name) for line in device.unread if not line.port or line.port in mine),
        logged=tuple(one for one in device.logged if not one.port or one.port in mine),
        entered=tuple(one for one in device.entered if not one.port or one.port in mine),
    )
