"""A sample of the exercises of a drill is decided by Open vSwitch: its answer is the right one."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

import pytest
from teach.made import cut

from vlancheck import vids
from vlancheck.places import natural, split_place
from vlancheck.teach.displays import BECOMES, LEAVES
from vlancheck.teach.drill import run
from vlancheck.teach.exchanges import ALIKE, UNLIKE
from vlancheck.teach.exercise import Exercise, Topic
from vlancheck.teach.frames import NOBODY, NOTHING
from vlancheck.teach.ground import closets
from vlancheck.walk.walk import walk
from vlancheck.wiring import Network

from .closets import TAP, Closet, closet_of
from .ovs import Ovs

pytestmark = pytest.mark.oracle
SEEDS = range(4)
LEAST = 15  # exercises of each topic that the switch decides


def answers(ovs: Ovs, one: Exercise) -> str | None:
    """Return what Open vSwitch answers to an exercise; None where it cannot decide it."""
    places, frame = one.spec.places, one.spec.frame
    match one.spec.topic:
        case Topic.TAG | Topic.PASTED:
            return _leaving(ovs, one.network, places[0], frame, places[1])
        case Topic.READ:
            leaves = places[0] == LEAVES
            return _leaving(ovs, one.network, places[2], frame, places[1]) if leaves else _arriving(ovs, one)
        case Topic.HEARS:
            heard = _heard(ovs, one.network, places[0], frame)
            return None if heard is None else ", ".join(sorted({port for port, _ in heard}, key=natural)) or NOBODY
        case Topic.FATE:
            heard = _heard(ovs, one.network, places[0], frame)
            if heard is None:
                return None
            forms = [form for port, form in heard if port == places[1]]
            told = "untagged" if forms == ["untagged"] else f"tagged {', '.join(forms)}"
            # By which rule it dies the switch does not say: what it decides is that no copy arrives.
            return f"it arrives {told}" if forms else one.right if one.right.startswith("it dies") else "it dies"
        case Topic.MISSING:
            return _mending(ovs, one)
        case Topic.ALIKE:
            mine, theirs = (_heard(ovs, one.network, place, frame) for place in places)
            if mine is None or theirs is None:
                return None
            there = dict(zip(places, reversed(places), strict=True))
            return ALIKE if {(there.get(port, port), form) for port, form in mine} == theirs else UNLIKE
        case Topic.SWAPPED:
            return None


def _arriving(ovs: Ovs, one: Exercise) -> str | None:
    """Return the VLANs in which frames are taken in at a port, as one more port of its box hears them."""
    kind, at, *_ = one.spec.places
    device, _ = split_place(at)
    found = 0
    for frame in one.spec.frame.split(","):
        heard = _heard(ovs, cut(one.network, at), at, frame, tapped=device)
        if heard is None:
            return None
        found |= vids.of(int(form) for port, form in heard if port == f"{device}:{TAP}")
    if kind != BECOMES:
        return vids.text(found)
    dies = one.right if one.right.startswith("it dies") else "it dies"
    return f"it is taken into VLAN {vids.text(found)}" if found else dies


def _leaving(ovs: Ovs, network: Network, sender: str, frame: str, at: str) -> str | None:
    """Return what comes out of a port whose cord is cut."""
    heard = _heard(ovs, cut(network, at), sender, frame)
    return None if heard is None else ", ".join(form for port, form in heard if port == at) or NOTHING


def _mending(ovs: Ovs, one: Exercise) -> str | None:
    """Return the choice by which a frame arrives that does not arrive without it."""
    sender, target = one.spec.places[:2]
    found = []
    for word, network in (("", one.network), *one.mends.items()):
        heard = _heard(ovs, network, sender, one.spec.frame)
        if heard is None:
            return None
        if target in {port for port, _ in heard}:
            found.append(word)
    return ", ".join(found)


_STANDING: list[Closet] = []  # the closet that stands, if any


def _heard(ovs: Ovs, network: Network, sender: str, frame: str, tapped: str = "") -> set[tuple[str, str]] | None:
    """Return where a frame comes out in a closet of bridges; None where these are not like the network there."""
    made = closet_of(network, tapped)
    if not made.decides(walk(network, sender, frame)):
        return None
    if not _STANDING or _STANDING[0].wiring != made.wiring:
        ovs.build(made.wiring)
        _STANDING[:] = [made]
    return made.heard(ovs, sender, frame)


def sample() -> Iterator[Exercise]:
    """Yield exercises of all topics, those of one network after another."""
    made = [
        one
        for topic in Topic
        if topic is not Topic.SWAPPED
        for seed in SEEDS
        for one in run(closets(), seed, 10, topics=(topic,))
    ]
    yield from sorted(made, key=lambda one: (one.spec.ground, str(one.spec.places)))


def test_the_switch_gives_the_right_answers(ovs: Ovs) -> None:
    """Of every topic but the exchange of cords, many are decided; each as the exercise has it."""
    _STANDING.clear()
    decided: Counter[Topic] = Counter()
    grounds: Counter[str] = Counter()
    for one in sample():
        answer = answers(ovs, one)
        if answer is not None:
            assert answer == one.right, f"{one.question} {one.printed}"
            decided[one.spec.topic] += 1
            grounds[one.spec.ground] += 1
    _STANDING.clear()
    print(f"decided by the switch: {dict(decided)}; {dict(grounds)}")
    assert set(decided) == set(Topic) - {Topic.SWAPPED}
    assert min(decided.values()) >= LEAST
    assert len(grounds) == len(closets())


def test_the_switch_would_tell_a_wrong_answer(ovs: Ovs) -> None:
    """With another port's frame in place of the right one, the answers differ: the comparison can fail."""
    _STANDING.clear()
    differ = 0
    for one in run(closets(), 1, 12, topics=(Topic.HEARS,)):
        other = next(place for place in one.ground.senders if place != one.spec.places[0])
        answer = _heard(ovs, one.network, other, one.spec.frame)
        if answer is not None:
            differ += ", ".join(sorted({port for port, _ in answer}, key=natural)) != one.right
    _STANDING.clear()
    assert differ > 3
