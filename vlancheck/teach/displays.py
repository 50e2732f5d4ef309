"""Exercises about a display: what a box prints of its trunks, and what it does by that."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import replace
from random import Random
from typing import NamedTuple

from vlancheck import vids
from vlancheck.dot1q.rules import Rule
from vlancheck.evidence import State, assumed
from vlancheck.places import split_place
from vlancheck.reader import Dialect
from vlancheck.teach.exercise import Exercise, Form, Spec, Topic, boxes, chain, hops, together
from vlancheck.teach.frames import called, leaving
from vlancheck.teach.ground import Ground
from vlancheck.teach.mistakes import rebuilt
from vlancheck.vids import WIRE, members
from vlancheck.walk.flood import What
from vlancheck.walk.walk import Step, Walk, walk
from vlancheck.wiring import Network
from vlancheck.writer import WriteError, display, trunks

NATIVE, PASSES, BECOMES, LEAVES = "native", "passes", "becomes", "leaves"
KINDS = (NATIVE, PASSES, BECOMES, LEAVES)
_CLOSED = assumed("closed for this VLAN, as the display shows it")
_DEATHS = (Rule.NOT_ADMITTED, Rule.VLAN_ABSENT, Rule.BLOCKED_IN)
_ASKED = 4  # VLANs of one question
_TRIED = 12  # frames that are looked at
_MOST = 64  # VIDs of a list that is drawn from


def printed(ground: Ground, network: Network, device: str) -> tuple[str, tuple[str, ...]] | None:
    """Return the command and the lines that a box of a network prints; None where its family prints none."""
    dialect = _dialect(ground, device)
    command = next(iter(dialect.prints), "") if dialect is not None else ""
    if dialect is None or not command:
        return None
    try:
        return command, display(dialect, command, network.devices[device])
    except WriteError:
        return None


def _dialect(ground: Ground, device: str) -> Dialect | None:
    known = ground.survey.reading.gathered.get(device) if ground.survey is not None else None
    return known.dialect if known is not None else None


def closing(network: Network, at: str, vid: int) -> Network:
    """Return a network in which spanning tree has closed one port for one VLAN."""
    device, port = split_place(at)
    box = network.devices[device]
    ports = {
        name: replace(one, forwarding=one.forwarding.write(1 << vid, State.OUT, _CLOSED)) if one.port == port else one
        for name, one in box.bridge_ports.items()
    }
    changed = replace(box, bridge_ports=ports)
    return rebuilt(network, [changed if one is box else one for one in network.devices.values()])


def draw_read(ground: Ground, rng: Random) -> Spec | None:
    """Return what a question about a display is made of: its kind, the port, the sender and a VLAN that is closed."""
    found = list(_printing(ground))
    if not found:
        return None
    boxes_of = Counter(split_place(place)[0] for place in found)
    through = [place for place in found if boxes_of[split_place(place)[0]] > 1]
    kind = rng.choice((*KINDS, LEAVES)) if through else rng.choice((NATIVE, PASSES, BECOMES))
    at = rng.choice(through if kind == LEAVES else found)
    carried, pool = _vids(ground, at)
    closed = str(rng.choice(carried)) if carried and rng.random() < 0.5 else ""
    if kind == NATIVE:
        return Spec(Topic.READ, ground.name, (NATIVE, at, at, ""), "untagged")
    if kind == LEAVES:
        return _draw_leaves(ground, at, closed, found, rng)
    if len(pool) < 2:
        return None
    asked = rng.sample(pool, min(len(pool), _ASKED if kind == PASSES else 1))
    frame = ",".join(map(str, sorted(asked)))
    return Spec(Topic.READ, ground.name, (kind, at, at, closed), frame)


def _draw_leaves(ground: Ground, at: str, closed: str, found: list[str], rng: Random) -> Spec | None:
    """Return a frame that comes to a box by one trunk of its display, and is asked for at another."""
    device = split_place(at)[0]
    shown = {place for place in found if split_place(place)[0] == device} - {at}
    for _ in range(_TRIED):
        sender = rng.choice(ground.senders)
        frame = ground.frame(sender, rng)
        steps = walk(ground.network, sender, frame).steps
        if any(step.port in shown and step.what in (What.ENTERS, What.LOST) for step in steps):
            return Spec(Topic.READ, ground.name, (LEAVES, at, sender, closed), frame)
    return None


def make_read(ground: Ground, spec: Spec, rng: Random) -> Exercise | None:
    """Return the question about a display of one box."""
    (kind, at, sender, closed), frame = spec.places, spec.frame
    device, port = split_place(at)
    network = ground.network
    if closed:
        if not (closed.isascii() and closed.isdecimal() and 0 < int(closed) < 4095):
            return None
        network = closing(network, at, int(closed))
    shown = printed(ground, network, device)
    if shown is None or port not in trunks(network.devices[device]) or kind not in KINDS:
        return None
    if kind == LEAVES:
        asked = _leaving(network, at, sender, frame) if split_place(sender)[0] != device else None
    else:
        asked = _arriving(network, at, kind, frame)
    if asked is None:
        return None
    right, told = asked.comes_to(network), _told(asked.walks, at, arriving=kind != LEAVES)
    if right is None or not told or not all(step.certain for step in told):
        return None
    command, lines = shown
    far = (network.peer[at],) if at in network.peer else ()
    return Exercise(
        spec, ground, network, asked.question, asked.form, asked.choices, right, asked.comes_to, None, asked.walks[0],
        told, boxes(ground, asked.walks[0].steps if kind == LEAVES else told, at, *far), hops(told),
        printed=(f"{device}#{command}", "", *lines), printing=device,
    )  # fmt: skip


class _Asked(NamedTuple):
    """A question, and how it is answered."""

    question: str
    form: Form
    choices: tuple[str, ...]
    comes_to: Callable[[Network], str | None]
    walks: tuple[Walk, ...]  # of the frames that it is about


def _leaving(network: Network, at: str, sender: str, frame: str) -> _Asked:
    question = (
        f"{called(frame).capitalize()} is sent into {sender}. What leaves {at}, by what its box printed: "
        "which tag is on the wire?"
    )
    walks = (walk(network, sender, frame, at),)
    return _Asked(question, Form.FRAME, (), lambda network: leaving(network, sender, frame, at), walks)


def _arriving(network: Network, at: str, kind: str, frame: str) -> _Asked | None:
    """Return a question about frames that arrive at a port; None where the frames are none."""
    device = split_place(at)[0]
    if kind == NATIVE:
        native = (walk(network, at, "untagged"),)
        question = f"An untagged frame arrives at {at}. In which VLAN is it then? Write none where it is not taken."
        return _Asked(question, Form.VIDS, (), lambda network: _taken(network, at, ["untagged"]), native)
    try:
        several = list(members(vids.parse(frame)))
    except ValueError:
        return None
    if not 0 < len(several) <= _ASKED:
        return None
    frames = list(map(str, several))
    walks = tuple(walk(network, at, one) for one in frames)
    if kind == PASSES:
        question = (
            f"Frames arrive at {at}, one with each of the tags {', '.join(frames)}. "
            f"Which of these VLANs does {device} take in there?"
        )
        return _Asked(question, Form.VIDS, (), lambda network: _taken(network, at, frames), walks)
    if len(frames) != 1:
        return None
    question = f"A frame tagged {frames[0]} arrives at {at}. What becomes of it there?"
    choices = (f"it is taken into VLAN {frames[0]}", *(_dead(rule) for rule in _DEATHS))
    return _Asked(question, Form.CHOICE, choices, lambda network: _becomes(network, at, frames[0], choices), walks)


def _taken(network: Network, at: str, frames: list[str]) -> str | None:
    """Return the VLANs that frames are in once they came in at a port; None where that is not known."""
    found = 0
    for frame in frames:
        for step in walk(network, at, frame).steps:
            if step.port == at and step.what in (What.ENTERS, What.DOUBT):
                if not step.certain or step.vid is None:
                    return None
                found |= 1 << step.vid
    return vids.text(found)


def _becomes(network: Network, at: str, frame: str, choices: tuple[str, ...]) -> str | None:
    taken = _taken(network, at, [frame])
    if taken is None:
        return None
    if taken != vids.text(0):
        return choices[0] if taken == frame else None
    lost = [_dead(one.rule) for one in walk(network, at, frame).losses if one.port == at]
    return lost[0] if len(lost) == 1 and lost[0] in choices else None


def _dead(rule: Rule) -> str:
    return f"it dies there: {rule.sentence}"


def _told(walks: tuple[Walk, ...], at: str, *, arriving: bool) -> tuple[Step, ...]:
    """Return the steps by which frames come in at a port, or one leaves it; else where that one dies."""
    steps = together(*walks)
    ends = (What.ENTERS, What.LOST) if arriving else (What.LEAVES, What.LOST)
    return chain(steps, lambda step: step.port == at and step.what in ends) or chain(
        steps, lambda step: step.what is What.LOST
    )


def _printing(ground: Ground) -> Iterator[str]:
    """Yield the trunks of the boxes that print a display."""
    for device in ground.network.devices:
        if printed(ground, ground.network, device) is not None:
            yield from (f"{device}:{port}" for port in trunks(ground.network.devices[device]))


def _vids(ground: Ground, at: str) -> tuple[list[int], list[int]]:
    """Return the VIDs that a port carries tagged, and these with others that may be asked for beside them."""
    device, port = split_place(at)
    box = ground.network.devices[device]
    one = next(one for one in box.bridge_ports.values() if one.port == port)
    bridge = box.bridges[one.bridge]
    tagged = one.member.sure & ~one.untagged.sure & WIRE
    carried = list(members(tagged & bridge.exists.sure))[:_MOST]
    others = set(members(tagged & ~bridge.exists.sure)) if tagged.bit_count() <= _MOST else set()
    others |= {vid for vid in ground.vids(at) if not one.untagged.sure >> vid & 1}
    return carried, sorted({*carried, *others})
