"""A reading comes in; the plain description that a fixture's YAML holds goes out.

A value is followed by what decided it, in brackets: line numbers, `default` or `assumed`.
"""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import PurePath
from typing import Any

from vlancheck import vids
from vlancheck.dot1q.model import (
    NO_TAG,
    Bridge,
    BridgePort,
    Device,
    End,
    Entered,
    Logged,
    Port,
    PortKind,
    PrivatePart,
    Rewrite,
    Seen,
    TagMatch,
)
from vlancheck.dot1q.tags import C_TAG
from vlancheck.evidence import UNKNOWN, Cover, Fact, Origins, State
from vlancheck.reader import Reading
from vlancheck.report import trees


def describe(reading: Reading) -> dict[str, Any]:
    """Return the description of everything that was read."""
    found: dict[str, Any] = {"devices": {device.name: _device(device) for device in reading.devices}}
    if reading.notes:
        found["notes"] = [f"{note.kind} at {PurePath(note.file).name}:{note.line}" for note in reading.notes]
    return found


def _device(device: Device) -> dict[str, Any]:
    made: dict[str, Any] = {"kind": str(device.kind), "dialect": device.dialect}
    made["lines"] = f"{device.lines}, {device.passed_over} passed over"
    if device.settings:
        made["settings"] = {name: _fact(fact) for name, fact in device.settings.items()}
    if device.bridges:
        made["bridges"] = {name or "(the only one)": _bridge(bridge) for name, bridge in device.bridges.items()}
    made["ports"] = {name: _port(port) for name, port in device.ports.items()}
    if device.bridge_ports:
        made["bridge-ports"] = {name: _bridge_port(port) for name, port in device.bridge_ports.items()}
    if device.ends:
        made["ends"] = {name: _end(end) for name, end in device.ends.items()}
    if device.unread:
        made["unread"] = [
            " ".join(
                filter(
                    None,
                    (
                        f"line {line.origin[0].line}",
                        f"at {line.port}" if line.port else "",
                        "matters" if line.matters else "",
                        f"({line.why})" if line.why else "",
                    ),
                )
            )
            for line in device.unread
        ]
    if device.logged:
        made["logged"] = [_logged(one) for one in device.logged]
    if device.entered:
        made["entered"] = [_entered(one) for one in device.entered]
    return made


def _logged(one: Logged) -> str:
    often = f", {one.times} times" if one.times > 1 else ""
    return f"{one.told}{f' at {one.port}' if one.port else ''}{often} {_origins(one.origins)}"


def _entered(one: Entered) -> str:
    shown = {True: "captured afterwards", False: "captured before", None: "not captured"}[one.captured]
    answer = f"refused: {one.answer}" if one.answer else "taken"
    return f"{one.origins[0].text}{f' at {one.port}' if one.port else ''}, {answer}, {shown} {_origins(one.origins)}"


def _bridge(bridge: Bridge) -> dict[str, Any]:
    made: dict[str, Any] = {"exists": _cover(bridge.exists), "spanning-tree": _fact(bridge.spanning_tree)}
    if bridge.active.sure != vids.EVERY:
        made["inactive"] = _cover(bridge.active, State.OUT)
    if bridge.private:
        made["private"] = {f"VLAN {vid}": _private(part) for vid, part in bridge.private.items()}
    if tree := _tree(trees.of_bridge(bridge)):
        made["tree"] = tree
    return made


def _private(part: PrivatePart) -> str:
    named = f" with {vids.text(part.secondaries)}" if part.secondaries else ""
    return f"{part.kind or 'named alone'}{named} {_origins(part.origins)}"


def _port(port: Port) -> dict[str, Any]:
    made: dict[str, Any] = {"named": _origins(port.origins), "up": _fact(port.up)}
    if port.kind is PortKind.INSIDE:
        made["inside"] = "yes"
    if port.description:
        made["description"] = port.description
    if port.bundle:
        made["bundle"] = f"{port.bundle} {port.bundle_mode}".strip()
    if port.seen:
        made["seen"] = [_seen(one) for one in port.seen]
    if port.properties:
        made["properties"] = {str(name): _fact(fact) for name, fact in port.properties.items()}
    if tree := _tree(trees.of_port(port.tree)):
        made["tree"] = tree
    if port.link.value is not True:
        made["link"] = _fact(port.link)
    if port.shown:
        made["shown"] = _bridge_port(port.shown.bridge_port)
    if port.negotiation:
        settled = port.negotiation
        heard = ", ".join(f"{says}: {becomes}" for says, becomes in settled.outcomes.items())
        made["negotiates"] = f"{settled.protocol}, says {settled.mode}, alone {settled.alone}; heard {heard}"
        made["settled"] = {
            name: f"pvid {_fact(port.pvid)}, admit {_cover(port.admit)}, untagged {_cover(port.untagged)}"
            for name, port in settled.variants.items()
            if name != settled.alone
        } or "nothing else"
    return made


