"""Boxes, links, handoffs and claims in, the shortest text in jot that says the same out."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from vlancheck.dot1q.model import (
    Bridge,
    BridgePort,
    Device,
    DeviceKind,
    End,
    Entered,
    Foreign,
    Logged,
    Negotiation,
    Port,
    PortKind,
    PrivateVlan,
    Rewrite,
    TagMatch,
    Unread,
)
from vlancheck.dot1q.tags import C_TAG
from vlancheck.errors import NotationError
from vlancheck.evidence import UNKNOWN, Cover, Fact
from vlancheck.notation import sets
from vlancheck.notation.anonymous import Renaming, no_renaming, renaming
from vlancheck.notation.claims import Expectation, Finding, write_expectation, write_finding
from vlancheck.notation.fields import TREES, UNKNOWN_MARK
from vlancheck.notation.trees import bridge_words, port_words
from vlancheck.notation.words import quoted_name, quoted_place
from vlancheck.site.live import as_shown
from vlancheck.vids import EVERY

_ALL = Cover.of(EVERY)
_NONE = Cover.of(0)
_WORD_WIDTH = 6  # of the first word, so that ports and links stand in a column


def write(
    devices: Iterable[Device],
    links: Iterable[Sequence[object]] = (),
    handoffs: Iterable[str] = (),
    *,
    expectations: Iterable[Expectation] = (),
    findings: Iterable[Finding] = (),
    anonymous: bool = False,
) -> str:
    """Return the text that parses to the same boxes, links (pairs of DEVICE:PORT, or Link values) and claims.

    Origins are not written, nor is what a line would say anyway.  `anonymous` gives devices, ports, bridges and
    groups new names, the same one everywhere, and leaves out descriptions, settings and unread text; VIDs stay.
    Raises NotationError for a name that no line can hold, and for a box whose parts name parts that it does not have.
    """
    devices = tuple(devices)
    names = renaming(devices) if anonymous else no_renaming()
    found: list[str] = []
    for device in devices:
        found += _device(device, names)
    for link in links:
        found.append(_line("link", *(_place(names.place(str(end))) for end in link[:2])))
    found += [_line("handoff", _place(names.place(place))) for place in handoffs]
    found += [write_expectation(names.expectation(expectation)) for expectation in expectations]
    found += [write_finding(names.finding(finding)) for finding in findings]
    return "".join(f"{line}\n" for line in found)


def _device(device: Device, names: Renaming) -> list[str]:
    """Return the lines of one box: itself, its bridges, its ports in their order, what is said of the whole."""
    device, box = as_shown(device), names.device(device.name)
    if not box or ":" in box or box != box.strip():
        raise NotationError(f"no line can hold the device name {box!r}", hint="a colon parts device and port")
    _whole(device)
    found = list(_bridges(device, box, names))
    for port in device.ports.values():
        found += _port(device, box, port, names)
    for key, fact in device.settings.items():
        if names.keeps(key):
            value = UNKNOWN_MARK if fact.value is UNKNOWN else quoted_name(str(fact.value))
            found.append(_line("setting", _place(box), f"{quoted_name(key)}={value}"))
    found += [_unread(box, unread, names) for unread in device.unread]
    found += [_logged(device, box, one, names) for one in device.logged]
    found += [_entered(device, box, one, names) for one in device.entered]
    made = any(line.split(maxsplit=1)[0] in ("bridge", "port", "bridge-port", "end") for line in found)
    made = any(line.split(maxsplit=1)[0] in ("bridge", "private-vlan", "port", "bridge-port", "end") for line in found)
    only_ends = device.ends and not device.bridges
    fields = [
        _field("kind", device.kind, DeviceKind.HOST if only_ends else DeviceKind.BRIDGE),
        _name("dialect", device.dialect),
        _name("owner", names.owner(device.owner)),
        _field("lines", device.lines, 0),
        _field("passed-over", device.passed_over, 0),
    ]
    if any(fields) or not made:
        found.insert(0, _line("device", _place(box), *fields))
    return found


def _whole(device: Device) -> None:
    """Refuse a box whose parts name parts that it does not have."""
    for bridge_port in device.bridge_ports.values():
        if bridge_port.bridge not in device.bridges:
            _torn(device, f"bridge port {bridge_port.name!r} is in bridge {bridge_port.bridge!r}")
    parts: list[BridgePort | End] = [*device.bridge_ports.values(), *device.ends.values()]
    for part in parts:
        if part.port not in device.ports:
            _torn(device, f"{part.name!r} stands on port {part.port!r}")


def _torn(device: Device, what: str) -> None:
    raise NotationError(f"{device.name}: {what}, which the device does not have")


def _bridges(device: Device, box: str, names: Renaming) -> Iterator[str]:
    used = {bridge_port.bridge for bridge_port in device.bridge_ports.values()}
    for bridge in device.bridges.values():
        fields = _bridge_fields(bridge, names)
        if any(fields) or bridge.name not in used:
            name = names.bridge(device.name, bridge.name)
            yield _line("bridge", _place(f"{box}:{name}" if name else box), *fields)
        for vid, part in bridge.private.items():
            name = names.bridge(device.name, bridge.name)
            where = _place(f"{box}:{name}" if name else box)
            kind = UNKNOWN_MARK if part.kind is None else part.kind
            yield _line("private-vlan", where, sets.write_vid(vid), kind, _bits("secondaries", part.secondaries))


def _bridge_fields(bridge: Bridge, names: Renaming) -> list[str]:
    tree = bridge.spanning_tree
    if tree.value is not UNKNOWN and tree.value not in TREES:
        raise NotationError(f"no line can hold the spanning tree {tree.value!r}", hint=f"known: {', '.join(TREES)}")
    return [
        _cover("exists", bridge.exists, _ALL),
        _cover("active", bridge.active, _ALL),
        "tree=?" if tree.value is UNKNOWN else _field("tree", tree.value, "unknown"),
        *bridge_words(bridge.tree, names),
        _cover("without", bridge.tree.without, _NONE),
    ]


def _port(device: Device, box: str, port: Port, names: Renaming) -> Iterator[str]:
    """Yield the lines of one port and of everything that stands on it."""
    place = _place(f"{box}:{names.port(device.name, port.name)}")
    standing = [one for one in device.bridge_ports.values() if one.port == port.name]
    ends = [one for one in device.ends.values() if one.port == port.name]
    plain = next((one for one in standing if one.name == port.name and one.up.value is True), None)
    if plain:
        standing.sort(key=lambda one: one is not plain)  # it is on the port's own line
    fields = [
        _field("kind", port.kind, PortKind.JACK),
        _yes("up", port.up),
        _yes("link", port.link),
        _name("bundle", names.port(device.name, port.bundle) if port.bundle else ""),
        _name("bundle-mode", port.bundle_mode),
        _name("description", names.text(port.description)),
        *port_words(port.tree),
    ]
    if plain:
        fields = [*(_relay(device, plain, names) or ["pvid=none"]), *fields]
    if any(fields) or not any(end.name == port.name for end in ends):
        yield _line("port", place, *fields)
    for one in standing:
        where = _place(f"{box}:{names.bridge_port(device.name, one.name)}")
        if one is not plain:
            on = "" if one.name == port.name else f"on={quoted_name(names.port(device.name, port.name))}"
            yield _line("bridge-port", where, on, *_relay(device, one, names), _yes("up", one.up))
        yield from _rows(where, one)
    for end in ends:
        yield _end(device, box, end, names)
    if told := names.properties(port.properties):
        words = ((key, UNKNOWN_MARK if fact.value is UNKNOWN else quoted_name(fact.value)) for key, fact in told)
        yield _line("set", place, *(f"{key}={value}" for key, value in words))
    if port.configured:
        yield _line("configured", place, *(_relay(device, port.configured, names) or ["pvid=none"]))
    if port.negotiation:
        yield from _negotiation(device, place, port.name, port.negotiation, names)


def _relay(device: Device, one: BridgePort, names: Renaming) -> list[str]:
    """Return the fields of a bridge port that are not what a line says anyway."""
    pvid = (
        UNKNOWN_MARK if one.pvid.value is UNKNOWN else "" if one.pvid.value is None else sets.write_vid(one.pvid.value)
    )
    groups = sorted(names.group(group) for group in one.isolation)
    private = _private(one.private) if one.private else ""
    bridge = names.bridge(device.name, one.bridge) if one.bridge else ""
    fields = [
        _name("bridge", bridge),
        f"pvid={pvid}" if pvid else "",
        _cover("member", one.member, _NONE),
        _cover("admit", one.admit, one.member),
        _cover("untagged", one.untagged, _NONE),
        _select(one.select),
        "" if one.tpids == {C_TAG} else f"tpids={sets.write_tpids(one.tpids)}",
        "" if one.sends == C_TAG else f"sends={one.sends:04x}",
        _field("foreign", one.foreign, Foreign.PAYLOAD),
        _cover("forwarding", one.forwarding, _ALL),
        f"private={private}" if private else "",
        _bits("mapped", one.private.mapped) if one.private else "",
        f"isolation={','.join(map(quoted_name, groups))}" if groups else "",
        "doubt=yes" if one.doubt else "",
    ]
    return [field for field in fields if field]


def _private(part: PrivateVlan) -> str:
    numbers = ["none" if vid is None else sets.write_vid(vid) for vid in (part.primary, part.secondary)]
    while numbers and numbers[-1] == "none":
        numbers.pop()
    return "/".join([part.role, *numbers])


def _bits(key: str, bits: int) -> str:
    return f"{key}={sets.write_cover(Cover.of(bits))}" if bits else ""


def _rows(where: str, one: BridgePort, *more: str) -> Iterator[str]:
    for way, rows in (("entry", one.entry), ("exit", one.exit)):
        for row in rows:
            yield _line(way, where, *more, *_row(row))


def _row(row: Rewrite) -> list[str]:
    fields = [
        f"match={sets.write_levels(row.match)}" if row.match else "",
        f"pop={row.pop}" if row.pop else "",
        f"push={sets.write_pushes(row.push)}" if row.push else "",
        "drop=yes" if row.drop else "",
    ]
    return [*(fields if any(fields) else ["pop=0"]), "" if row.sure else "sure=no"]


def _end(device: Device, box: str, end: End, names: Renaming) -> str:
    return _line(
        "end",
        _place(f"{box}:{names.end(device.name, end.name)}"),
        "" if end.name == end.port else f"on={quoted_name(names.port(device.name, end.port))}",
        _select(end.select),
        "" if end.tpids == {C_TAG} else f"tpids={sets.write_tpids(end.tpids)}",
        _yes("up", end.up),
        "address=yes" if end.address else "",
    )


def _negotiation(device: Device, place: str, port: str, found: Negotiation, names: Renaming) -> Iterator[str]:
    outcomes = ",".join(f"{quoted_name(theirs)}:{quoted_name(mine)}" for theirs, mine in found.outcomes.items())
    yield _line(
        "negotiate",
        place,
        f"protocol={quoted_name(found.protocol)}",
        f"mode={quoted_name(found.mode)}",
        f"alone={quoted_name(found.alone)}",
        f"outcomes={outcomes}" if outcomes else "",
    )
    for outcome, variant in found.variants.items():
        name = "" if variant.name == port else f"name={quoted_name(names.bridge_port(device.name, variant.name))}"
        on = "" if variant.port == port else f"on={quoted_name(names.port(device.name, variant.port))}"
        fields = (name, on, *_relay(device, variant, names), _yes("up", variant.up))
        yield _line("variant", place, quoted_name(outcome), *fields)
        yield from _rows(place, variant, f"variant={quoted_name(outcome)}")


def _unread(box: str, unread: Unread, names: Renaming) -> str:
    port = names.port(unread.device, unread.port) if unread.port else ""
    text = unread.origin[0].text if unread.origin else ""
    return _line(
        "unread",
        _place(f"{box}:{port}" if port else box),
        "matters=yes" if unread.matters else "",
        _name("why", names.text(unread.why)),
        _name("absent", names.text(unread.absent)),
        _name("text", names.text(text)),
    )


def _logged(device: Device, box: str, one: Logged, names: Renaming) -> str:
    return _line(
        "logged",
        _named_port(device, box, one.port, names),
        f"told={one.told}",
        _field("times", one.times, 1),
        _name("text", names.text(one.origins[0].text)),
    )


def _entered(device: Device, box: str, one: Entered, names: Renaming) -> str:
    return _line(
        "entered",
        _named_port(device, box, one.port, names),
        _name("answer", names.text(one.answer) or ("refused" if one.answer else "")),
        "" if one.captured is None else f"captured={'yes' if one.captured else 'no'}",
        _name("text", names.text(one.origins[0].text)),
    )


def _named_port(device: Device, box: str, port: str, names: Renaming) -> str:
    """Return a port of a box, or the box where it has no such port."""
    return _place(f"{box}:{names.port(device.name, port)}" if port in device.ports else box)


# ---- words -------------------------------------------------------------------------------------------------------


def _line(word: str, *words: str) -> str:
    return " ".join([f"{word:<{_WORD_WIDTH}}", *(one for one in words if one)])


def _place(place: str) -> str:
    device, colon, port = place.partition(":")
    if not device or (colon and not port) or device != device.strip() or port != port.strip():
        raise NotationError(f"no line can hold the name {place!r}", hint="a name is not empty, no blank at its ends")
    return quoted_place(place)


def _name(key: str, value: str) -> str:
    return f"{key}={quoted_name(value)}" if value else ""


def _field(key: str, value: object, default: object) -> str:
    return "" if value == default else f"{key}={value}"


def _yes(key: str, fact: Fact[bool]) -> str:
    if fact.value is UNKNOWN:
        return f"{key}=?"
    return "" if fact.value else f"{key}=no"


def _cover(key: str, cover: Cover, default: Cover) -> str:
    same = cover.sure == default.sure and cover.possible == default.possible
    return "" if same else f"{key}={sets.write_cover(cover)}"


def _select(levels: tuple[TagMatch, ...]) -> str:
    if not levels:
        return ""
    whole = sets.write_whole(levels)
    return f"select={sets.write_levels(levels)}" if whole is None else f"takes={whole}"
