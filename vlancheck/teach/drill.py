"""Grounds, a seed and wishes in, a run of exercises out: the same ones each time, none easier than the one before."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from random import Random
from typing import NamedTuple

from vlancheck.teach import displays, exchanges, frames, missing, pasting
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
    spoken: bool = False  # it needs boxes of which lines are known


_KINDS = {
    Topic.TAG: _Kind(frames.draw_tag, frames.make_tag),
    Topic.FATE: _Kind(frames.draw_fate, frames.make_fate),
    Topic.HEARS: _Kind(frames.draw_hears, frames.make_hears),
    Topic.MISSING: _Kind(missing.draw_missing, missing.make_missing, spoken=True),
    Topic.SWAPPED: _Kind(exchanges.draw_swapped, exchanges.make_swapped),
    Topic.ALIKE: _Kind(exchanges.draw_alike, exchanges.make_alike),
    Topic.PASTED: _Kind(pasting.draw_pasted, pasting.make_pasted, spoken=True),
    Topic.READ: _Kind(displays.draw_read, displays.make_read, spoken=True),
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
    if _KINDS[topic].spoken:
        grounds = [ground for ground in grounds if ground.survey is not None]
    # What is hard is found where there are many boxes to go through.
    weights = [len(ground.network.devices) ** (level - 1) for ground in grounds]
    for _ in range(_TRIES if grounds else 0):
        spec = _KINDS[topic].draw(rng.choices(grounds, weights)[0], rng)
        if spec is None or spec in known:
            continue
        made = make(grounds, spec, seed)
        if made is not None and made.level >= level:
            return made
    return None


_PLACES = {  # how many words of a question a topic has, and which of them are ports
    Topic.TAG: (2, slice(None)),
    Topic.FATE: (2, slice(None)),
    Topic.HEARS: (1, slice(None)),
    Topic.MISSING: (5, slice(2)),
    Topic.SWAPPED: (0, slice(None)),
    Topic.ALIKE: (2, slice(None)),
    Topic.PASTED: (4, slice(2)),
    Topic.READ: (4, slice(1, 3)),
}


def _sound(ground: Ground, spec: Spec) -> bool:
    """Tell whether what an exercise is made of is still there; a kept one may be of a site that has changed."""
    wanted, ports = _PLACES[spec.topic]
    if len(spec.places) != wanted if wanted else len(spec.places) < 3:
        return False
    known = {f"{box.name}:{port}" for box in ground.network.devices.values() for port in box.ports}
    return set(spec.places[ports]) <= known


def misreading(exercise: Exercise, given: str) -> str:
    """Return what somebody did who comes to the answer `given`: misread lines, or took one rule wrongly; "" neither."""
    for sentence, network in exercise.misread:
        if exercise.comes_to(network) == given:
            return sentence
    found = mistake(exercise, given)
    return found.sentence if found is not None else ""


def mistake(exercise: Exercise, given: str) -> Mistake | None:
    """Return the one rule by which somebody who has it wrong comes to the answer `given`; None where there is none."""
    for one in Mistake:
        network = mistaken(exercise.network, one)
        if exercise.arrives is None:
            if exercise.comes_to(network) == given:
                return one
        elif _mends(exercise, given, one):
            return one
    return None


def _mends(exercise: Exercise, given: str, one: Mistake) -> bool:
    """Tell whether a choice makes the frame arrive for somebody who makes a mistake, and to whom it does not yet."""
    if exercise.arrives is None or given not in exercise.mends or exercise.arrives(mistaken(exercise.network, one)):
        return False
    return exercise.arrives(mistaken(exercise.mends[given], one))


def first_hop(exercise: Exercise) -> Step:
    """Return the first thing that a bridge does with the frame."""
    after = [step for step in exercise.told if step.what is not What.SENT]
    return after[0] if after else exercise.walk.steps[0]
