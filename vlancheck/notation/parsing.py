"""A text in jot in, boxes, links, handoffs and claims out; nothing is walked here."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace

from vlancheck.dot1q.model import (
    ADMIN_ASSUMED,
    Bridge,
    BridgePort,
    Device,
    DeviceKind,
    End,
    Entered,
    Logged,
    Port,
    PrivatePart,
    Rewrite,
    Told,
    Unread,
)
from vlancheck.evidence import UNKNOWN, Fact, Kind, Origin
from vlancheck.notation import fields as read
from vlancheck.notation.claims import Expectation, Finding, read_expectation, read_finding
from vlancheck.notation.fields import Fields
from vlancheck.notation.ordered import Ordered
from vlancheck.notation.trees import bridge_tree, port_tree
from vlancheck.notation.words import Line, lines, nearest, pairs, said
from vlancheck.places import split_place


@dataclass(frozen=True)
class Notation:
    """What a text says."""

    devices: tuple[Device, ...]  # in the order in which they are first named
    links: tuple[tuple[str, str], ...]  # pairs of DEVICE:PORT
    handoffs: tuple[str, ...]  # DEVICE:PORT of each
    expectations: tuple[Expectation, ...]  # what is to become of frames
    findings: tuple[Finding, ...]  # what checks are to find
    ordered: Ordered = field(default_factory=Ordered)  # what was ordered, held and left empty


def parse(text: str, *, file: str = "notation") -> Notation:
    """Return what `text` says; `file` is its name in errors and in the evidence of every fact.

    Raises NotationError with the line, what is wrong there, the nearest known word and what to do.
    """
    reader = _Reader()
    for line in lines(text, file):
        reader.take(line)
    return reader.notation()


@dataclass(slots=True)
class _Box:
    """A device under way."""

    name: str
    fields: Fields | None = None  # of its `device` line
    bridges: dict[str, Bridge] = field(default_factory=dict)
    ports: dict[str, Port] = field(default_factory=dict)
    bridge_ports: dict[str, BridgePort] = field(default_factory=dict)
    ends: dict[str, End] = field(default_factory=dict)
    settings: dict[str, Fact[str]] = field(default_factory=dict)
    unread: list[Unread] = field(default_factory=list)
    logged: list[Logged] = field(default_factory=list)
    entered: list[Entered] = field(default_factory=list)
    private: dict[str, dict[int, PrivatePart]] = field(default_factory=dict)  # by bridge, VID
    negotiations: dict[str, Fields] = field(default_factory=dict)  # by port
    variants: dict[str, dict[str, tuple[BridgePort, Line]]] = field(default_factory=dict)  # by port, outcome
    rows: list[tuple[str, str, Fields, Line]] = field(default_factory=list)  # entry or exit, name, fields, line
    made: dict[tuple[str, str], Line] = field(default_factory=dict)  # (sort, name) -> the line that made it


class _Reader:
    """The lines of a text, one after the other; what a line refers to is looked up when all are there."""

    def __init__(self) -> None:
        self.boxes: dict[str, _Box] = {}
        self.links: list[tuple[str, str, Line]] = []
        self.handoffs: dict[str, Line] = {}
        self.expectations: list[tuple[Expectation, Line]] = []
        self.findings: list[Finding] = []
        self.ordered = Ordered()
        self.later: list[tuple[str, Callable[[_Box, str], None], Line]] = []  # lines about what others make
        self.statements: dict[str, Callable[[Line], None]] = {
            "port": self._port,
            "link": self._link,
            "expect": self._claim,
            "lost": self._claim,
            "unproven": self._claim,
            "loop": self._claim,
            "growing": self._claim,
            "=>": self._finding,
            "handoff": self._handoff,
            "device": self._device,
            "bridge": self._bridge,
            "bridge-port": self._bridge_port,
            "private-vlan": self._private_vlan,
            "end": self._end,
            "entry": self._row,
            "exit": self._row,
            "negotiate": self._negotiate,
            "variant": self._variant,
            "configured": self._configured,
            "set": self._set,
            "setting": self._setting,
            "hears": self._hears,
            "unread": self._unread,
            "logged": self._logged,
            "entered": self._entered,
            **self.ordered.statements,
        }

    def take(self, line: Line) -> None:
        """Read one line."""
        word = line.words[0]
        if word not in self.statements:
            line.fail(f"no line begins with {word!r}", nearest(word, self.statements))
        self.statements[word](line)

    def notation(self) -> Notation:
        """Look up what the lines refer to and return the whole."""
        for place, put, line in self.later:
            device, name = split_place(place)
            put(self._box(device, line), name)
        devices = tuple(_device(box) for box in self.boxes.values())
        known = {device.name: device for device in devices}
        cords: dict[str, Line] = {}
        for one, other, line in self.links:
            for place in dict.fromkeys((one, other)):
                _known_port(known, place, line)
                if place in cords:
                    line.fail(f"{place} has a link already, on line {cords[place].number}", "a port takes one cord")
                cords[place] = line
        for place, line in self.handoffs.items():
            _known_port(known, place, line)
        for expectation, line in self.expectations:
            for place in (expectation.port, expectation.at, *(copy.port for copy in expectation.copies)):
                if place:
                    _known_port(known, place, line)
        for place, line in self.ordered.places:
            _known_port(known, place, line)
        return Notation(
            devices,
            tuple((one, other) for one, other, _ in self.links),
            tuple(self.handoffs),
            tuple(expectation for expectation, _ in self.expectations),
            tuple(self.findings),
            self.ordered,
        )

    # ---- lines that make something -----------------------------------------------------------------------------

    def _device(self, line: Line) -> None:
        place = _place(line)
        if ":" in place:
            line.fail(f"{place!r} is no name of a device", "a colon parts device and port; write device NAME")
        box = self._made(place)
        _once(box, "device", place, line)
        box.fields = Fields(line, 2, read.DEVICE)

    def _bridge(self, line: Line) -> None:
        device, name = split_place(_place(line))
        box = self._made(device)
        _once(box, "bridge", name, line)
        found = Fields(line, 2, read.BRIDGE)
        box.bridges[name] = replace(read.bridge(name, found), tree=bridge_tree(found))

    def _port(self, line: Line) -> None:
        box, name = self._placed(line)
        _once(box, "port", name, line)
        found = Fields(line, 2, (*read.PORT, *read.RELAY))
        box.ports[name] = replace(read.port(name, found), tree=port_tree(found))
        if any(key in read.RELAY for key in found.raw):
            _once(box, "bridge port", name, line)
            box.bridge_ports[name] = read.bridge_port(name, name, found, up=ADMIN_ASSUMED)

    def _bridge_port(self, line: Line) -> None:
        box, name = self._placed(line)
        _once(box, "bridge port", name, line)
        found = Fields(line, 2, read.BRIDGE_PORT)
        made = read.bridge_port(name, found.text("on", name), found)
        box.bridge_ports[name] = made
        self._later(made.port, box, line)

    def _end(self, line: Line) -> None:
        box, name = self._placed(line)
        _once(box, "end", name, line)
        found = Fields(line, 2, read.END)
        made = read.end(name, found)
        box.ends[name] = made
        if "on" in found.raw:
            self._later(made.port, box, line)
        elif name not in box.ports:
            box.ports[name] = Port(name=name, origins=line.origins)

    def _later(self, port: str, box: _Box, line: Line) -> None:
        """See to it, when all lines are there, that the port exists."""
        self.later.append((f"{box.name}:{port}", lambda where, name: _need(where, name, "port", line), line))

    # ---- lines about what another line makes -------------------------------------------------------------------

    def _row(self, line: Line) -> None:
        found = Fields(line, 2, read.ROW)
        way = line.words[0]

        def put(box: _Box, name: str) -> None:
            box.rows.append((way, name, found, line))

        self.later.append((_port_place(line), put, line))

    def _negotiate(self, line: Line) -> None:
        found = Fields(line, 2, read.NEGOTIATE)

        def put(box: _Box, name: str) -> None:
            _need(box, name, "port", line)
            _once(box, "negotiation", name, line)
            box.negotiations[name] = found

        self.later.append((_port_place(line), put, line))

    def _variant(self, line: Line) -> None:
        if len(line.words) < 3:
            line.fail("the variant has no name", "write variant DEVICE:PORT NAME KEY=VALUE...")
        place, outcome = _port_place(line), said(line.words[2], line)
        found = Fields(line, 3, read.VARIANT)

        def put(box: _Box, name: str) -> None:
            _need(box, name, "port", line)
            _once(box, "variant", f"{name} {outcome}", line)
            made = read.bridge_port(found.text("name", name), found.text("on", name), found)
            box.variants.setdefault(name, {})[outcome] = made, line

        self.later.append((place, put, line))

    def _configured(self, line: Line) -> None:
        found = Fields(line, 2, read.RELAY)

        def put(box: _Box, name: str) -> None:
            _need(box, name, "port", line)
            _once(box, "configured", name, line)
            made = read.bridge_port(name, name, found, up=ADMIN_ASSUMED)
            box.ports[name] = replace(box.ports[name], configured=made)

        self.later.append((_port_place(line), put, line))

    def _private_vlan(self, line: Line) -> None:
        device, name = split_place(_place(line))
        vid, part = read.private_part(line)
        box = self._made(device)
        _once(box, "private VLAN", f"{name} {vid}".strip(), line)
        box.private.setdefault(name, {})[vid] = part
        box.bridges.setdefault(name, Bridge(name=name, exists=read.ALL_EXIST))

    def _set(self, line: Line) -> None:
        found = Fields(line, 2, read.PROPERTIES)
        if not found.raw:
            line.fail("the line sets nothing", "write set DEVICE:PORT PROPERTY=VALUE")

        def put(box: _Box, name: str) -> None:
            _need(box, name, "port", line)
            _once(box, "properties", name, line)
            box.ports[name] = replace(box.ports[name], properties=read.properties(found))

        self.later.append((_port_place(line), put, line))

    def _setting(self, line: Line) -> None:
        raw = pairs(line.words[2:], None, line)
        if not raw:
            line.fail("the setting says nothing", "write setting DEVICE KEY=VALUE")

        def put(box: _Box, _: str) -> None:
            for key, value in raw.items():
                _once(box, "setting", key, line)
                box.settings[key] = Fact(UNKNOWN if value == "?" else said(value, line), line.origins)

        self.later.append((_place(line), put, line))

    def _hears(self, line: Line) -> None:
        found = read.seen(line)

        def put(box: _Box, name: str) -> None:
            _need(box, name, "port", line)
            box.ports[name] = replace(box.ports[name], seen=(*box.ports[name].seen, *found))

        self.later.append((_port_place(line), put, line))

    def _unread(self, line: Line) -> None:
        found = Fields(line, 2, read.UNREAD)

        def put(box: _Box, name: str) -> None:
            origin = Origin(Kind.SITE, found.text("text"), file=line.file, line=line.number)
            matters, why, absent = found.yes("matters", False), found.text("why"), found.text("absent")
            box.unread.append(Unread((origin,), box.name, name, matters, why, absent))

        self.later.append((_place(line), put, line))

    def _logged(self, line: Line) -> None:
        found = Fields(line, 2, read.LOGGED)
        if "told" not in found.raw:
            line.fail("what did it tell of?", f"write logged DEVICE:PORT told={Told.FLAPPING}")

        def put(box: _Box, name: str) -> None:
            if name:
                _need(box, name, "port", line)
            origin = Origin(Kind.SITE, found.text("text", line.text), file=line.file, line=line.number)
            told = found.word("told", Told, Told.SHUT)
            box.logged.append(Logged(told, name, found.number("times") or 1, (origin,)))

        self.later.append((_place(line), put, line))

    def _entered(self, line: Line) -> None:
        found = Fields(line, 2, read.ENTERED)

        def put(box: _Box, name: str) -> None:
            if name:
                _need(box, name, "port", line)
            origin = Origin(Kind.SITE, found.text("text", line.text), file=line.file, line=line.number)
            captured = found.yes("captured", False) if "captured" in found.raw else None
            box.entered.append(Entered(name, found.text("answer"), captured, (origin,)))

        self.later.append((_place(line), put, line))

    def _link(self, line: Line) -> None:
        if len(line.words) != 3:
            ends = len(line.words) - 1
            line.fail(f"a link has two ends, not {ends}", "write link DEVICE:PORT DEVICE:PORT")
        one, other = (_checked(said(word, line), line) for word in line.words[1:])
        self.links.append((one, other, line))

    def _handoff(self, line: Line) -> None:
        if len(line.words) < 2:
            line.fail("the handoff names no port", "write handoff DEVICE:PORT")
        for word in line.words[1:]:
            place = _checked(said(word, line), line)
            if place in self.handoffs:
                line.fail(f"{place} is a handoff already, on line {self.handoffs[place].number}", "keep one of them")
            self.handoffs[place] = line

    def _claim(self, line: Line) -> None:
        self.expectations.append((read_expectation(line), line))

    def _finding(self, line: Line) -> None:
        found = read_finding(line)
        if self.findings and "clean" in (found.code, self.findings[0].code):
            line.fail("'=> clean' stands alone", "keep either `=> clean` or the findings")
        self.findings.append(found)

    # ---- boxes -------------------------------------------------------------------------------------------------

    def _made(self, device: str) -> _Box:
        return self.boxes.setdefault(device, _Box(device))

    def _placed(self, line: Line) -> tuple[_Box, str]:
        device, name = split_place(_port_place(line))
        return self._made(device), name

    def _box(self, device: str, line: Line) -> _Box:
        if device not in self.boxes:
            line.fail(f"there is no device {device!r}", nearest(device, self.boxes))
        return self.boxes[device]


def _place(line: Line) -> str:
    """Return the second word, a device or DEVICE:NAME."""
    if len(line.words) < 2:
        line.fail(f"{line.words[0]!r} of what?", "write the device, or DEVICE:PORT, after it")
    place = said(line.words[1], line)
    return place if ":" not in place and place and place == place.strip() else _checked(place, line)


def _port_place(line: Line) -> str:
    """Return the second word, which must be DEVICE:NAME."""
    _place(line)
    return _checked(said(line.words[1], line), line)


def _checked(place: str, line: Line) -> str:
    """Return `place` when it is DEVICE:NAME."""
    device, _, port = place.partition(":")
    if not device or not port or device != device.strip() or port != port.strip():
        line.fail(f"{place!r} is no port", "write DEVICE:PORT, such as sw1:1; neither begins or ends with a blank")
    return place


def _once(box: _Box, sort: str, name: str, line: Line) -> None:
    """Keep that `line` makes `name`; refuse it when another line did."""
    first = box.made.setdefault((sort, name), line)
    if first is not line:
        shown = f"{sort} {name!r} of {box.name}" if sort in ("setting", "variant") else _shown(sort, box.name, name)
        line.fail(f"{shown} is there already, on line {first.number}", "keep one of the lines, or give another name")


def _shown(sort: str, device: str, name: str) -> str:
    return f"{sort} {device}" if sort == "device" or not name else f"{sort} {device}:{name}"


def _need(box: _Box, name: str, sort: str, line: Line) -> None:
    if name not in box.ports:
        line.fail(f"{box.name} has no {sort} {name!r}", f"{nearest(name, box.ports)}; a `port` line adds it")


def _known_port(devices: dict[str, Device], place: str, line: Line) -> None:
    device, port = split_place(place)
    if device not in devices:
        line.fail(f"there is no device {device!r}", nearest(device, devices))
    if port not in devices[device].ports:
        known = devices[device].ports
        line.fail(f"{device} has no port {port!r}", f"{nearest(port, known)}; a `port` line adds it")


def _device(box: _Box) -> Device:
    """Return the finished device: rows on their bridge ports, negotiations with their variants, bridges."""
    fields = box.fields
    for way, name, found, line in box.rows:
        _put_row(box, way, name, found, line)
    for port, variants in box.variants.items():
        if port not in box.negotiations:
            line = next(iter(variants.values()))[1]
            line.fail(f"{box.name}:{port} negotiates nothing", "add a `negotiate` line for the port")
    for port, found in box.negotiations.items():
        variants = box.variants.get(port, {})
        made = read.negotiation(found, {name: variant for name, (variant, _) in variants.items()})
        box.ports[port] = replace(box.ports[port], negotiation=made)
    for bridge_port in box.bridge_ports.values():
        box.bridges.setdefault(bridge_port.bridge, Bridge(name=bridge_port.bridge, exists=read.ALL_EXIST))
    for name, parts in box.private.items():
        box.bridges[name] = replace(box.bridges[name], private=parts)
    only_ends = box.ends and not box.bridges
    kind = DeviceKind.HOST if only_ends else DeviceKind.BRIDGE
    return Device(
        name=box.name,
        kind=fields.word("kind", DeviceKind, kind) if fields else kind,
        dialect=fields.text("dialect") if fields else "",
        owner=fields.text("owner") if fields else "",
        bridges=box.bridges,
        ports=box.ports,
        bridge_ports=box.bridge_ports,
        ends=box.ends,
        unread=tuple(box.unread),
        logged=tuple(box.logged),
        entered=tuple(box.entered),
        settings=box.settings,
        lines=fields.number("lines") if fields else 0,
        passed_over=fields.number("passed-over") if fields else 0,
    )


def _put_row(box: _Box, way: str, name: str, found: Fields, line: Line) -> None:
    made = read.row(found)
    if "variant" in found.raw:
        variants, outcome = box.variants.get(name, {}), found.text("variant")
        if outcome not in variants:
            line.fail(f"{box.name}:{name} has no variant {outcome!r}", nearest(outcome, variants))
        variant, first = variants[outcome]
        variants[outcome] = _with_row(variant, way, made), first
        return
    if name not in box.bridge_ports:
        hint = f"{nearest(name, box.bridge_ports)}; a `port` line with a PVID or members makes one"
        line.fail(f"{box.name} has no bridge port {name!r}", hint)
    box.bridge_ports[name] = _with_row(box.bridge_ports[name], way, made)


def _with_row(bridge_port: BridgePort, way: str, row: Rewrite) -> BridgePort:
    if way == "entry":
        return replace(bridge_port, entry=(*bridge_port.entry, row))
    return replace(bridge_port, exit=(*bridge_port.exit, row))
