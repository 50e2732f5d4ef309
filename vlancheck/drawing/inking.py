"""A verdict and the walks behind it in, what it inks in a picture out: where the frames go, and where they do not."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator
from typing import assert_never

from vlancheck.dot1q.tags import C_TAG, Frame, Tag, parse_frame
from vlancheck.drawing.picture import Ink, Mark, MarkSort, Picture, Sort
from vlancheck.verdicts.orders import Order, OrderKind
from vlancheck.verdicts.verdict import Certainty, State, Verdict
from vlancheck.walk.carriage import Carriage
from vlancheck.walk.flood import What
from vlancheck.walk.walk import Walk, entry_vid, walk
from vlancheck.wiring.network import Network

KeyOf = Callable[[str], str]  # DEVICE:PORT -> key of its socket
_PASSING = frozenset({What.ENTERS, What.LEAVES, What.DELIVERED})


def inked(key: str, verdicts: Iterable[Verdict], network: Network, picture: Picture, key_of: KeyOf) -> Ink:
    """Return where what was declared goes: every copy of every frame that its verdicts were judged by."""
    several = tuple(verdicts)
    walks = [walk(network, sender, frame) for sender, frame in dict.fromkeys(_asked(several))]
    words = "; ".join(one.headline for one in several)
    name = " and ".join(_called(one.order) for one in several)
    marks = dict.fromkeys(mark for verdict in several for mark in _marks(verdict, key_of))
    return _ink(key, name, words, walks, tuple(marks), network, picture, key_of)


def inked_vlan(vid: int, network: Network, carriage: Carriage, picture: Picture, key_of: KeyOf) -> Ink:
    """Return where a VLAN goes that nobody declared: frames of every boundary port that get its VID first."""
    walks: list[Walk] = []
    asked: dict[tuple[tuple[str, ...], Frame], int] = {}
    for place in network.boundary:
        for frame in ((Tag(C_TAG, vid),), ()):
            if entry_vid(network, place, frame) != vid:
                continue
            # Two of those that every bridge treats alike tell all: each is heard where the other is.
            like = carriage.speakers(place), frame
            asked[like] = asked.get(like, 0) + 1
            if asked[like] <= 2:
                walks.append(walk(network, place, frame))
    words = "nothing was declared of it" if walks else "no port takes a frame of it"
    return _ink(f"vlan-{vid}", f"VLAN {vid}", words, walks, (), network, picture, key_of)


def slug(text: str) -> str:
    """Return a text as small letters, digits and `-`."""
    return re.sub(r"[^a-z0-9]+", "-", text.casefold()).strip("-") or "x"


def passed(walks: Iterable[Walk]) -> dict[str, bool]:
    """Return the ports (DEVICE:PORT) that copies pass on the wire, and whether they do so for certain."""
    ports: dict[str, bool] = {}
    for walked in walks:
        for step in walked.steps:
            if step.what in _PASSING:
                ports[step.port] = ports.get(step.port, False) or step.certain
            if step.parent and (first := walked.steps[step.parent - 1]).what is What.SENT and first.port != step.port:
                ports[first.port] = True  # a box where frames end put it on its cord
    return ports


def _ink(
    key: str,
    name: str,
    words: str,
    walks: Iterable[Walk],
    marks: tuple[Mark, ...],
    network: Network,
    picture: Picture,
    key_of: KeyOf,
) -> Ink:
    ports = passed(walks)
    at = {socket.key: box.key for box in picture.boxes for socket in box.sockets}
    wires = {socket.key for box in picture.boxes if box.sort is not Sort.DEVICE for socket in box.sockets}
    devices = {box.name: box.key for box in picture.boxes}
    sockets: dict[str, bool] = {}
    idle: dict[str, int] = {}
    for place, sure in sorted(ports.items()):
        found = key_of(place)
        if found in at:
            sockets[found] = sockets.get(found, False) or sure
        elif (box := devices.get(place.partition(":")[0])) is not None:
            idle[box] = idle.get(box, 0) + 1
    lines: dict[tuple[str, str], bool] = {}
    for line in picture.lines:
        carrying = [ports[port] for port in line.ports if port in ports]
        if not carrying:
            continue
        lines[line.key] = any(carrying)
        for end in line.key:
            if end in wires:
                sockets[end] = sockets.get(end, False) or any(carrying)
    kept = tuple(mark for mark in marks if mark.key in at)
    return Ink(key=key, name=name, words=words, sockets=sockets, lines=lines, idle=idle, marks=kept)


def _called(order: Order) -> str:
    match order.kind:
        case OrderKind.SERVICE:
            return f"service {order.name}, tag {order.tag}"
        case OrderKind.VLAN:
            return f"VLAN {order.tag}" if order.name == f"VLAN {order.tag}" else f"VLAN {order.tag} {order.name}"
        case _:
            assert_never(order.kind)


def _asked(verdicts: Iterable[Verdict]) -> Iterator[tuple[str, Frame]]:
    """Yield what was sent from where to judge, leaks included."""
    for verdict in verdicts:
        for ending in verdict.endings:
            for way in (ending.inward, ending.back):
                if way is not None:
                    yield way.sender, parse_frame(way.frame)
        for leak in (*verdict.leaks, *verdict.notes):
            if leak.sender:
                yield leak.sender, leak.sent


def _marks(verdict: Verdict, key_of: KeyOf) -> Iterator[Mark]:
    """Yield what is to be said where an order enters, is lost, arrives otherwise, leaks or is in doubt."""
    for stop in verdict.order.enters:
        if stop.place:
            yield Mark(key_of(stop.place), MarkSort.ENTERS, verdict.order.name)
    for ending in verdict.endings:
        place = ending.reason.place if ending.reason else ""
        sort = _ending_mark(ending.state)
        if sort is not None and (place or ending.at):
            why = f"{ending.stop.name}: {ending.reason.words}" if ending.reason else ending.stop.name
            yield Mark(key_of(place or ending.at), sort, why)
    for leak in verdict.leaks:
        sure = leak.certainty is Certainty.PROVED
        why = f"{leak.frame} {leak.direction}" + (f", {leak.what}" if leak.what else "")
        yield Mark(key_of(leak.at), MarkSort.LEAKS if sure else MarkSort.MAY_LEAK, why)


def _ending_mark(state: State) -> MarkSort | None:
    match state:
        case State.DROPPED:
            return MarkSort.LOST
        case State.MISMATCHED:
            return MarkSort.OTHERWISE
        case State.UNPROVEN:
            return MarkSort.UNPROVEN
        case State.LEAKED | State.NOT_YET | State.CARRIED:
            return None
        case _:
            assert_never(state)
