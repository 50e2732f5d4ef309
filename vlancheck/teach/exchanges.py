"""Exercises about cords that change places: who notices, and are two ports alike."""

from __future__ import annotations

from random import Random

from vlancheck.dot1q.model import DeviceKind
from vlancheck.places import natural, split_place
from vlancheck.teach.exercise import Exercise, Form, Spec, Topic, boxes, chain, hops, together
from vlancheck.teach.frames import NOBODY, called
from vlancheck.teach.ground import Ground, whole
from vlancheck.walk.flood import What
from vlancheck.walk.walk import walk
from vlancheck.wiring import Network

_STATIONS = 5  # PCs of one question
ALIKE, UNLIKE = "yes, they are alike", "no, they differ"


def stations(ground: Ground) -> tuple[str, ...]:
    """Return the jacks of switches where an untagged frame may come in."""
    return tuple(
        place
        for place in ground.senders
        if ground.network.devices[split_place(place)[0]].kind is DeviceKind.BRIDGE
        and any(
            one.port == split_place(place)[1] and isinstance(one.pvid.value, int)
            for one in ground.network.devices[split_place(place)[0]].bridge_ports.values()
        )
    )


def draw_swapped(ground: Ground, rng: Random) -> Spec | None:
    """Return what a question about two exchanged cords is made of: the two jacks, and others with a PC."""
    jacks = stations(ground)
    places = tuple(rng.sample(jacks, min(_STATIONS, len(jacks))))
    return Spec(Topic.SWAPPED, ground.name, places, "untagged") if len(places) > 2 else None


def noticing(network: Network, places: tuple[str, ...]) -> str | None:
    """Return who hears, or is heard by, other PCs than before, once the first two have exchanged their cords."""
    walks = {place: walk(network, place, "untagged") for place in places}
    # That a frame goes round changes nobody's answer: who hears it hears it the first time.
    growing = any(loop.growing for one in walks.values() for loop in one.loops)
    if growing or any({item.port for item in one.unproven} & set(places) for one in walks.values()):
        return None
    hears = {(a, one.port) for a, walked in walks.items() for one in walked.deliveries if one.frame == "untagged"}
    moved = dict(zip(places, (places[1], places[0], *places[2:]), strict=True))

    def contacts(one: str, where: dict[str, str]) -> set[tuple[str, bool, bool]]:
        return {
            (two, (where[one], where[two]) in hears, (where[two], where[one]) in hears) for two in places if two != one
        }

    as_before = {place: place for place in places}
    found = [one for one in places if contacts(one, as_before) != contacts(one, moved)]
    return ", ".join(sorted(found, key=natural)) or NOBODY


def make_swapped(ground: Ground, spec: Spec, rng: Random) -> Exercise | None:
    """Return the question who notices that two cords are exchanged."""
    places = spec.places

    def comes_to(network: Network) -> str | None:
        return noticing(network, places)

    if len(set(places)) != len(places) or (right := comes_to(ground.network)) is None:
        return None
    walked = walk(ground.network, places[0], "untagged")
    there = together(walked, walk(ground.network, places[1], "untagged"))
    told = chain(there, lambda step: step.what is What.SENT or (step.what is What.DELIVERED and step.port in places))
    listed = ", ".join(sorted(places, key=natural))
    question = (
        f"PCs that send and take untagged frames are plugged into {listed}. The cords in {places[0]} and {places[1]} "
        "are exchanged. Which of these PCs then exchange frames with other PCs than before? "
        "Name each by the port it was in before."
    )
    return Exercise(
        spec, ground, ground.network, question, Form.PORTS, (), right, comes_to, None, walked, told,
        boxes(ground, told, *places),
        hops(told),
    )  # fmt: skip


def draw_alike(ground: Ground, rng: Random) -> Spec | None:
    """Return what a question about two ports is made of."""
    jacks = stations(ground)
    if len(jacks) < 2:
        return None
    one, other = rng.sample(jacks, 2)
    same = [place for place in jacks if _pvid(ground, place) == _pvid(ground, one) and place != one]
    if same and rng.random() < 0.6:
        other = rng.choice(same)
    return Spec(Topic.ALIKE, ground.name, (one, other), rng.choice(["untagged", ground.frame(one, rng)]))


def alike(network: Network, one: str, other: str, frame: str) -> str | None:
    """Return whether one frame from either port comes out at the same ports in the same form, each at the other too."""
    walks = walk(network, one, frame), walk(network, other, frame)
    if not all(whole(walked) for walked in walks):
        return None
    there = {one: other, other: one}
    mine = {(item.port, item.frame) for item in walks[0].deliveries}
    theirs = {(there.get(item.port, item.port), item.frame) for item in walks[1].deliveries}
    if not mine and not theirs:
        return None  # nothing comes out of either: no likeness that could be seen
    return ALIKE if mine == theirs else UNLIKE


def make_alike(ground: Ground, spec: Spec, rng: Random) -> Exercise | None:
    """Return the question whether two ports are alike for a frame that is sent into them."""
    (one, other), frame = spec.places, spec.frame

    def comes_to(network: Network) -> str | None:
        return alike(network, one, other, frame)

    if (right := comes_to(ground.network)) is None:
        return None
    walked = walk(ground.network, one, frame)
    second = walk(ground.network, other, frame)
    told = together(walked, second)
    question = (
        f"{called(frame).capitalize()} is sent into {one}, and another one into {other}. Are these two ports alike "
        "for it: does it come out at the same ports in the same form (and from each at the other)?"
    )
    return Exercise(
        spec, ground, ground.network, question, Form.CHOICE, (ALIKE, UNLIKE), right, comes_to, None, walked, told,
        tuple(dict.fromkeys(step.port.partition(":")[0] for step in (*told, *second.steps))), hops(told),
    )  # fmt: skip


def _pvid(ground: Ground, place: str) -> object:
    device, port = split_place(place)
    return {one.pvid.value for one in ground.network.devices[device].bridge_ports.values() if one.port == port}.pop()
