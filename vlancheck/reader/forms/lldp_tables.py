"""Rows of the LLDP tables of a walk in (IEEE Std 802.1AB, LLDP-MIB and its 802.1 extension), neighbours by port out.

Local ports have a numbering of their own; a neighbour counts only where the local port's identifier or description is
the name of a port, else where its number is a bridge port's and an interface's of the same port.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from vlancheck import vids
from vlancheck.capture import Line

LLDP_TABLES = {  # column of a table -> its number
    "lldpLocPortId": "1.0.8802.1.1.2.1.3.7.1.3",
    "lldpLocPortDesc": "1.0.8802.1.1.2.1.3.7.1.4",
    "lldpRemChassisId": "1.0.8802.1.1.2.1.4.1.1.5",
    "lldpRemPortIdSubtype": "1.0.8802.1.1.2.1.4.1.1.6",
    "lldpRemPortId": "1.0.8802.1.1.2.1.4.1.1.7",
    "lldpRemPortDesc": "1.0.8802.1.1.2.1.4.1.1.8",
    "lldpRemSysName": "1.0.8802.1.1.2.1.4.1.1.9",
    "lldpXdot1RemPortVlanId": "1.0.8802.1.1.2.1.5.32962.1.3.1.1.1",
    "lldpXdot1RemVlanName": "1.0.8802.1.1.2.1.5.32962.1.3.3.1.2",
}
_MAC = "3"  # subtype of a port's identifier: a MAC address


@dataclass(frozen=True, slots=True)
class Cell:
    """One row of a walk."""

    line: Line  # where it stands
    text: str  # an integer or a word, as written
    octets: bytes | None = None  # of a string

    @property
    def string(self) -> str:
        """Return a text, without the NULs that some agents send."""
        raw = self.octets.decode("utf-8", "replace") if self.octets is not None else self.text
        return " ".join(raw.replace("\0", " ").split())


Cells = Mapping[str, Mapping[tuple[int, ...], Cell]]  # table -> row -> cell


@dataclass(frozen=True, slots=True)
class Heard:
    """A neighbour that spoke at a port."""

    port: str  # our port; "" when the tables do not say which it is
    name: str  # what it calls itself; its chassis where it has no name
    its_port: str  # port it names
    pvid: int  # VID of untagged frames that it tells; 0 none, as the standard has it
    vids: str  # VIDs that it tells the names of; "none"
    lines: tuple[Line, ...]  # rows that say so


def heard(cells: Cells, names: Mapping[int, str], interfaces: Mapping[int, int]) -> Iterator[Heard]:
    """Yield the neighbours; `names` and `interfaces` are the name and the interface of each bridge port."""
    local = _local_ports(cells, names, interfaces)
    for row in cells.get("lldpRemPortId", {}):
        if len(row) != 3:
            continue
        found = {table: cells[table][row] for table in LLDP_TABLES if row in cells.get(table, {})}
        name = found["lldpRemSysName"].string if "lldpRemSysName" in found else ""
        if not name and "lldpRemChassisId" in found:
            name = _identifier(found["lldpRemChassisId"])
        told = {named[3]: cell for named, cell in cells.get("lldpXdot1RemVlanName", {}).items() if named[:3] == row}
        pvid = found["lldpXdot1RemPortVlanId"].text if "lldpXdot1RemPortVlanId" in found else ""
        used = ("lldpRemSysName", "lldpRemPortId", "lldpXdot1RemPortVlanId")
        lines = [found[table].line for table in used if table in found] + [cell.line for cell in told.values()]
        yield Heard(
            port=local.get(row[1], ""),
            name=name,
            its_port=_port(found),
            pvid=int(pvid) if pvid.isdecimal() and int(pvid) < 4095 else 0,
            vids=vids.text(vids.of(vid for vid in told if 0 < vid < 4095)),
            lines=tuple(lines),
        )


def _local_ports(cells: Cells, names: Mapping[int, str], interfaces: Mapping[int, int]) -> dict[int, str]:
    """Return the name of each local port number that can be placed."""
    known = set(names.values())
    placed: dict[int, str] = {}
    for table in ("lldpLocPortDesc", "lldpLocPortId"):
        for row, cell in cells.get(table, {}).items():
            if cell.string in known and not (cell.string.isdecimal() and table == "lldpLocPortDesc"):
                placed[row[-1]] = cell.string
    taken = set(placed.values())
    for port, name in names.items():
        if interfaces.get(port) == port and port not in placed and name not in taken:
            placed[port] = name
    return placed


def _port(found: Mapping[str, Cell]) -> str:
    """Return the port that a neighbour names: its identifier, its description where that is an address."""
    cell, sort = found["lldpRemPortId"], found.get("lldpRemPortIdSubtype")
    if sort is not None and sort.text == _MAC and "lldpRemPortDesc" in found:
        return found["lldpRemPortDesc"].string or _identifier(cell)
    return _identifier(cell)


def _identifier(cell: Cell) -> str:
    """Return an identifier as text, one of octets that are no text as a MAC address is written."""
    octets = cell.octets
    if octets is not None and not all(32 <= octet < 127 for octet in octets.rstrip(b"\0")):
        return ":".join(f"{octet:02x}" for octet in octets)
    return cell.string
