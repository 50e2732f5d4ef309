"""What was understood of captures: boxes, ports as IEEE 802.1Q fields with their lines, unread lines."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Iterator
from dataclasses import replace
from typing import Any

from vlancheck import vids
from vlancheck.dot1q.model import NO_TAG, BridgePort, Device, End, Port, PrivateVlan, Rewrite, Seen, TagMatch, Unread
from vlancheck.errors import UsageError
from vlancheck.evidence import UNKNOWN, Cover, Fact, Origins, State
from vlancheck.reader import Reading, ReadNote, passed_over
from vlancheck.report import origins, trees
from vlancheck.site.places import PlaceError, find_device, find_place

SCHEMA = "vlancheck/read/1"
_WIDE = vids.WIRE | 1  # what is worth printing of an infinite set


def text(reading: Reading) -> str:
    """Return every box with its ports as fields, the deciding lines behind each."""
    out: list[str] = []
    for device in reading.devices:
        out += [*_device(device), ""]
    waiting = sum(device.unread_lines for device in reading.devices)
    if not reading.devices:
        out.append("no device was found in these captures")
    elif waiting:
        out.append(f"{waiting} lines were not read; list them with --unread")
    return "\n".join(out)


def unread_text(reading: Reading) -> str:
    """Return the unread lines, one `file:line: text` each, those that matter first."""
    found = [item for device in reading.devices for item in device.unread]
    found.sort(key=lambda item: not item.matters)
    return "\n".join(_unread(item) for item in found) or "every line was read or passed over by name"


def passed_text(reading: Reading) -> str:
    """Return the lines passed over on purpose, one `file:line: text` each, and the rule that names it."""
    found = []
    for gathered in reading.gathered.values():
        for one in passed_over(gathered):
            if one.text.strip():
                by = one.rule or "the form of the text"
                found.append(f"{one.file}:{one.line}: {one.text.strip()}  <- {by}")
    return "\n".join(found) or "no line was passed over"


def narrowed(reading: Reading, wanted: str) -> Reading:
    """Return the reading of one device, or of one port of it; UsageError when there is none."""
    devices = {device.name: device for device in reading.devices}
    try:
        if ":" not in wanted:
            return replace(reading, devices=(devices[find_device(devices, wanted)],))
        device, _, port = find_place(devices, wanted).partition(":")
    except PlaceError as error:
        raise UsageError(error.message, hint=error.hint) from error
    box = devices[device]
    kept = replace(
        box,
        ports={port: box.ports[port]},
        bridge_ports={name: found for name, found in box.bridge_ports.items() if found.port == port},
        ends={name: end for name, end in box.ends.items() if end.port == port},
        unread=tuple(item for item in box.unread if item.port == port),
    )
    return replace(reading, devices=(kept,))


def open_questions(reading: Reading) -> bool:
    """Tell whether something that was asked for was not understood."""
    return bool(reading.notes) or any(item.matters for device in reading.devices for item in device.unread)


def document(reading: Reading) -> dict[str, Any]:
    """Return the reading as JSON fields; the schema only grows."""
    return {
        "schema": SCHEMA,
        "devices": [_device_document(device) for device in reading.devices],
        "notes": [_note(note) for note in reading.notes],
    }


# ---- text --------------------------------------------------------------------------------------------------------


def _device(device: Device) -> Iterator[str]:
    read = device.lines - device.passed_over - device.unread_lines
    yield (
        f"{device.name}  {device.kind}, dialect {device.dialect or 'none'}: {device.lines} lines, {read} read, "
        f"{device.passed_over} passed over by name, {device.unread_lines} unread"
    )
    for bridge in device.bridges.values():
        called = f"bridge {bridge.name}" if bridge.name else "bridge"
        yield f"  {called}  VLANs {_set(bridge.exists)}"
        yield from (f"      {line}" for line in _cover(bridge.exists))
        for vid, part in bridge.private.items():
            named = f" with {vids.text(part.secondaries)}" if part.secondaries else ""
            kind = part.kind or "named by another, and no line says what it is"
            yield f"      private VLAN {vid}: {kind}{named}  <- {origins.short(part.origins)}"
        yield from (f"      {line}" for line in trees.bridge_lines(bridge))
    for port in device.ports.values():
        described = f'  "{port.description}"' if port.description else ""
        bundled = f"  in {port.bundle}" + (f" ({port.bundle_mode})" if port.bundle_mode else "") if port.bundle else ""
        state = "  shut" if port.up.value is False else ""
        yield f"  {port.name}{described}{bundled}{state}"
        for bridge_port in device.bridge_ports.values():
            if bridge_port.port == port.name:
                yield from _bridge_port(bridge_port)
        if port.shown:
            now = port.shown.bridge_port
            before = [*_bridge_port(device.bridge_ports[now.name])] if now.name in device.bridge_ports else []
            shown = [*_bridge_port(now)]
            yield "      shown to do the same" if _bare(shown) == _bare(before) else "      but shown to do this:"
            yield from (f"    {line}" for line in shown if _bare(shown) != _bare(before))
        yield from _beside(port)
        for end in device.ends.values():
            if end.port == port.name:
                yield f"      {end.name} takes {_taken(end)}  <- {origins.short(end.origins)}"


def _beside(port: Port) -> Iterator[str]:
    """Yield what a port is set to beside VLANs, and what was seen behind it."""
    if port.properties:
        said = [f"{name} {_value(fact)} {_behind(fact.origins)}" for name, fact in port.properties.items()]
        rows = textwrap.wrap(", ".join(said), 90, break_long_words=False, break_on_hyphens=False)
        yield from (f"      {'set to' if not at else '':9} {line}" for at, line in enumerate(rows))
    yield from (f"      {line}" for line in trees.port_lines(port.tree))
    for one in port.seen:
        if one.neighbour or one.neighbour_pvid is not None:
            at = f" at {one.neighbour_port}" if one.neighbour_port else ""
            told = f", its PVID {one.neighbour_pvid}" if one.neighbour_pvid is not None else ""
            told += f", its VLANs {vids.text(one.neighbour_vids)}" if one.neighbour_vids else ""
            yield f"      heard     {one.neighbour or 'a neighbour'}{at}{told}  <- {origins.short(one.origins)}"
    if learned := sum(1 for one in port.seen if one.mac):
        yield f"      learned   {learned} {'address' if learned == 1 else 'addresses'}"


def _behind(by: Origins) -> str:
    """Return the line of a property in brackets; a default and an assumption are called so."""
    return f"[{next((str(one.line) for one in by if one.line), str(by[0].kind) if by else 'no evidence')}]"


def _bridge_port(port: BridgePort) -> Iterator[str]:
    if port.name != port.port:
        yield f"      {port.name} selects {_levels(port.select)}"
    yield f"      pvid      {_value(port.pvid)}  <- {origins.short(port.pvid.origins)}"
    for name, cover in (("admit", port.admit), ("member", port.member), ("untagged", port.untagged)):
        yield f"      {name:9} {_set(cover)}"
        yield from (f"          {line}" for line in _cover(cover))
    if not port.tpids:
        yield "      tpids     none: no tag is known here"
    elif port.tpids != {0x8100} or port.sends != 0x8100:
        yield f"      tpids     {', '.join(f'{tpid:04x}' for tpid in sorted(port.tpids))}, sends {port.sends:04x}"
    for name, rows in (("entry", port.entry), ("exit", port.exit)):
        yield from (f"      {name:9} {_row(row)}  <- {origins.short(row.origins)}" for row in rows)
    if port.private:
        yield f"      private   {_private(port.private)}  <- {origins.short(port.private.origins)}"
    if port.isolation:
        yield f"      isolated  in {', '.join(sorted(port.isolation))}  <- {origins.short(port.isolation_origins)}"
    if port.doubt:
        yield f"      UNPROVEN  {origins.told(port.doubt[0])}"


def _private(part: PrivateVlan) -> str:
    """Return the part of a port in a private VLAN."""
    words = [str(part.role)]
    words += [f"primary {part.primary}"] if part.primary is not None else []
    words += [f"secondary {part.secondary}"] if part.secondary is not None else []
    return ", ".join([*words, *([f"mapped {vids.text(part.mapped)}"] if part.mapped else [])])


def _bare(lines: Iterable[str]) -> list[str]:
    """Return what lines say of a port, without who decided it."""
    return [line.partition("<-")[0].split(" by ")[0].rstrip() for line in lines if not line.startswith("          ")]


def _cover(cover: Cover) -> Iterator[str]:
    """Yield who decided what, where a line did; silence only once."""
    for bits, state, by in sorted(cover.parts, key=lambda part: (part[1].value, vids.first(part[0]))):
        shown = bits & _WIDE if bits < 0 else bits
        if not shown:
            continue
        if state is State.IN or any(origin.file for origin in by) or state is State.UNKNOWN:
            yield f"{state.value} {vids.text(shown)} <- {_by(by)}"


def _by(by: Origins) -> str:
    shown = [origins.told(origin) for origin in by if origin.file] or [origins.told(origin) for origin in by]
    return "; ".join(shown[:3]) or "no evidence"


def _set(cover: Cover) -> str:
    sure, maybe = cover.sure, cover.possible & ~cover.sure
    shown = vids.text(sure & _WIDE if sure < 0 else sure)
    return shown + (f", unknown {vids.text(maybe & _WIDE if maybe < 0 else maybe)}" if maybe else "")


def _value(fact: Fact[str] | Fact[int | None]) -> str:
    if fact.value is UNKNOWN:
        return "unknown"
    return "none" if fact.value is None else str(fact.value)


def _taken(end: End) -> str:
    return _levels(end.select) if end.select else "any frame"


def _levels(levels: Iterable[TagMatch]) -> str:
    words = []
    for level in levels:
        tagged = level.vids & ~(1 << NO_TAG)
        tag = "any tag" if level.vids < 0 else vids.text(tagged) if tagged else ""
        bare = "no tag" if level.vids >= 0 and level.vids >> NO_TAG & 1 else ""
        words.append(" or ".join(word for word in (tag, bare) if word))
    return " then ".join(words) or "what no other takes"


def _row(row: Rewrite) -> str:
    moves = [*([f"pop {row.pop}"] if row.pop else []), *(f"push {push.vid}" for push in row.push)]
    what = "drop" if row.drop else ", ".join(moves) or "pass"
    matched = _levels(row.match) if row.match else "every frame"
    return f"{matched}: {what}" + ("" if row.sure else " (unproven)")


def _unread(item: Unread) -> str:
    where = f"{item.device}:{item.port}" if item.port else item.device
    why = f" ({item.why})" if item.why else ""
    matters = " [could touch VLANs]" if item.matters else ""
    return f"{origins.told(item.origin[0])}  {where}{why}{matters}" if item.origin else f"{where}{why}{matters}"


# ---- documents ---------------------------------------------------------------------------------------------------


def _note(note: ReadNote) -> dict[str, Any]:
    return {
        "kind": note.kind.value,
        "message": note.message,
        "file": note.file,
        "line": note.line,
        "device": note.device,
    }


def _device_document(device: Device) -> dict[str, Any]:
    return {
        "name": device.name,
        "kind": device.kind.value,
        "dialect": device.dialect,
        "lines": device.lines,
        "passed_over": device.passed_over,
        "bridges": [
            {
                "name": bridge.name,
                "exists": _cover_document(bridge.exists),
                "active": _cover_document(bridge.active),
                "private_vlans": [
                    {
                        "vid": str(vid),
                        "kind": str(part.kind or ""),
                        "secondaries": vids.text(part.secondaries) if part.secondaries else "",
                        "evidence": origins.documents(part.origins),
                    }
                    for vid, part in bridge.private.items()
                ],
                "spanning_tree": trees.bridge_documents(bridge),
            }
            for bridge in device.bridges.values()
        ],
        "ports": [
            {
                "name": port.name,
                "kind": port.kind.value,
                "description": port.description,
                "bundle": port.bundle,
                "up": None if port.up.value is UNKNOWN else port.up.value,
                "set_to": [
                    {"name": str(name), "value": _value(fact), "evidence": origins.documents(fact.origins)}
                    for name, fact in port.properties.items()
                ],
                "spanning_tree": trees.port_documents(port.tree),
                "seen": [_seen_document(one) for one in port.seen],
            }
            for port in device.ports.values()
        ],
        "bridge_ports": [_bridge_port_document(port) for port in device.bridge_ports.values()],
        "ends": [
            {"name": end.name, "port": end.port, "takes": _taken(end), "evidence": origins.documents(end.origins)}
            for end in device.ends.values()
        ],
        "unread": [
            {
                "file": item.origin[0].file if item.origin else "",
                "line": item.origin[0].line if item.origin else 0,
                "text": item.origin[0].text if item.origin else "",
                "device": item.device,
                "port": item.port,
                "matters": item.matters,
                "why": item.why,
            }
            for item in device.unread
        ],
    }


def _seen_document(one: Seen) -> dict[str, Any]:
    return {
        "mac": one.mac,
        "vid": "" if one.vid is None else str(one.vid),
        "neighbour": one.neighbour,
        "neighbour_port": one.neighbour_port,
        "neighbour_pvid": "" if one.neighbour_pvid is None else str(one.neighbour_pvid),
        "neighbour_vids": vids.text(one.neighbour_vids) if one.neighbour_vids else "",
        "evidence": origins.documents(one.origins),
    }


def _bridge_port_document(port: BridgePort) -> dict[str, Any]:
    return {
        "name": port.name,
        "port": port.port,
        "bridge": port.bridge,
        "selects": _levels(port.select),
        "pvid": {"value": _value(port.pvid), "evidence": origins.documents(port.pvid.origins)},
        "admit": _cover_document(port.admit),
        "member": _cover_document(port.member),
        "untagged": _cover_document(port.untagged),
        "tpids": [f"{tpid:04x}" for tpid in sorted(port.tpids)],
        "sends": f"{port.sends:04x}",
        "entry": [_row(row) for row in port.entry],
        "exit": [_row(row) for row in port.exit],
        "private": None if port.private is None else _private_document(port.private),
        "isolation": sorted(port.isolation),
        "unproven": origins.documents(port.doubt),
    }


def _private_document(part: PrivateVlan) -> dict[str, Any]:
    return {
        "role": part.role.value,
        "primary": "" if part.primary is None else str(part.primary),
        "secondary": "" if part.secondary is None else str(part.secondary),
        "mapped": vids.text(part.mapped) if part.mapped else "",
        "evidence": origins.documents(part.origins),
    }


def _cover_document(cover: Cover) -> list[dict[str, Any]]:
    parts = []
    for bits, state, by in sorted(cover.parts, key=lambda part: vids.first(part[0])):
        parts.append({"vids": vids.text(bits), "state": state.value, "evidence": origins.documents(by)})
    return parts
