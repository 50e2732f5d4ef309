"""Boxes of a network in, what their ports do in plain words out, alike ones together."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import NamedTuple

from vlancheck.dot1q.model import BridgePort, Device, End
from vlancheck.dot1q.tags import Tag, format_frame
from vlancheck.evidence import UNKNOWN, Cover
from vlancheck.vids import WIRE, members, text
from vlancheck.wiring import Network


class PlanRow(NamedTuple):
    """Ports of one box that do the same."""

    ports: tuple[str, ...]  # names
    does: str  # what they do


def plan(network: Network, boxes: Iterable[str]) -> Iterator[tuple[str, str, list[PlanRow]]]:
    """Yield each box with what is said of the whole and its ports, alike ones in one row."""
    for name in boxes:
        box = network.devices[name]
        rows: dict[str, list[str]] = {}
        for port in box.ports.values():
            words = _words(network, box, port.name)
            if words:
                rows.setdefault("; ".join(words), []).append(port.name)
        yield name, _whole(box), [PlanRow(tuple(ports), does) for does, ports in rows.items()]


def _whole(box: Device) -> str:
    if not box.bridges:
        return box.kind.value
    return ", ".join(f"has VLAN {_vids(one.exists & one.active)}" for one in box.bridges.values())


def _words(network: Network, box: Device, port: str) -> list[str]:
    ports = [one for one in box.bridge_ports.values() if one.port == port]
    ends = [one for one in box.ends.values() if one.port == port]
    words = [word for one in ports for word in _bridge_port(one, network, box)]
    words += [_end(one) for one in ends]
    if not words:
        return []
    facts = (box.ports[port].up, box.ports[port].link)
    if any(fact.value is False for fact in facts):
        words.insert(0, "SHUT or without link")
    if far := network.peer.get(f"{box.name}:{port}"):
        words.append(f"cord to {far}")
    if f"{box.name}:{port}" in network.handoffs:
        words.append("handoff")
    return words


def _bridge_port(one: BridgePort, network: Network, box: Device) -> Iterator[str]:
    if one.select:
        yield f"{one.name}:"
    if one.pvid.value is UNKNOWN:
        yield "PVID unknown"
    else:
        yield "no PVID" if one.pvid.value is None else f"PVID {one.pvid.value}"
    yield f"takes tag {_vids(one.admit)}"
    bare, tagged = one.member & one.untagged, one.member.minus(one.untagged)
    sends = [f"{_vids(found)} {word}" for found, word in ((bare, "untagged"), (tagged, "tagged")) if found.possible]
    yield "sends " + (", ".join(sends) or "nothing")
    if ~one.forwarding.sure & one.member.possible:
        yield f"spanning tree closes {text(one.member.possible & ~one.forwarding.sure & WIRE)}"
    if one.isolation:
        yield f"isolated ({', '.join(sorted(one.isolation))})"
    for word, rows in (("in", one.entry), ("out", one.exit)):
        for row in rows:
            was = ".".join("any" if level.vids < 0 else text(level.vids & WIRE) for level in row.match) or "any"
            if row.drop:
                yield f"{word}: {was} is dropped"
            else:
                pushed = ".".join(str(tag.vid) for tag in row.push) or "nothing"
                yield f"{word}: {was} becomes {pushed}" if row.pop else f"{word}: {was} gets {pushed} before it"


def _end(one: End) -> str:
    if not one.select:
        return f"{one.name} takes any frame"
    taken = []
    for level in one.select:
        finite = level.vids & WIRE
        taken += [format_frame((Tag(0x8100, vid),)) for vid in list(members(finite))[:4]]
    return f"{one.name} takes {', '.join(taken) or 'untagged frames'}"


def _vids(cover: Cover) -> str:
    sure = cover.sure & WIRE
    known = "all" if sure == WIRE else text(sure)
    return f"{known} (and perhaps others)" if cover.possible & WIRE & ~sure else known
