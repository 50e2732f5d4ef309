"""A verdict in, its way in one line out: the boxes that frames pass, and where they die, leak or change their tags.

`>` leads from box to box, `=30>` where the frame is another one on that cord, `|` parts ways that lead apart.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

from vlancheck.dot1q.model import Device
from vlancheck.places import split_place
from vlancheck.report.cells import cells
from vlancheck.report.wording import SIGNS, several
from vlancheck.site.places import PlaceError, find_port
from vlancheck.verdicts.orders import OrderKind
from vlancheck.verdicts.reasons import Hop
from vlancheck.verdicts.verdict import Certainty, EndingVerdict, Leak, State, Verdict, Way

_HOPS = 6  # of a way that are named; of a longer one, what lies between its ends is counted
_WAYS = 3  # ways that lead apart that are named
_LONG_WORD = re.compile(r"([A-Za-z-]{5,})(\d.*)")


class Mark(NamedTuple):
    """Where something is not as declared."""

    said: str  # what, and where it is decided, beside the way to there
    more: str = ""  # whom it touches
    alone: str = ""  # what is said where the way is not shown; "" the same

    @property
    def words(self) -> str:
        """Return all of it."""
        return f"{self.said}{self.more}"


@dataclass(frozen=True, slots=True)
class Told:
    """One order in a line."""

    hops: tuple[str, ...]  # the boxes it passes, each but the first with the arrow to it
    marks: tuple[Mark, ...]  # where it dies, leaks, changes its tags or is not proven, the worst first
    more: str  # how many of its endings there are of each state; "" where there is one

    @property
    def words(self) -> str:
        """Return all of it."""
        return "; ".join(filter(None, (self._line(_HOPS), self.more)))

    def brief(self, width: int) -> str:
        """Return as much of it as fits a line, its worst mark before all; the mark alone may be longer."""
        lines = [self.words, self._line(_HOPS)]
        for mark in self.marks[:1]:
            lines += [f"{' '.join(_few(self.hops, most))} {mark.said}" for most in range(len(self.hops), 0, -1)]
            lines += [f"{mark.alone or mark.said}{mark.more}"]
        return next((line for line in lines if cells(line) <= width), lines[-1])

    def _line(self, most: int) -> str:
        return " ".join((*_few(self.hops, most), *(mark.words for mark in self.marks)))


def told(verdict: Verdict, devices: Mapping[str, Device]) -> Told:
    """Return a verdict as its way compressed to hops: of an order that fails, the way of the ending that is worst."""
    states = Counter(one.state for one in verdict.endings)
    worst = next((state for state in State if states[state]), State.CARRIED)
    hit = [one for one in verdict.endings if one.state is worst]
    ways = [hit[0]] if hit and worst not in (State.CARRIED, State.NOT_YET) else verdict.endings
    if len(verdict.endings) == 1:
        more = ""
    elif worst is State.CARRIED:
        more = several(len(hit), "place")
    else:
        more = ", ".join(f"{states[one]} {one.value}" for one in State if states[one])
    return Told(_ways(verdict, ways, devices), tuple(_marks(verdict, hit, worst, devices)), more)


def short(place: str, devices: Mapping[str, Device]) -> str:
    """Return a DEVICE:PORT with the word of the port cut to two letters, where that means no other port."""
    device, port = split_place(place)
    found = _LONG_WORD.fullmatch(port)
    if found is None or device not in devices:
        return place
    name = f"{found[1][:2]}{found[2]}"
    # A box may have hundreds of ports; only those that end alike can be meant.
    alike = {one: made for one, made in devices[device].ports.items() if one.endswith(found[2])}
    try:
        return f"{device}:{name}" if find_port(replace(devices[device], ports=alike), name) == port else place
    except PlaceError:
        return place


# ---- the way -----------------------------------------------------------------------------------------------------


def _ways(verdict: Verdict, endings: Sequence[EndingVerdict], devices: Mapping[str, Device]) -> tuple[str, ...]:
    """Return the way to some endings: what they share, then what leads apart."""
    senders = Counter(one.inward.sender for one in endings if one.inward is not None)
    sender = senders.most_common(1)[0][0] if senders else ""
    ways = list(dict.fromkeys(_way(verdict, one) for one in endings if one.inward and one.inward.sender == sender))
    if not ways:
        return tuple(filter(None, (_start(verdict, "") or endings[0].stop.name,))) if endings else ()
    if len(endings) == 1:
        ways = [(*ways[0], *_end(endings[0], ways[0], devices))]
    shared = 0
    while all(len(way) > shared for way in ways) and len({way[shared] for way in ways}) == 1:
        shared += 1
    rest = list(dict.fromkeys(" ".join(_few(_arrows(way)[shared:], _HOPS)) for way in ways if len(way) > shared))
    if len(rest) > _WAYS:
        rest = [*rest[:_WAYS], f"{len(rest) - _WAYS} more ways"]
    apart = " | ".join(one.removeprefix("> ") if number else one for number, one in enumerate(rest))
    return (*_arrows(ways[0])[:shared], *([apart] if apart else []))


def _start(verdict: Verdict, sender: str) -> str:
    """Return what an order is called where it enters: the circuit, else the box."""
    enters = next((one for one in verdict.order.enters if one.place == sender), next(iter(verdict.order.enters), None))
    name = enters.name if enters is not None else sender
    return split_place(name)[0] if not enters or name == enters.place else name


def _way(verdict: Verdict, ending: EndingVerdict) -> tuple[tuple[str, str], ...]:
    """Return the boxes of a way, each with the tags on the cord to it where they are others than before."""
    sender = ending.inward.sender if ending.inward else ""
    boxes = [split_place(sender)[0]]
    arrows = [""]
    tags = ending.path[0].frame if ending.path else ""
    inside = verdict.order.kind is OrderKind.VLAN
    for hop in ending.path:
        device = split_place(hop.port)[0]
        if hop.way == "in" and device != boxes[-1]:
            boxes.append(device)
            same = hop.frame in (tags, *((verdict.order.tag, "untagged") if inside else ()))
            arrows.append("" if same else hop.frame)
            tags = hop.frame
    start = _start(verdict, sender)
    named = [(box, arrow) for box, arrow in zip(boxes, arrows, strict=True)]
    return tuple(named if start == boxes[0] else [(start, ""), *named])


def _end(
    ending: EndingVerdict, way: Sequence[tuple[str, str]], devices: Mapping[str, Device]
) -> Iterator[tuple[str, str]]:
    """Yield the ending as the last hop of a way that gets there."""
    if ending.inward is None or ending.inward.way in (Way.REFUTED, Way.UNKNOWN):
        return
    name = short(ending.stop.name, devices)
    last = _last_frame(ending.path)
    before = next((arrow for _, arrow in reversed(way) if arrow), ending.path[0].frame if ending.path else "")
    if split_place(name)[0] != way[-1][0]:  # a jack, or a box beyond the last port
        yield name, last if last and last != before else ""


def _last_frame(path: Sequence[Hop]) -> str:
    return path[-1].frame if path and path[-1].way == "out" else ""


def _arrows(way: Iterable[tuple[str, str]]) -> tuple[str, ...]:
    """Return boxes, each but the first with the arrow that leads to it."""
    return tuple(
        f"={arrow}> {name}" if arrow else f"> {name}" if number else name for number, (name, arrow) in enumerate(way)
    )


def _few(hops: Sequence[str], most: int) -> tuple[str, ...]:
    """Return hops, of a long way the first and those at its end."""
    if len(hops) <= most:
        return tuple(hops)
    left = max(most - 2, 0)  # at the end; one is the first, one says how many are left out
    return (hops[0], f"> {several(len(hops) - 1 - left, 'hop')}", *hops[len(hops) - left :])


# ---- marks -------------------------------------------------------------------------------------------------------


def _marks(
    verdict: Verdict, hit: Sequence[EndingVerdict], worst: State, devices: Mapping[str, Device]
) -> Iterator[Mark]:
    """Yield where an order is not as declared, a leak to what somebody owns before all."""
    proved = [one for one in verdict.leaks if one.certainty is Certainty.PROVED]
    owned = any(one.what for one in proved)
    if owned:
        yield _leaks(proved, State.LEAKED, devices)
    if worst in (State.DROPPED, State.MISMATCHED, State.UNPROVEN):
        spots = list(dict.fromkeys(_spot(one, devices) for one in hit))
        more = f" and at {several(len(spots) - 1, 'place')} more" if len(spots) > 1 else ""
        first = spots[0]
        alone = f"{SIGNS[worst]} {first.alone}" if first.alone else ""
        yield Mark(f"{SIGNS[worst]} {first.said}", f"{first.more}{more}", alone)
    if proved and not owned:
        yield _leaks(proved, State.LEAKED, devices)
    if perhaps := [one for one in verdict.leaks if one.certainty is not Certainty.PROVED]:
        yield _leaks(perhaps, State.UNPROVEN, devices)
    if verdict.questions:
        yield Mark(f"{SIGNS[State.UNPROVEN]} unproven beyond {_start(verdict, '')}")


def _spot(ending: EndingVerdict, devices: Mapping[str, Device]) -> Mark:
    """Return what becomes of frames of an ending that is not carried, and where."""
    name, reason, inward = short(ending.stop.name, devices), ending.reason, ending.inward
    place = short(reason.place, devices) if reason and reason.place else ""
    if inward is None or not place:
        return Mark(reason.words if reason else f"{ending.state.value} at {name}")
    back = inward.way is Way.PROVED
    if ending.state is State.DROPPED:
        device, port = split_place(place)
        last = split_place(ending.path[-1].port)[0] if ending.path else ""
        if back:
            return Mark(f"dies at {place} on the way back", f" from {name}")
        at = f"its {port}" if port and device == last else place
        return Mark(f"dies at {at}", f", short of {name}", f"dies at {place}")
    if ending.state is State.MISMATCHED:
        came = ending.back.arrives if back and ending.back else inward.arrives
        return Mark(f"comes back as {came}", f" from {name}") if back else Mark(f"arrives as {came}", f" at {name}")
    return Mark(f"unproven from {place}")


def _leaks(leaks: Sequence[Leak], state: State, devices: Mapping[str, Device]) -> Mark:
    """Return where frames cross that should not: what somebody owns before the rest."""
    first = next((one for one in leaks if one.what), leaks[0])
    verb = "leaks to" if state is State.LEAKED else "may leak to"
    what = f" ({first.what})" if first.what else ""
    more = f" and {len(leaks) - 1} more" if len(leaks) > 1 else ""
    return Mark(f"{SIGNS[state]} {verb} {short(first.at, devices)}{what}", more)
