"""Lines of jot that say what was ordered in, orders, holds and empty ports out."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from typing import NoReturn

from vlancheck import vids
from vlancheck.dot1q.tags import C_TAG, Frame, Tag, parse_frame
from vlancheck.evidence import Kind, Origin, Origins
from vlancheck.notation.handoffs import handoff
from vlancheck.notation.words import Line, cut, items, pairs, said
from vlancheck.places import fingerprint
from vlancheck.site.accepted import WORST, Accepted
from vlancheck.site.handoffs import Handoff
from vlancheck.site.pieces import Piece
from vlancheck.site.yamltext import Value
from vlancheck.verdicts.orders import EVERY, Frames, Order, OrderKind, Same, Stop, batches

SERVICE = "service NAME TAG at PLACE -> PLACE FRAME, PLACE FRAME"
_ROW = ("label", "kind", "serves", "note", "jack")  # what a row says beside its sockets
VLAN = "vlan VID -> PLACE FRAME, PLACE FRAME"
ACCEPTED = "accepted CODE PLACE,PLACE by=NAME why=WORDS"
_ACCEPTED = ("by", "why", "until", "severity", "times")


@dataclass(slots=True)
class Ordered:
    """What a text says beside its boxes and links."""

    orders: dict[str, Order] = field(default_factory=dict)  # by name
    holds: dict[str, str] = field(default_factory=dict)  # DEVICE:PORT -> why
    empty: list[str] = field(default_factory=list)  # DEVICE:PORT with nothing plugged in
    unknown: list[str] = field(default_factory=list)  # DEVICE:PORT of which nobody knows whether something is
    endpoints: dict[str, str] = field(default_factory=dict)  # DEVICE:PORT -> what hangs there
    meant: list[tuple[str, str, Frames, Line]] = field(default_factory=list)  # port, `gains` or `loses`, frames
    contradictions: list[tuple[str, str, Origins]] = field(default_factory=list)  # port, in words, the line
    doubtful: list[tuple[str, Origins]] = field(default_factory=list)  # rows nothing is made of: why, the line
    rows: list[Piece] = field(default_factory=list)  # rows of a patch sheet
    uncaptured: dict[str, Origins] = field(default_factory=dict)  # device of the patch sheet -> the line
    stale: dict[str, Origins] = field(default_factory=dict)  # device -> why its captures prove nothing
    typed: list[str] = field(default_factory=list)  # DEVICE:PORT that planned lines change
    deleted: dict[str, tuple[tuple[int, Origins], ...]] = field(default_factory=dict)  # device -> VIDs, planned lines
    failed: dict[str, Origins] = field(default_factory=dict)  # DEVICE:PORT -> the test by hand that failed there
    carrier: dict[str, tuple[Handoff, ...]] = field(default_factory=dict)  # DEVICE:PORT -> ordered of the carrier
    accepted: list[Accepted] = field(default_factory=list)  # findings that somebody answers for
    places: list[tuple[str, Line]] = field(default_factory=list)  # every DEVICE:PORT named, for whoever checks it

    @property
    def statements(self) -> dict[str, Callable[[Line], None]]:
        """Return the words that begin these lines, with what reads them."""
        return {
            "service": self._service,
            "vlan": self._vlan,
            "inner": self._inner,
            "apart": self._apart,
            "never": self._never,
            "only": self._only,
            "ordered": self._ordered,
            "hold": self._hold,
            "empty": self._empty,
            "unseen": self._unseen,
            "serves": self._serves,
            "expected": self._expected,
            "stale": self._stale,
            "typed": self._typed,
            "deleted": self._deleted,
            "failed": self._failed,
            "contradiction": self._contradiction,
            "doubtful": self._doubtful,
            "row": self._row,
            "uncaptured": self._uncaptured,
            "accepted": self._accepted,
        }

    def _service(self, line: Line) -> None:
        words = _words(line)
        if len(words) < 6 or words[3] != "at" or "->" not in words:
            line.fail("the service is not complete", f"write {SERVICE}")
        name, tag, arrow = words[1], words[2], words.index("->")
        enters = [self._place(word, line) for word in _listed(words[4:arrow])]
        stops = [self._stop(part, line, None) for part in _groups(words[arrow + 1 :])]
        if not enters or not stops:
            line.fail("the service is not complete", f"write {SERVICE}")
        made = batches(_frames(tag, line))
        order = Order(OrderKind.SERVICE, name, tag, made, tuple(enters), tuple(stops), line.origins)
        self._keep(order, line)

    def _vlan(self, line: Line) -> None:
        words = _words(line)
        if len(words) < 4 or words[2] != "->":
            line.fail("the VLAN is not complete", f"write {VLAN}")
        frames = _frames(words[1], line)
        if frames.vids.bit_count() != 1:
            line.fail(f"{words[1]!r} is no VID", "a VLAN has one VID, 1 to 4094")
        vid = vids.first(frames.vids)
        stops = [self._stop(part, line, (Tag(C_TAG, vid),)) for part in _groups(words[3:])]
        order = Order(OrderKind.VLAN, f"VLAN {vid}", words[1], batches(frames), (), tuple(stops), line.origins, vid=vid)
        self._keep(order, line)

    def _inner(self, line: Line) -> None:
        order, words = self._order(line, 3)
        outer = _frames(order.tag, line)
        self.orders[order.name] = replace(order, batches=batches(outer, _frames(words[2], line)))

    def _apart(self, line: Line) -> None:
        order, _ = self._order(line, 2)
        self.orders[order.name] = replace(order, apart=True)

    def _only(self, line: Line) -> None:
        order, _ = self._order(line, 2)
        self.orders[order.name] = replace(order, only=True)

    def _never(self, line: Line) -> None:
        order, words = self._order(line, 3)
        stops = tuple(self._place(word, line) for word in _listed(words[2:]))
        self.orders[order.name] = replace(order, never=order.never + stops)

    def _ordered(self, line: Line) -> None:
        words = _words(line)
        if len(words) < 3:
            line.fail("what was ordered?", "write ordered DEVICE:PORT mode=tagged ce-vlans=0310")
        place = self._place(words[1], line).place
        self.carrier[place] = (*self.carrier.get(place, ()), handoff(place, line))

    def _hold(self, line: Line) -> None:
        words = _words(line)
        if len(words) < 2:
            line.fail("hold what?", "write hold DEVICE:PORT WHY")
        self.holds[self._place(words[1], line).place] = " ".join(words[2:]) or "hold"

    def _serves(self, line: Line) -> None:
        words = _words(line)
        if len(words) < 3:
            line.fail("what hangs there?", "write serves DEVICE:PORT WORDS")
        self.endpoints[self._place(words[1], line).place] = " ".join(words[2:])

    def _expected(self, line: Line) -> None:
        words = _words(line)
        if len(words) != 4 or words[2] not in ("gains", "loses"):
            line.fail("what is expected?", "write expected DEVICE:PORT gains 20, or loses 20")
        self.meant.append((self._place(words[1], line).place, words[2], _frames(words[3], line), line))

    def _stale(self, line: Line) -> None:
        words = _words(line)
        if len(words) < 3 or ":" in words[1]:
            line.fail("what is stale?", "write stale DEVICE WHY")
        self.stale[words[1]] = (Origin(Kind.ASSUMED, " ".join(words[2:]), line.file, line.number),)

    def _failed(self, line: Line) -> None:
        words = _words(line)
        if len(words) < 3:
            line.fail("what failed?", "write failed DEVICE:PORT WORDS")
        place = self._place(words[1], line).place
        self.failed[place] = (Origin(Kind.TICK, " ".join(words[2:]), line.file, line.number),)

    def _contradiction(self, line: Line) -> None:
        words = _words(line)
        if len(words) < 3:
            line.fail("what contradicts what?", "write contradiction DEVICE:PORT WORDS")
        self.contradictions.append((self._place(words[1], line).place, " ".join(words[2:]), line.origins))

    def _doubtful(self, line: Line) -> None:
        words = _words(line)
        if len(words) < 2:
            line.fail("what is doubtful?", "write doubtful WORDS, as a row of a sheet that nothing is made of")
        self.doubtful.append((" ".join(words[1:]), line.origins))

    def _row(self, line: Line) -> None:
        sockets = [said(word, line) for word in line.words[1:] if cut(word, "=")[1] is None]
        if len(sockets) not in (1, 2):
            line.fail("a row names one socket, or the two of a cord", "write row NAME NAME kind=cat6 note=WORDS")
        fields = pairs((word for word in line.words[1:] if cut(word, "=")[1] is not None), _ROW, line)
        told = {key: said(value, line) for key, value in fields.items()}
        self.rows.append(Piece(tuple(sockets), **told, origins=line.origins))

    def _uncaptured(self, line: Line) -> None:
        words = _words(line)
        if len(words) != 2 or ":" in words[1]:
            line.fail("which box was not captured?", "write uncaptured DEVICE")
        self.uncaptured[words[1]] = line.origins

    def _accepted(self, line: Line) -> None:
        words = _words(line)
        if len(words) < 4:
            line.fail("what is accepted?", f"write {ACCEPTED}")
        told = {key: said(raw, line) for key, raw in pairs(line.words[3:], _ACCEPTED, line).items()}
        code, at = words[1], tuple(_listed(words[2:3]))
        times, severity = told.get("times", "1"), told.get("severity", "warning")
        if not {"by", "why"} <= told.keys() or not times.isdecimal() or severity not in WORST:
            line.fail("who accepts it, and why?", f"write {ACCEPTED}")
        mark, where = fingerprint(code, at), Value(line.file, line.number, line.text)
        made = Accepted(mark, code, told["why"], told["by"], where, at, told.get("until", ""), severity, int(times))
        self.accepted.append(made)

    def _empty(self, line: Line) -> None:
        self.empty += [self._place(word, line).place for word in _words(line)[1:]]

    def _unseen(self, line: Line) -> None:
        self.unknown += [self._place(word, line).place for word in _words(line)[1:]]

    def _typed(self, line: Line) -> None:
        self.typed += [self._place(word, line).place for word in _words(line)[1:]]

    def _deleted(self, line: Line) -> None:
        words = _words(line)
        if len(words) != 3 or ":" in words[1] or not (found := _frames(words[2], line).vids):
            line.fail("what is deleted where?", "write deleted DEVICE VIDS, such as deleted sw1 30")
        self.deleted[words[1]] = (*self.deleted.get(words[1], ()), (found, line.origins))

    def _keep(self, order: Order, line: Line) -> None:
        if order.name in self.orders:
            line.fail(f"{order.name!r} is ordered already", "give each a name of its own")
        self.orders[order.name] = order

    def _order(self, line: Line, least: int) -> tuple[Order, list[str]]:
        words = _words(line)
        name = words[1] if len(words) > 1 else ""
        name = f"VLAN {name}" if f"VLAN {name}" in self.orders else name
        if name not in self.orders:
            line.fail(f"nothing is ordered under {name!r}", "a `service` or `vlan` line above it names it")
        if len(words) < least:
            line.fail(f"{words[0]!r} says too little", "see the lines of what was ordered")
        return self.orders[name], words

    def _place(self, word: str, line: Line) -> Stop:
        device, _, port = word.partition(":")
        if not device or not port:
            line.fail(f"{word!r} is no port", "write DEVICE:PORT, such as sw1:1")
        self.places.append((word, line))
        return Stop(word, word, Same.ANY, line.origins)

    def _stop(self, part: list[str], line: Line, default: Frame | None) -> Stop:
        if len(part) not in (1, 2):
            line.fail(f"{' '.join(part)!r} is not a port and a frame", f"write {SERVICE}")
        stop = self._place(part[0], line)
        if len(part) == 1:
            return stop if default is None else replace(stop, frame=default)
        if part[1] == "same":
            return replace(stop, frame=Same.SAME if default is None else default)
        try:
            return replace(stop, frame=parse_frame(part[1]))
        except ValueError as error:
            _no_frame(str(error), line)


def _frames(word: str, line: Line) -> Frames:
    """Return a set of frames: `310`, `310-319`, `untagged`, `all`, `s100`, or several with commas between them."""
    found = Frames()
    for part in items(word):
        if part == "all":
            found = EVERY
        elif part == "untagged":
            found = found._replace(untagged=True)
        elif all(end.isascii() and end.isdecimal() for end in part.split("-")):
            try:
                found = found._replace(vids=found.vids | vids.parse(part))
            except ValueError as error:
                _no_frame(str(error), line)
        else:
            try:
                found = found._replace(stacks=(*found.stacks, parse_frame(part)))
            except ValueError as error:
                _no_frame(str(error), line)
    return found


def _no_frame(message: str, line: Line) -> NoReturn:
    line.fail(message, "a frame is its tags, outermost first: untagged, 310, 0, s100.310, 100@9100")


def _words(line: Line) -> list[str]:
    return [said(word, line) for word in line.words]


def _listed(words: Sequence[str]) -> list[str]:
    return [part for word in words for part in word.split(",") if part]


def _groups(words: Sequence[str]) -> list[list[str]]:
    """Return words between commas."""
    groups: list[list[str]] = [[]]
    for word in words:
        for number, part in enumerate(word.split(",")):
            if number:
                groups.append([])
            if part:
                groups[-1].append(part)
    return [group for group in groups if group]
