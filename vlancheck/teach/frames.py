"""Exercises about one frame: what is on the wire at a hop, does it arrive, who hears it."""

from __future__ import annotations

from random import Random

from vlancheck.dot1q.rules import Rule
from vlancheck.places import natural
from vlancheck.teach.exercise import Exercise, Form, Spec, Topic, boxes, chain, hops
from vlancheck.teach.ground import Ground, whole
from vlancheck.teach.mistakes import Mistake, mistaken
from vlancheck.walk.flood import LOST_OUT, What
from vlancheck.walk.walk import Step, Walk, walk
from vlancheck.wiring import Network

NOTHING, NOBODY = "nothing", "nobody"
_CHOICES = 4
_HEARERS = 6  # ports in one answer


def called(frame: str) -> str:
    """Return a frame in words."""
    return "an untagged frame" if frame == "untagged" else f"a frame tagged {frame}"


def draw_tag(ground: Ground, rng: Random) -> Spec | None:
    """Return what a question about one hop is made of."""
    sender = rng.choice(ground.senders)
    frame = ground.frame(sender, rng)
    if (walked := ground.walk(sender, frame)) is None:
        return None
    left = {step.port for step in walked.steps if step.what is What.LEAVES}
    stopped = {step.port for step in walked.steps if step.what is What.LOST and step.rule in LOST_OUT}
    places = sorted(left, key=natural) * 3 + sorted(stopped, key=natural)
    return Spec(Topic.TAG, ground.name, (sender, rng.choice(places)), frame) if places else None


def make_tag(ground: Ground, spec: Spec, rng: Random) -> Exercise | None:
    """Return the question what leaves at one port, where it is one frame or nothing."""
    (sender, at), frame = spec.places, spec.frame

    def comes_to(network: Network) -> str | None:
        return leaving(network, sender, frame, at)

    right = comes_to(ground.network)
    walked = walk(ground.network, sender, frame, at)
    told = chain(walked.steps, lambda step: step.port == at and step.what in (What.LEAVES, What.LOST))
    if right is None or not told:
        return None
    question = f"{called(frame).capitalize()} is sent into {sender}. What leaves {at}: which tag is on the wire?"
    return Exercise(
        spec, ground, ground.network, question, Form.FRAME, (), right, comes_to, None, walked, told,
        boxes(ground, walked.steps, at), hops(told),
    )  # fmt: skip


def leaving(network: Network, sender: str, frame: str, at: str) -> str | None:
    """Return what leaves a port of a frame that is sent into another one; None where that is not one thing."""
    walked = walk(network, sender, frame)
    found = {step.frame for step in walked.steps if step.what is What.LEAVES and step.port == at}
    return None if not whole(walked) or len(found) > 1 else next(iter(found), NOTHING)


def draw_fate(ground: Ground, rng: Random) -> Spec | None:
    """Return what a question about the way from one port to another is made of; often one that is gone to the end."""
    if rng.random() < 0.4:
        return draw_arriving(ground, rng)
    sender = rng.choice(ground.senders)
    others = [one for one in ground.senders if one != sender and ground.path(sender, one)]
    return Spec(Topic.FATE, ground.name, (sender, rng.choice(others)), ground.frame(sender, rng)) if others else None


def draw_arriving(ground: Ground, rng: Random) -> Spec | None:
    """Return a way from one port to another on which a frame arrives."""
    sender = rng.choice(ground.senders)
    frame = ground.frame(sender, rng)
    if (walked := ground.walk(sender, frame)) is None:
        return None
    reached = {one.port for one in walked.deliveries} & set(ground.senders) - {sender}
    targets = [one for one in sorted(reached, key=natural) if ground.path(sender, one)]
    return Spec(Topic.FATE, ground.name, (sender, rng.choice(targets)), frame) if targets else None


