"""Walks of management tables (Q-BRIDGE-MIB, RFC 4363, and its neighbours): `snmpwalk` text or `snmprec` lines.

The tables number ports in three ways; this form joins them (bridge port -> interface -> name) and unfolds lists of
ports, so that each fact is a path line of its own, with the line of the walk that holds it.  A list of ports is the
PortList of RFC 4363: the most significant bit of the first octet is port 1.  A list that names ports which are not
there, or that is no string of octets, is not read, and a path line says so.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from vlancheck.capture import Line
from vlancheck.reader.forms.lldp_tables import LLDP_TABLES, Cell, Cells, heard
from vlancheck.reader.pathlines import SEP, PathLine, squeezed

_TABLES = {  # column of a table -> its number
    "sysName": "1.3.6.1.2.1.1.5",
    "ifDescr": "1.3.6.1.2.1.2.2.1.2",
    "ifAdminStatus": "1.3.6.1.2.1.2.2.1.7",
    "ifOperStatus": "1.3.6.1.2.1.2.2.1.8",
    "ifName": "1.3.6.1.2.1.31.1.1.1.1",
    "ifAlias": "1.3.6.1.2.1.31.1.1.1.18",
    "dot1dBasePortIfIndex": "1.3.6.1.2.1.17.1.4.1.2",
    "dot1dStpPortState": "1.3.6.1.2.1.17.2.15.1.3",
    "dot1qTpFdbPort": "1.3.6.1.2.1.17.7.1.2.2.1.2",
    "dot1qVlanFdbId": "1.3.6.1.2.1.17.7.1.4.2.1.3",
    "dot1qVlanCurrentEgressPorts": "1.3.6.1.2.1.17.7.1.4.2.1.4",
    "dot1qVlanCurrentUntaggedPorts": "1.3.6.1.2.1.17.7.1.4.2.1.5",
    "dot1qVlanStaticName": "1.3.6.1.2.1.17.7.1.4.3.1.1",
    "dot1qVlanStaticEgressPorts": "1.3.6.1.2.1.17.7.1.4.3.1.2",
    "dot1qVlanForbiddenEgressPorts": "1.3.6.1.2.1.17.7.1.4.3.1.3",
    "dot1qVlanStaticUntaggedPorts": "1.3.6.1.2.1.17.7.1.4.3.1.4",
    "dot1qVlanStaticRowStatus": "1.3.6.1.2.1.17.7.1.4.3.1.5",
    "dot1qPvid": "1.3.6.1.2.1.17.7.1.4.5.1.1",
    "dot1qPortAcceptableFrameTypes": "1.3.6.1.2.1.17.7.1.4.5.1.2",
    "dot1qPortIngressFiltering": "1.3.6.1.2.1.17.7.1.4.5.1.3",
    **LLDP_TABLES,
}
_NAMES = {number: name for name, number in _TABLES.items()}
_NAMED = re.compile(r"(?:[A-Za-z0-9-]+::)?(?P<name>[A-Za-z][A-Za-z0-9]*)\.(?P<row>[\d.]+) ?= ?(?P<value>.*)")
_NUMBERED = re.compile(r"(?:\.?1|iso)(?P<oid>(?:\.\d+)+) ?= ?(?P<value>.*)")
_RECORD = re.compile(r"(?P<oid>\d+(?:\.\d+)+)\|(?P<tag>[\w:]+)\|(?P<value>.*)")
_KIND = re.compile(
    r"(?P<kind>Hex-STRING|STRING|INTEGER|Gauge32|Unsigned32|Counter32|BITS|OID|Timeticks): ?(?P<rest>.*)", re.S
)
_PER_PORT = {"dot1qPvid": "pvid", "dot1qPortAcceptableFrameTypes": "frames", "dot1qPortIngressFiltering": "ingress"}
_PER_INTERFACE = {"ifAdminStatus": "admin", "ifOperStatus": "link"}


@dataclass(frozen=True, slots=True)
class Oids:
    """The form of walks."""

    def __call__(self, lines: Sequence[Line]) -> Iterator[PathLine]:
        """Yield the path lines of a walk; raise ValueError when no line is one of a walk."""
        cells: dict[str, dict[tuple[int, ...], Cell]] = {}
        told: set[int] = set()
        for name, row, cell in _rows(lines):
            cells.setdefault(name, {})[row] = cell
        if not cells:
            raise ValueError("no line is a row of the tables of a bridge")
        for one in _told(cells):
            told.add(one.lines[0].number)
            yield one
        for line in lines:
            if line.number not in told and line.text.strip():
                yield PathLine(squeezed(line.text), (line,), passed=True)


def _rows(lines: Sequence[Line]) -> Iterator[tuple[str, tuple[int, ...], Cell]]:
    """Yield table, row and cell of every row of the tables that are known; a value may go on over several lines."""
    held: tuple[Line, str] | None = None
    for line in lines:
        text = line.text.strip()
        if _RECORD.fullmatch(text) or _NAMED.fullmatch(text) or _NUMBERED.fullmatch(text):
            if held:
                yield from _row(*held)
            held = (line, text)
        elif held and text:
            held = (held[0], f"{held[1]}\n{text}")
    if held:
        yield from _row(*held)


def _row(line: Line, text: str) -> Iterator[tuple[str, tuple[int, ...], Cell]]:
    if found := _RECORD.match(text):
        name, row = _table(found["oid"])
        cell = _recorded(line, found["tag"], found["value"])
    elif found := re.match(_NUMBERED.pattern, text, re.S):
        name, row = _table(f"1{found['oid']}")
        cell = _walked(line, found["value"])
    else:
        found = re.match(_NAMED.pattern, text, re.S)
        assert found
        name, row = found["name"], tuple(int(part) for part in found["row"].split(".") if part)
        cell = _walked(line, found["value"])
    if name in _TABLES and row:
        yield name, row, cell


def _table(oid: str) -> tuple[str, tuple[int, ...]]:
    """Return the name of the table that a number stands in, and its row; "" for a table that is not read."""
    parts = oid.split(".")
    for length in range(len(parts) - 1, 6, -1):
        if name := _NAMES.get(".".join(parts[:length])):
            return name, tuple(map(int, parts[length:]))
    return "", ()


def _recorded(line: Line, tag: str, value: str) -> Cell:
    if tag == "4x":
        return Cell(line, value, bytes.fromhex(value) if re.fullmatch(r"(?:[0-9A-Fa-f]{2})*", value) else None)
    return Cell(line, value, value.encode("latin-1", "replace") if tag == "4" else None)


def _walked(line: Line, value: str) -> Cell:
    found = _KIND.match(value.strip())
    kind, rest = (found["kind"], found["rest"].strip()) if found else ("", value.strip())
    if kind in ("Hex-STRING", "BITS"):
        digits = re.sub(r"\s", "", rest)
        good = re.fullmatch(r"(?:[0-9A-Fa-f]{2})*", digits)
        return Cell(line, rest, bytes.fromhex(digits) if good else None)
    text = rest[1:-1] if len(rest) > 1 and rest[0] == rest[-1] == '"' else rest
    if kind == "STRING" or (not kind and rest == '""'):
        return Cell(line, text, text.encode("latin-1", "replace"))
    number = re.search(r"\((\d+)\)\s*$", rest)  # up(1)
    return Cell(line, number[1] if number else rest.split(" ")[0])


# ---- the tables, joined ------------------------------------------------------------------------------------------


def _told(cells: Cells) -> Iterator[PathLine]:
    for cell in cells.get("sysName", {}).values():
        yield PathLine(_path("device", f"name={cell.string}"), (cell.line,))
    ports = _Ports(cells)
    yield from ports.lines()
    static = cells.get("dot1qVlanStaticEgressPorts", {})
    current = cells.get("dot1qVlanCurrentEgressPorts", {})
    egress, bare = (
        (static, cells.get("dot1qVlanStaticUntaggedPorts", {}))
        if static
        else (current, cells.get("dot1qVlanCurrentUntaggedPorts", {}))
    )
    status = cells.get("dot1qVlanStaticRowStatus", {})
    lists = _Lists(ports.names, [*egress.values(), *bare.values()])
    swapped = len(egress) > 1 and len({row[-1] for row in egress}) == 1
    for row, cell in egress.items():
        vid = row[-1]
        if swapped or not 1 <= vid <= 4094:
            yield PathLine(f"vlan={vid}{SEP}odd list: its row does not end in a VID", (cell.line,))
            continue
        if row in status and status[row].text != "1":
            yield PathLine(f"vlan={vid}{SEP}off", (status[row].line,))
            continue
        yield PathLine(f"vlan={vid}", (cell.line,))
        yield from lists.lines(cell, "member", vid)
        if row in bare:
            yield from lists.lines(bare[row], "untagged", vid)
        else:
            yield PathLine(f"vlan={vid}{SEP}odd list: which ports are untagged was not walked", (cell.line,))
    for row, cell in cells.get("dot1qVlanStaticName", {}).items():
        if name := cell.string:
            yield PathLine(_path(f"vlan={row[-1]}", f"name={name}"), (cell.line,))
    yield from _addresses(cells, ports, {row[-1] for row in egress})
    for one in heard(cells, ports.names, {port: interface for port, (interface, _) in ports.interfaces.items()}):
        said = f"hears pvid={one.pvid} vids={one.vids} port={one.its_port or 'unnamed'} name={one.name}"
        yield PathLine(_path(f"port={one.port}", said) if one.port else f"stranger={squeezed(one.name)}", one.lines)


@dataclass(slots=True)
class _Ports:
    """Bridge ports and what they are called."""

    cells: Cells  # the walk
    names: dict[int, str] = field(default_factory=dict)  # bridge port -> name
    interfaces: dict[int, tuple[int, Line]] = field(default_factory=dict)  # bridge port -> interface, and its line

    def __post_init__(self) -> None:
        for row, cell in self.cells.get("dot1dBasePortIfIndex", {}).items():
            if cell.text.isdecimal():
                self.interfaces[row[-1]] = int(cell.text), cell.line
        called = {row[-1]: cell for row, cell in self.cells.get("ifDescr", {}).items()}
        called |= {row[-1]: cell for row, cell in self.cells.get("ifName", {}).items() if cell.string}
        for port, (interface, _) in self.interfaces.items():
            self.names[port] = called[interface].string if interface in called else f"port {port}"
        counts = Counter(self.names.values())
        self.names = {port: name if counts[name] == 1 else f"port {port}" for port, name in self.names.items()}
        for table in _PER_PORT:
            for row in self.cells.get(table, {}):
                self.names.setdefault(row[-1], f"port {row[-1]}")

    def lines(self) -> Iterator[PathLine]:
        """Yield each port, and what the walk says of it alone."""
        for port, (interface, line) in self.interfaces.items():
            yield PathLine(squeezed(f"port={self.names[port]}"), (line,))
            for table, word in _PER_INTERFACE.items():
                if cell := self.cells.get(table, {}).get((interface,)):
                    yield PathLine(_path(f"port={self.names[port]}", f"{word}={cell.text}"), (cell.line,))
            if (cell := self.cells.get("ifAlias", {}).get((interface,))) and (text := cell.string):
                yield PathLine(_path(f"port={self.names[port]}", f"alias={text}"), (cell.line,))
        for table, word in {**_PER_PORT, "dot1dStpPortState": "tree"}.items():
            for row, cell in self.cells.get(table, {}).items():
                if row[-1] in self.names:
                    yield PathLine(_path(f"port={self.names[row[-1]]}", f"{word}={cell.text}"), (cell.line,))


class _Lists:
    """Unfolds lists of ports."""

    def __init__(self, names: Mapping[int, str], cells: Sequence[Cell]) -> None:
        self._names = names
        strangers = [{port for port in _ports(cell.octets) if port not in names} for cell in cells if cell.octets]
        named = [one for one in strangers if one]
        alike = len(named) > 1 and len(named[0]) == 1 and all(one == named[0] for one in named)
        self._inside = named[0] if alike and min(named[0]) > max(names, default=0) else set()

    def lines(self, cell: Cell, word: str, vid: int) -> Iterator[PathLine]:
        """Yield a path line for each port of a list, or one that says why the list is not read."""
        if why := self._odd(cell):
            yield PathLine(f"vlan={vid}{SEP}odd list: {why}", (cell.line,))
            return
        assert cell.octets is not None
        for port in _ports(cell.octets):
            if port in self._names:
                yield PathLine(_path(f"port={self._names[port]}", f"{word}={vid}"), (cell.line,))

    def _odd(self, cell: Cell) -> str:
        if cell.octets is None:
            return "it is no string of octets"
        text = cell.octets.decode("latin-1")
        if cell.text == text and len(text) > 1 and re.fullmatch(r"[0-9A-Fa-f ]+", text):
            return "it is text of hexadecimal digits instead of octets"
        strange = {port for port in _ports(cell.octets) if port not in self._names} - self._inside
        if strange:
            return f"it names ports that are not there ({', '.join(map(str, sorted(strange)[:4]))})"
        return ""


def _ports(octets: bytes) -> list[int]:
    """Return the ports of a PortList (RFC 4363): bit 7 of the first octet is port 1."""
    return [8 * at + 8 - bit for at, octet in enumerate(octets) for bit in range(7, -1, -1) if octet >> bit & 1]


def _addresses(cells: Cells, ports: _Ports, vids: Collection[int]) -> Iterator[PathLine]:
    """Yield the addresses learned; of which VLAN is told where the table says which filtering database is whose."""
    shared = Counter(cell.text for cell in cells.get("dot1qVlanFdbId", {}).values())
    database = {
        int(cell.text): row[-1]
        for row, cell in cells.get("dot1qVlanFdbId", {}).items()
        if cell.text.isdecimal() and shared[cell.text] == 1
    }
    for row, cell in cells.get("dot1qTpFdbPort", {}).items():
        port = int(cell.text) if cell.text.isdecimal() else 0
        if len(row) == 7 and port in ports.names and all(part < 256 for part in row[1:]):
            mac = ":".join(f"{part:02x}" for part in row[1:])
            vid = database.get(row[0], 0)
            said = f"mac={mac}" + (f" vlan={vid}" if vid in vids else "")
            yield PathLine(_path(f"port={ports.names[port]}", said), (cell.line,))


def _path(head: str, said: str) -> str:
    return f"{squeezed(head)}{SEP}{squeezed(said)}"
