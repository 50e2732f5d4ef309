"""One survey in; its ports by classes that are alike, what sets the others apart, and which cords may move, out.

Alike are two ports when exchanging their cords changes no needed carriage and everything else that is listed of a port
is equal.  Nothing is moved freely that has an owner, a place told for emergency calls, or an address that is kept.
"""

from __future__ import annotations

from collections.abc import Hashable
from dataclasses import dataclass

from vlancheck.changes.side import Side
from vlancheck.dot1q.tags import format_frame
from vlancheck.moves.compared import AlikePort, Apart, Compared, Cord
from vlancheck.moves.exchange import Difference, Exchange
from vlancheck.places import split_place
from vlancheck.site.boxes import Boxes

_TOLD = 3  # differences in carriage that are told of two ports


@dataclass(frozen=True, slots=True)
class AlikeClass:
    """Ports that are alike; of a class of one, nothing else is."""

    ports: tuple[AlikePort, ...]  # in the order of the boxes
    nearest: str = ""  # DEVICE:PORT of another class that differs in the least
    apart: tuple[str, ...] = ()  # in what that one differs, in words

    @property
    def free(self) -> tuple[AlikePort, ...]:
        """Return the ports whose cords may move within the class: there must be somewhere to move to."""
        found = [port for port in self.ports if port.cord is Cord.FREE]
        room = len(found) + sum(port.cord is Cord.EMPTY for port in self.ports)
        return tuple(found) if room > 1 else ()


@dataclass(frozen=True, slots=True)
class Alikeness:
    """Everything about the ports of a survey whose cords a crew may want to exchange."""

    classes: tuple[AlikeClass, ...]  # of two and more ports, those with the most first; then those of one
    apart: tuple[Apart, ...]  # ports compared with none

    @property
    def free(self) -> int:
        """Return how many cords may move freely."""
        return sum(len(one.free) for one in self.classes)

    @property
    def open(self) -> bool:
        """Tell whether something asked for is not proven."""
        return any(one.doubt for one in self.apart)


def alike(side: Side, boxes: Boxes, *, exact: bool = False) -> Alikeness:
    """Return the ports of a survey by classes.

    With `exact` not only needed frames count, but every frame.
    """
    finder = Compared(side, boxes)
    apart: list[Apart] = []
    keys: dict[str, Hashable] = {}
    for place in finder.jacks():
        found = finder.reason(place)
        if found is None:
            keys[place] = finder.key(place)
        elif found.why:
            apart.append(found)
    ground = side.ground
    guarded = {*ground.held, *ground.network.handoffs}
    needs = {place: side.needed.get(place, 0) for place in ground.network.boundary}
    exchange = Exchange(ground.network, ground.carried.carriage, keys, needs.__getitem__, guarded, exact=exact)
    order = {place: number for number, place in enumerate(keys)}
    found_classes = [sorted(places, key=order.__getitem__) for places in exchange.classes()]
    several = [tuple(map(finder.port, places)) for places in sorted(found_classes, key=lambda p: order[p[0]])]
    several.sort(key=lambda ports: -len(ports))
    proven = []
    for ports in several:
        if len(ports) == 1 and (found_open := exchange.undecided(ports[0].place)) is not None:
            apart.append(finder.undecided(ports[0].place, found_open))
        else:
            proven.append(ports)
    classes = tuple(_told(finder, ports, proven, exchange) for ports in proven)
    return Alikeness(classes, tuple(apart))


def _told(
    finder: Compared, ports: tuple[AlikePort, ...], all_: list[tuple[AlikePort, ...]], exchange: Exchange
) -> AlikeClass:
    """Return a class with the one that is nearest to it, and what sets it apart."""
    first = ports[0].place
    mine = finder.facts(first)
    best: tuple[int, bool, int, str, list[str]] | None = None
    for number, others in enumerate(all_):
        if others is ports:
            continue
        place = others[0].place
        theirs = finder.facts(place)
        differs = [name for name in mine if mine[name] != theirs[name]]
        elsewhere = split_place(place)[0] != split_place(first)[0]
        if best is None or (len(differs), elsewhere, number) < best[:3]:
            best = (len(differs), elsewhere, number, place, differs)
    if best is None:
        return AlikeClass(ports)
    place, differs = best[3], best[4]
    words = [finder.differs(name, first, place) for name in differs]
    if not differs:
        told = list(exchange.differences(first, place))[:_TOLD]
        words = [_carriage(one, first, place) for one in told] or ["frames between the two differ"]
    return AlikeClass(ports, place, tuple(words))


def _carriage(found: Difference, one: str, other: str) -> str:
    """Return in words which frames set two ports apart."""
    does, does_not = (one, other) if found.first else (other, one)
    if found.frame is None:
        what = "some frame"
    elif any(tag.vid < 0 for tag in found.frame):
        what = "a tagged frame"
    else:
        what = f"a frame as {format_frame(found.frame)}"
    if found.sends:
        return f"{what} gets from {does} to {found.third}, and not so from {does_not}"
    return f"{what} gets from {found.third} to {does}, and not so to {does_not}"