def _tree(said: Iterable[tuple[str, str, Origins]]) -> dict[str, str]:
    made: dict[str, str] = {}
    for name, value, origins in said:
        made[name] = f"{made[name]}; " if name in made else ""
        made[name] += f"{value} {_origins(origins)}"
    return made


def _seen(one: Seen) -> str:
    said = [one.mac] if one.mac else []
    said += [f"in {one.vid}"] if one.vid is not None else []
    said += [f"neighbour {one.neighbour} at {one.neighbour_port}"] if one.neighbour else []
    said += [f"tells pvid {one.neighbour_pvid}"] if one.neighbour_pvid is not None else []
    said += [f"tells VLANs {vids.text(one.neighbour_vids)}"] if one.neighbour_vids else []
    return f"{' '.join(said)} {_origins(one.origins)}"


def _bridge_port(port: BridgePort) -> dict[str, Any]:
    made: dict[str, Any] = {}
    if port.port != port.name:
        made["stands-on"] = port.port
        made["up"] = _fact(port.up)
    if port.bridge:
        made["bridge"] = port.bridge
    if port.select:
        made["select"] = _levels(port.select)
    made["pvid"] = _fact(port.pvid)
    made["admit"] = _cover(port.admit)
    made["member"] = _cover(port.member)
    made["untagged"] = _cover(port.untagged)
    for name, rows in (("entry", port.entry), ("exit", port.exit)):
        if rows:
            made[name] = [_row(row) for row in rows]
    if port.tpids != frozenset({C_TAG}) or port.sends != C_TAG:
        accepted = " ".join(f"{tpid:04x}" for tpid in sorted(port.tpids)) or "none"
        made["tpids"] = f"{accepted}, sends {port.sends:04x} {_origins(port.tpid_origins)}"
    if port.foreign.value != "payload":
        made["foreign"] = str(port.foreign)
    if port.forwarding.sure != vids.EVERY:
        made["forwarding"] = _cover(port.forwarding)
    if port.private:
        one = port.private
        mapped = f" mapped {vids.text(one.mapped)}" if one.mapped else ""
        pair = " ".join("none" if vid is None else str(vid) for vid in (one.primary, one.secondary))
        made["private"] = f"{one.role} {pair}{mapped} {_origins(one.origins)}"
    if port.isolation:
        made["isolation"] = " ".join(sorted(port.isolation))
    if port.doubt:
        made["doubt"] = _origins(port.doubt)
    return made


def _end(end: End) -> dict[str, Any]:
    made: dict[str, Any] = {
        "stands-on": end.port,
        "takes": _levels(end.select) or "whatever no other takes",
        "up": _fact(end.up),
        "named": _origins(end.origins),
    }
    if end.address:
        made["address"] = "yes"
    if end.tpids != frozenset({C_TAG}):
        made["tpids"] = " ".join(f"{tpid:04x}" for tpid in sorted(end.tpids))
    return made


def _row(row: Rewrite) -> str:
    parts = [_levels(row.match) or "all"]
    parts += [f"pop {row.pop}"] if row.pop else []
    parts += [f"push {tag.vid}" + (f"@{tag.tpid:04x}" if tag.tpid else "") for tag in row.push]
    parts += ["drop"] if row.drop else []
    parts += [] if row.sure else ["perhaps"]
    return f"{' '.join(parts)} {_origins(row.origins)}"


def _levels(levels: Iterable[TagMatch]) -> str:
    return " over ".join(_level(level) for level in levels)


def _level(level: TagMatch) -> str:
    if level.vids == vids.EVERY:
        return "any"
    words = [word for word, bit in (("untagged", 1 << NO_TAG), ("priority", 1)) if level.vids & bit]
    numbers = level.vids & ~(1 << NO_TAG) & ~1
    words += [vids.text(numbers)] if numbers else []
    tpids = "" if level.tpids is None else "@" + "/".join(f"{tpid:04x}" for tpid in sorted(level.tpids))
    return ",".join(words) + tpids


def _fact(fact: Fact[Any]) -> str:
    value = "unknown" if fact.value is UNKNOWN else "none" if fact.value is None else fact.value
    word = {True: "yes", False: "no"}[value] if isinstance(value, bool) else str(value)
    return f"{word} {_origins(fact.origins)}"


def _cover(cover: Cover, shown: State = State.IN) -> str:
    """Return what is in, and of the rest what is unknown and what a line of its own put out."""
    parts = []
    for bits, state, origins in sorted(cover.parts, key=lambda part: (part[0] < 0, part[0] & -part[0])):
        if state is shown:
            parts.append(f"{vids.text(bits)} {_origins(origins)}")
        elif state is State.UNKNOWN:
            parts.append(f"unknown {vids.text(bits)} {_origins(origins)}")
        elif shown is State.IN and bits > 0:
            parts.append(f"not {vids.text(bits)} {_origins(origins)}")
    return "; ".join(parts) or "none"


def _origins(origins: Origins) -> str:
    return f"[{' '.join(str(origin.line or origin.kind) for origin in origins)}]"
