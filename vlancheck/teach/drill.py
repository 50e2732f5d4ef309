"""Grounds, a seed and wishes in, a run of exercises out: the same ones each time, none easier than the one before."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from random import Random
from typing import NamedTuple

from vlancheck.teach import exchanges, frames, settings
from vlancheck.teach.exercise import Exercise, Spec, Topic
from vlancheck.teach.ground import Ground
from vlancheck.teach.mistakes import Mistake, mistaken
from vlancheck.walk.flood import What
from vlancheck.walk.walk import Step

_TRIES = 150  # drawn specs for one exercise


class _Kind(NamedTuple):
    """How the exercises of a topic are made."""

    draw: Callable[[Ground, Random], Spec | None]
    make: Callable[[Ground, Spec, Random], Exercise | None]


_KINDS = {
    Topic.TAG: _Kind(frames.draw_tag, frames.make_tag),
    Topic.FATE: _Kind(frames.draw_fate, frames.make_fate),
    Topic.HEARS: _Kind(frames.draw_hears, frames.make_hears),
    Topic.MISSING: _Kind(settings.draw_missing, settings.make_missing),
    Topic.SWAPPED: _Kind(exchanges.draw_swapped, exchanges.make_swapped),
    Topic.ALIKE: _Kind(exchanges.draw_alike, exchanges.make_alike),
}


def run(
    grounds: Sequence[Ground],
    seed: int,
    count: int,
    *,
    level: int = 1,
    topics: Sequence[Topic] = tuple(Topic),
    again: Iterable[Spec] = (),
) -> tuple[Exercise, ...]:
    """Return up to `count` exercises of `topics` from `level` on, easier ones first; with those of `again`."""
    rng = Random(f"run {seed}")
    usable = [ground for ground in grounds if len(ground.senders) > 1]
    found: dict[Spec, Exercise] = {}
    for spec in again:
        made = make(usable, spec, seed)
        if made and spec.topic in topics and made.level >= level and len(found) < count:
            found[spec] = made
    order = list(topics)
    rng.shuffle(order)
    left = set(order) if usable else set()
    while len(found) < count and left:
        for topic in order:
            if topic in left and len(found) < count:
                new = _new(usable, topic, level, found, rng, seed)
                if new is None:
                    left.discard(topic)
                else:
                    found[new.spec] = new
    return tuple(sorted(found.values(), key=lambda one: one.difficulty))


def make(grounds: Sequence[Ground], spec: Spec, seed: int) -> Exercise | None:
    """Return the exercise made of `spec`; None where its ground is not there, or it has not one right answer."""
    ground = next((one for one in grounds if one.name == spec.ground), None)
    if ground is None or not _sound(ground, spec):
        return None
    return _KINDS[spec.topic].make(ground, spec, Random(f"make {seed} {spec}"))


def _new(
    grounds: Sequence[Ground], topic: Topic, level: int, known: dict[Spec, Exercise], rng: Random, seed: int
) -> Exercise | None:
    for _ in range(_TRIES):
        spec = _KINDS[topic].draw(rng.choice(grounds), rng)
        if spec is None or spec in known:
            continue
        made = make(grounds, spec, seed)
        if made is not None and made.level >= level:
            return made
    return None


_PLACES = {Topic.TAG: 2, Topic.FATE: 2, Topic.HEARS: 1, Topic.MISSING: 5, Topic.ALIKE: 2}


def _sound(ground: Ground, spec: Spec) -> bool:
    """Tell whether what an exercise is made of is still there; a kept one may be of a site that has changed."""
    wanted = _PLACES.get(spec.topic)
    if len(spec.places) != wanted if wanted else len(spec.places) < 3:
        return False
    ports = spec.places[:2] if spec.topic is Topic.MISSING else spec.places
    known = {f"{box.name}:{port}" for box in ground.network.devices.values() for port in box.ports}
    if not set(ports) <= known:
        return False
    if spec.topic is not Topic.MISSING:
        return True
    what, place, vid = spec.places[2:]
    there = place in ground.network.devices if what == "vlan" else place in known
    return what in ("vlan", "in", "out", "pvid") and there and vid.isascii() and vid.isdecimal() and 0 < int(vid) < 4095


def mistake(exercise: Exercise, given: str) -> Mistake | None:
    """Return the one rule by which somebody who has it wrong comes to the answer `given`; None where there is none."""
    for one in Mistake:
        network = mistaken(exercise.network, one)
        if exercise.arrives is not None:
            if exercise.comes_to(network) == given or (_open(exercise, one) and exercise.arrives(network, given)):
                return one
        elif exercise.comes_to(network) == given:
            return one
    return None


def _open(exercise: Exercise, one: Mistake) -> bool:
    """Tell whether something is still missing for somebody who makes the mistake."""
    assert exercise.arrives is not None
    return not all(exercise.arrives(mistaken(exercise.network, one), word) for word in exercise.choices)


def first_hop(exercise: Exercise) -> Step:
    """Return the first thing that a bridge does with the frame."""
    after = [step for step in exercise.told if step.what is not What.SENT]
    return after[0] if after else exercise.walk.steps[0]
