"""The boxes of one survey and its network in, its picture out: every cord through every panel."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace

from vlancheck.dot1q.model import DeviceKind, PortKind
from vlancheck.drawing.picture import Box, Line, Picture, Socket, Sort
from vlancheck.places import natural, split_place
from vlancheck.site.boxes import Boxes
from vlancheck.site.chains import Chain
from vlancheck.site.ends import EndSort
from vlancheck.wiring.network import Network

_LONG_WORD = re.compile(r"^([A-Z][a-z])[A-Za-z-]{3,}(?=\d)")  # GigabitEthernet1/0/1, Port-channel1
_PANEL, _CARRIER = "panel\t", "carrier\t"  # before the keys of boxes that are no devices
_WORDS = {
    DeviceKind.BRIDGE: "switch",
    DeviceKind.THROUGH: "media converter",
    DeviceKind.CARRIER_BOX: "carrier's box",
    DeviceKind.UNMANAGED: "unmanaged switch",
    DeviceKind.ACCESS_POINT: "access point",
}


def gather(title: str, boxes: Boxes, network: Network, endings: Iterable[str] = ()) -> Picture:
    """Return the picture of one survey; `endings` are ports (DEVICE:PORT) that get a row though no cord is in them."""
    return _Gathering(boxes, network).picture(title, endings)


def key_of(boxes: Boxes, network: Network, place: str) -> str:
    """Return the key of the socket that stands for a DEVICE:PORT: a bundle for its members, by its earliest name."""
    place = network.stands_for.get(place, place)
    if place in boxes.before:
        return boxes.before[place]
    device, port = split_place(place)
    return f"{boxes.before.get(device, device)}:{port}"


def by_ends(key: tuple[str, str]) -> tuple[object, ...]:
    """Return what sorts lines by the names of their ends."""
    return natural(key[0]), natural(key[1])


class _Gathering:
    """The rows and lines of one survey."""

    def __init__(self, boxes: Boxes, network: Network) -> None:
        self.boxes, self.network = boxes, network
        self.rows: dict[str, dict[str, Socket]] = {}  # box -> key of the socket -> row
        self.sorts: dict[str, tuple[str, Sort, str]] = {}  # box -> name, sort, words
        self.lines: dict[tuple[str, str], Line] = {}
        self.at: dict[str, str] = {}  # socket -> its box
        self.behind = frozenset(port for chain in boxes.chains if chain.passed for port in chain.ports)

    def picture(self, title: str, endings: Iterable[str]) -> Picture:
        """Return everything."""
        for name, device in self.boxes.devices.items():
            if device.kind is not DeviceKind.PANEL:
                self.rows[self.device(name)] = {}
        for chain in self.boxes.chains:
            self.string(chain)
        for place in endings:
            if place:
                self.port(place)
        roots = tuple(self.handoffs())
        self.hold()
        made = [
            Box(
                key=key,
                name=self.sorts[key][0],
                sort=self.sorts[key][1],
                words=self.sorts[key][2],
                sockets=tuple(shortened(sorted(rows.values(), key=lambda row: natural(row.whole)))),
                idle=self.left_out(key, PortKind.JACK),
                inside=self.left_out(key, PortKind.INSIDE),
            )
            for key, rows in self.rows.items()
        ]
        lines = tuple(self.lines[key] for key in sorted(self.lines, key=by_ends))
        made.sort(key=lambda box: natural(box.key))
        return Picture(title=title, survey=self.boxes.survey, boxes=tuple(made), lines=lines, roots=roots)

    def device(self, name: str) -> str:
        """Return the key of a device."""
        key = self.boxes.before.get(name, name)
        device = self.boxes.devices[name]
        words = [_WORDS.get(device.kind, str(device.kind).replace("-", " "))]
        if device.owner and device.kind is not DeviceKind.CARRIER_BOX:
            words.append(f"of {device.owner}")
        if name in self.boxes.absent:
            words.append("not captured")
        self.sorts[key] = name, Sort.DEVICE, ", ".join(words)
        return key

    def port(self, place: str) -> str:
        """Return the key of the row of a device's port, which is made where it is not there."""
        key = key_of(self.boxes, self.network, place)
        shown = self.network.stands_for.get(place, place)
        device, port = split_place(shown)
        box = self.boxes.before.get(device, device)
        found = self.boxes.endpoints.get(place)
        note = found.text if found and place not in self.behind else ""
        self.row(box, Socket(key=key, name=port, whole=shown, note=note))
        return key

    def row(self, box: str, row: Socket) -> None:
        """Add a row to a box, where it is not there."""
        self.at.setdefault(row.key, box)
        self.rows.setdefault(box, {}).setdefault(row.key, row)

    def panel_port(self, name: str) -> str:
        """Return the key of the row of a panel's port, which is made where it is not there."""
        known = self.boxes.panels.get(name)
        panel, port = (known.panel, known.port) if known else split_place(name)
        if not port:
            panel, port = "", name
        box = _PANEL + self.boxes.before.get(panel, panel)
        self.sorts[box] = panel or "Panel", Sort.PANEL, "panel"
        key = _PANEL + self.boxes.before.get(name, name)
        jack = [f"jack {known.jack}"] if known and known.jack else []
        room = [known.room] if known and known.room else []
        note = ", ".join((*jack, *room))
        self.row(box, Socket(key=key, name=port, whole=name, note=note))
        return key

    def string(self, chain: Chain) -> None:
        """Add the lines of a chain of cords; an outlet or a thing is no box, and is told beside its cord."""
        ports = frozenset(self.network.stands_for.get(port, port) for port in chain.ports)
        last = ""
        labels: list[str] = []
        via: list[str] = []
        for number, node in enumerate(chain.sockets):
            if number % 2 and (label := chain.strands[number // 2].label):
                labels.append(label)
            if node.sort is EndSort.JACK:
                via += [node.name] if node.name not in via else []
            if node.sort not in (EndSort.PORT, EndSort.PANEL):
                continue
            key = self.port(node.name) if node.sort is EndSort.PORT else self.panel_port(node.name)
            if last and key != last:
                self.line(Line(one=last, other=key, labels=tuple(labels), via=tuple(via), ports=ports))
            if key != last:
                last, labels, via = key, [], []
        served = next((found.text for port in chain.ports if (found := self.boxes.endpoints.get(port))), "")
        if chain.passed:
            self.serve(chain.outermost(chain.ports[0]) if chain.ports else chain.passed[-1], served)

    def serve(self, panel_port: str, text: str) -> None:
        """Write what hangs behind a panel port at its row."""
        key = _PANEL + self.boxes.before.get(panel_port, panel_port)
        if text and (row := self.rows.get(self.at.get(key, ""), {}).get(key)) and text not in row.note:
            self.rows[self.at[key]][key] = replace(row, note=", ".join(part for part in (text, row.note) if part))

    def line(self, line: Line) -> None:
        """Add a line; cords of one bundle are one."""
        known = self.lines.get(line.key)
        if known:
            line = replace(known, cords=known.cords + 1, labels=known.labels + line.labels, via=known.via + line.via)
        self.lines[line.key] = line
        for key in line.key:
            row = self.rows[self.at[key]][key]
            self.rows[self.at[key]][key] = replace(row, labels=tuple(dict.fromkeys(row.labels + line.labels)))

    def handoffs(self) -> Iterator[str]:
        """Yield the boxes at which the carrier's tags enter; where no cord leads into a handoff, the carrier is one."""
        told: Mapping[str, str] = {
            place: " ".join(part for part in (placed.declared.carrier, placed.declared.circuit) if part)
            for placed in self.boxes.placed.handoffs
            for place in placed.spot.places
        }
        corded = {key for line in self.lines.values() for key in line.key}
        for place in self.boxes.handoffs:
            key, words = self.port(place), told.get(place, "")
            box = self.at[key]
            self.rows[box][key] = replace(self.rows[box][key], note=f"handoff {words}".strip())
            if key in corded:
                line = next(line for line in self.lines.values() if key in line.key)
                yield self.at[line.other if line.one == key else line.one]
                continue
            box = _CARRIER + (words or key)
            self.sorts[box] = words or "carrier", Sort.CARRIER, "carrier"
            end = f"{box}:{key}"
            self.row(box, Socket(key=end, name="handoff", whole=f"carrier beyond {place}"))
            self.line(Line(one=end, other=key, ports=frozenset({self.network.stands_for.get(place, place)})))
            yield box

    def hold(self) -> None:
        """Write HOLD at both ends of every cord that nobody may touch without its owner."""
        for hold in self.boxes.placed.holds:
            named = _PANEL + self.boxes.before.get(hold.name, hold.name)
            for key in (named, *(key_of(self.boxes, self.network, place) for place in hold.places)):
                if row := self.rows.get(self.at.get(key, ""), {}).get(key):
                    # A port whose cord leads to a panel needs no more words: the panel has them.
                    words = "" if self.behind.intersection(hold.places) and key != named else row.note or hold.why
                    self.rows[self.at[key]][key] = replace(row, note=f"HOLD {words}".strip(), hold=True)

    def left_out(self, key: str, kind: PortKind) -> int:
        """Return how many ports of one kind of a device have no row."""
        name, sort, _ = self.sorts[key]
        if sort is not Sort.DEVICE:
            return 0
        device = self.boxes.devices[name]
        ports = [port for port in device.ports.values() if port.kind is kind and not device.members(port.name)]
        keys = {key_of(self.boxes, self.network, f"{name}:{port.name}") for port in ports}
        return len(keys - {*self.rows[key]})


def shortened(rows: list[Socket]) -> Iterator[Socket]:
    """Yield rows with long words of port names cut to two letters, where all names of the box stay different."""
    short = {row.key: _LONG_WORD.sub(r"\1", row.name) for row in rows}
    unique = len({*short.values()}) == len(rows)
    yield from (replace(row, name=short[row.key]) if unique else row for row in rows)