def fate(network: Network, path: tuple[str, ...], frame: str) -> str | None:
    """Return what becomes of a frame on the way along `path`; None where that is not one thing."""
    walked = walk(network, path[0], frame, path[-1])
    if not whole(walked):
        return None
    arrived = {one.frame for one in walked.deliveries if one.port == path[-1]}
    lost = {(one.port, one.rule) for one in walked.losses if one.port in path}
    if any(rule in LOST_OUT for _, rule in lost):  # where it does not go out on the way is more than: nowhere else
        lost = {(port, rule) for port, rule in lost if rule is not Rule.NOWHERE}
    if len(arrived) + len(lost) != 1:
        return None
    for one in arrived:
        return "it arrives " + ("untagged" if one == "untagged" else f"tagged {one}")
    return _dies(*lost.pop())


def _dies(port: str, rule: Rule) -> str:
    return f"it dies at {port}: {rule.sentence}"


def make_fate(ground: Ground, spec: Spec, rng: Random) -> Exercise | None:
    """Return the question whether a frame arrives, and where and by which rule it dies if not."""
    (sender, target), frame = spec.places, spec.frame
    path = ground.path(sender, target)

    def comes_to(network: Network) -> str | None:
        return fate(network, path, frame)

    if not path or (right := comes_to(ground.network)) is None:
        return None
    # What somebody comes to who has one rule wrong comes first among the wrong choices.
    wrong = {found for one in Mistake if (found := comes_to(mistaken(ground.network, one))) not in (None, right)}
    drawn = sorted(found for found in wrong if found)
    rng.shuffle(drawn)
    more = [_dies(place, Rule.VLAN_ABSENT) for place in path[2::2]]  # where it comes in
    more += [_dies(place, Rule.NOT_MEMBER) for place in path[1::2]]  # where it goes out
    more += ["it arrives untagged", *(f"it arrives tagged {vid}" for vid in ground.vids(target)[:4])]
    more = [one for one in more if one != right and one not in drawn]
    rng.shuffle(more)
    choices = [right, *[*drawn[: _CHOICES - 1], *more][: _CHOICES - 1]]
    rng.shuffle(choices)
    walked = walk(ground.network, sender, frame, target)
    told = chain(walked.steps, lambda step: step.port in path and _ends(step, target))
    question = (
        f"{called(frame).capitalize()} is sent into {sender}. Does it reach {target}? "
        "If not, where does it die, and by which rule?"
    )
    return Exercise(
        spec, ground, ground.network, question, Form.CHOICE, tuple(choices), right, comes_to, None, walked, told,
        tuple(dict.fromkeys(place.partition(":")[0] for place in path)), hops(told),
    )  # fmt: skip


def _ends(step: Step, target: str) -> bool:
    return step.what is What.LOST or (step.what is What.DELIVERED and step.port == target)


def draw_hears(ground: Ground, rng: Random) -> Spec:
    """Return what a question about all that hear a frame is made of."""
    sender = rng.choice(ground.senders)
    return Spec(Topic.HEARS, ground.name, (sender,), ground.frame(sender, rng))


def hearers(walked: Walk) -> str | None:
    """Return the ports where a frame comes out, sorted; None where not all of it is known."""
    if not whole(walked):
        return None
    return ", ".join(sorted({one.port for one in walked.deliveries}, key=natural)) or NOBODY


def make_hears(ground: Ground, spec: Spec, rng: Random) -> Exercise | None:
    """Return the question at which ports a frame comes out."""
    (sender,), frame = spec.places, spec.frame

    def comes_to(network: Network) -> str | None:
        return hearers(walk(network, sender, frame))

    right = comes_to(ground.network)
    if right is None or right.count(",") >= _HEARERS:
        return None
    walked = walk(ground.network, sender, frame)
    told = chain(walked.steps, lambda step: step.what in (What.DELIVERED, What.LOST))
    question = (
        f"{called(frame).capitalize()} is sent into {sender}. At which ports does it come out of the plan, or end?"
    )
    return Exercise(
        spec, ground, ground.network, question, Form.PORTS, (), right, comes_to, None, walked, told,
        boxes(ground, walked.steps), hops(told),
    )  # fmt: skip
