"""What an exercise is: a question about a network, and what it comes to in that network or in one taken wrongly."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from enum import StrEnum
from typing import NamedTuple

from vlancheck.teach.ground import Ground
from vlancheck.walk.flood import What
from vlancheck.walk.walk import Step, Walk
from vlancheck.wiring import Network


class Topic(StrEnum):
    """What an exercise is about; the list is closed."""

    TAG = "tag"  # what is on the wire at one hop
    FATE = "fate"  # does it arrive, and if not, where and by which rule does it die
    HEARS = "hears"  # which ports hear it
    MISSING = "missing"  # which one setting is missing
    SWAPPED = "swapped"  # two cords are exchanged: who notices
    ALIKE = "alike"  # is one port alike to another


CALLED = {
    Topic.TAG: "what is on the wire",
    Topic.FATE: "does it arrive",
    Topic.HEARS: "who hears it",
    Topic.MISSING: "what is missing",
    Topic.SWAPPED: "two cords are exchanged",
    Topic.ALIKE: "are two ports alike",
}


class Form(StrEnum):
    """How an answer is given."""

    FRAME = "frame"  # a frame, or nothing
    PORTS = "ports"  # ports, or none
    CHOICE = "choice"  # a letter


class Spec(NamedTuple):
    """What an exercise is made of and found again by."""

    topic: Topic
    ground: str  # name of the ground
    places: tuple[str, ...]  # DEVICE:PORT of all that the question names, in the order of the topic
    frame: str  # frame that is sent


@dataclass(frozen=True, eq=False)
class Exercise:
    """A question with exactly one right answer."""

    spec: Spec  # what it is made of
    ground: Ground  # where it stands
    network: Network  # the network that the question is about: the ground's, or one with a fault
    question: str  # in words
    form: Form  # how it is answered
    choices: tuple[str, ...]  # to choose from; empty where the answer is typed
    right: str  # the right answer, as `comes_to` writes it
    comes_to: Callable[[Network], str | None] = field(repr=False)  # the answer in a network; None: no single one
    arrives: Callable[[Network, str], bool] | None  # where a choice repairs something: whether it does in a network
    walk: Walk  # that explains the answer
    told: tuple[Step, ...]  # steps of it that are told
    boxes: tuple[str, ...]  # devices that are shown
    hops: int  # bridges that frames go through on the way

    @property
    def difficulty(self) -> int:
        """How hard it is: hops times distinct rules."""
        rules = {step.rule for step in self.told if step.what is not What.SENT}
        return max(1, self.hops) * max(1, len(rules))

    @property
    def level(self) -> int:
        """The difficulty as a level of 1 to 5."""
        return next((level for level, most in enumerate(_MOST, 1) if self.difficulty <= most), len(_MOST) + 1)


LEVELS = 5
_MOST = (3, 6, 9, 12)  # the greatest difficulty of levels 1 to 4
_SMALL = 5  # boxes that are shown together, whether a frame gets there or not


def boxes(ground: Ground, steps: Sequence[Step], *more: str) -> tuple[str, ...]:
    """Return the devices to show: those that steps and some places touch, of a small network all that are joined.

    What is left out would tell where a frame dies.
    """
    places = [*(step.port for step in steps), *more]
    touched = dict.fromkeys(place.partition(":")[0] for place in places)
    joined = ground.around(steps[0].port.partition(":")[0])
    return joined if len(joined) <= _SMALL and touched.keys() <= set(joined) else tuple(touched)


def chain(steps: Sequence[Step], at: Callable[[Step], bool]) -> tuple[Step, ...]:
    """Return the steps that lead to those for which `at` holds, in order."""
    kept: set[int] = set()
    for step in steps:
        if at(step):
            number = step.number
            while number:
                kept.add(number)
                number = steps[number - 1].parent
    return tuple(step for step in steps if step.number in kept)


def both(one: Walk, other: Walk) -> tuple[Step, ...]:
    """Return the steps of two walks one after the other, numbered through."""
    first = len(one.steps)
    more = (
        replace(step, number=step.number + first, parent=step.parent and step.parent + first) for step in other.steps
    )
    return (*one.steps, *more)


def hops(steps: tuple[Step, ...]) -> int:
    """Return how many bridges take the frame in these steps."""
    return len({step.port.partition(":")[0] for step in steps if step.what in (What.ENTERS, What.LOST)})
