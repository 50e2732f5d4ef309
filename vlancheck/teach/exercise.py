"""What an exercise is: a question about a network, and what it comes to in that network or in one taken wrongly."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
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
    MISSING = "missing"  # which one line is missing
    SWAPPED = "swapped"  # two cords are exchanged: who notices
    ALIKE = "alike"  # is one port alike to another
    PASTED = "pasted"  # what the far end gets once lines are pasted
    READ = "read"  # what a display of a box says


CALLED = {
    Topic.TAG: "what is on the wire",
    Topic.FATE: "does it arrive",
    Topic.HEARS: "who hears it",
    Topic.MISSING: "what is missing",
    Topic.SWAPPED: "two cords are exchanged",
    Topic.ALIKE: "are two ports alike",
    Topic.PASTED: "lines are pasted",
    Topic.READ: "read a display",
}


class Form(StrEnum):
    """How an answer is given."""

    FRAME = "frame"  # a frame, or nothing
    PORTS = "ports"  # ports, or none
    VIDS = "vids"  # VLANs, or none
    CHOICE = "choice"  # a letter


class Spec(NamedTuple):
    """What an exercise is made of and found again by."""

    topic: Topic
    ground: str  # name of the ground
    places: tuple[str, ...]  # DEVICE:PORT and other words of the question, in the order of the topic
    frame: str  # frame that is sent; of several, the VIDs of their tags


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
    arrives: Callable[[Network], bool] | None  # where a choice repairs something: whether a network is repaired
    walk: Walk  # that explains the answer
    told: tuple[Step, ...]  # steps of it that are told
    boxes: tuple[str, ...]  # devices that are shown
    hops: int  # bridges that frames go through on the way
    mends: Mapping[str, Network] = field(default_factory=dict)  # choice -> network with it, where one repairs
    was: Network | None = None  # the network before lines were typed, of which the ports are told; None: no lines
    before: tuple[Step, ...] = ()  # steps that are told of it
    printed: tuple[str, ...] = ()  # lines that are shown: as a box prints them, or as they are typed
    printing: str = ""  # box that prints them, of which nothing else is shown
    misread: tuple[tuple[str, Network], ...] = ()  # what somebody did, and the network that comes of it

    @property
    def drawn(self) -> Network:
        """The network that is shown with the question."""
        return self.network if self.was is None else self.was

    @property
    def listed(self) -> tuple[str, ...]:
        """The devices of which all ports are told."""
        return tuple(one for one in self.boxes if one != self.printing)

    @property
    def difficulty(self) -> int:
        """How hard it is: hops times distinct rules."""
        rules = {step.rule for step in (*self.before, *self.told) if step.what is not What.SENT}
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


def together(*walks: Walk) -> tuple[Step, ...]:
    """Return the steps of walks one after the other, numbered through."""
    found: list[Step] = []
    for walked in walks:
        first = len(found)
        found += (
            replace(step, number=step.number + first, parent=step.parent and step.parent + first)
            for step in walked.steps
        )
    return tuple(found)


def hops(steps: tuple[Step, ...]) -> int:
    """Return how many bridges take the frame in these steps."""
    return len({step.port.partition(":")[0] for step in steps if step.what in (What.ENTERS, What.LOST)})
