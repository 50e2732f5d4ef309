"""Exercises about lines that are pasted: what the far end of a cord gets once they are there."""

from __future__ import annotations

from collections.abc import Iterator
from random import Random

from vlancheck.dot1q.model import Device
from vlancheck.pipeline import Survey
from vlancheck.places import natural, split_place
from vlancheck.teach.exercise import Exercise, Form, Spec, Topic, boxes, chain, hops
from vlancheck.teach.frames import NOTHING, called, leaving
from vlancheck.teach.ground import Ground
from vlancheck.teach.typing import box, lines_for, slips, speaks, state, typed, written
from vlancheck.vids import WIRE, members
from vlancheck.walk.flood import What
from vlancheck.walk.walk import Step, Walk, walk
from vlancheck.wiring import Network
from vlancheck.writer import PortPlan, Wish, WriteError, plan_of

LEFT_OUT = "you left the lines out: that is what it was before them"
_LONGEST = 3  # lines that are pasted
_SENDERS, _TRIED = 12, 4  # senders and changes that are looked at for one exercise


def draw_pasted(ground: Ground, rng: Random) -> Spec | None:
    """Return what a question about lines is made of: sender, port whose far end is asked for, lines, lines meant."""
    survey = ground.survey
    if survey is None:
        return None
    known = [place for place in ground.network.peer if speaks(survey, split_place(place)[0])]
    if not known:
        return None
    at = rng.choice(sorted(known, key=natural))
    device, port = split_place(at)
    crossing = list(_crossing(ground, at, rng))
    wishes = list(_wishes(box(survey, device), port, ground.vids(at)))
    if not crossing or not wishes:
        return None
    sender, frame, vid = rng.choice(crossing)
    same = rng.random() < 0.1  # now and then, lines that do nothing to the frame
    dies = rng.random() < 0.3  # most lines that change its fate kill it
    rng.shuffle(wishes)
    wishes.sort(key=lambda one: one[1] >> vid & 1 == same)
    was = leaving(ground.network, sender, frame, at)
    for wish, _ in wishes[:_TRIED]:
        meant = lines_for(survey, device, wish)
        if not meant or len(meant) > _LONGEST:
            continue
        said = _slipped(survey, device, meant, rng)
        after = typed(survey, device, said)
        now = leaving(after.network, sender, frame, at) if after is not None else None
        if now is not None and (was == now) is same and (now != NOTHING or (dies and was != NOTHING)):
            return Spec(Topic.PASTED, ground.name, (sender, at, "\n".join(said), "\n".join(meant)), frame)
    return None


def _crossing(ground: Ground, at: str, rng: Random) -> Iterator[tuple[str, str, int]]:
    """Yield senders and frames that go out at a port, or stop there, with the VLAN that they are in then."""
    for sender in rng.sample(ground.senders, min(len(ground.senders), _SENDERS)):
        frame = ground.frame(sender, rng)
        walked = ground.walk(sender, frame, at)
        for step in walked.steps if walked is not None else ():
            if step.port == at and step.vid and step.what in (What.LEAVES, What.LOST):
                yield sender, frame, step.vid
                break


def make_pasted(ground: Ground, spec: Spec, rng: Random) -> Exercise | None:
    """Return the question what the far end gets of a frame once lines are pasted."""
    (sender, at, said, meant), frame = spec.places, spec.frame
    survey, device = ground.survey, split_place(at)[0]
    if survey is None or at not in ground.network.peer or not speaks(survey, device):
        return None
    lines = tuple(said.splitlines())
    after = typed(survey, device, lines)
    wished = typed(survey, device, meant.splitlines())
    if after is None or wished is None or state(after, device) == state(survey, device):
        return None

    def comes_to(network: Network) -> str | None:
        return leaving(network, sender, frame, at)

    right = comes_to(after.network)
    if right is None or comes_to(ground.network) is None:
        return None
    walks = [walk(network, sender, frame, at) for network in (ground.network, after.network)]
    before, told = (_told(one, at) for one in walks)
    if not told or not before:
        return None
    misread = [(LEFT_OUT, ground.network)]
    if said != meant:  # the likelier of the two: who reads what was meant overlooks the word that is not there
        as_meant = f"you took the lines as if they said: {written(meant.splitlines())}"
        misread.insert(0, (as_meant, wished.network))
    question = (
        f"These lines are pasted at {device}. Then {called(frame)} is sent into {sender}. What does the far end of "
        f"{at}, which is {ground.network.peer[at]}, get from it: which tag is on the wire?"
    )
    return Exercise(
        spec, ground, after.network, question, Form.FRAME, (), right, comes_to, None, walks[1], told,
        boxes(ground, (*walks[0].steps, *walks[1].steps), at, ground.network.peer[at]), hops(told),
        was=ground.network, before=before, printed=lines, misread=tuple(misread),
    )  # fmt: skip


def _told(walked: Walk, at: str) -> tuple[Step, ...]:
    """Return the steps that lead to a port, or where the frame does not get there to where it dies."""
    found = chain(walked.steps, lambda step: step.port == at and step.what in (What.LEAVES, What.LOST))
    return found or chain(walked.steps, lambda step: step.what is What.LOST)


def _wishes(device: Device, port: str, known: tuple[int, ...]) -> Iterator[tuple[Wish, int]]:
    """Yield changes of a port, or of a VLAN that it carries, and the VIDs of which they change something or may."""
    try:
        now = plan_of(device, port)
    except WriteError:
        return
    for vid in known:
        bit = 1 << vid
        if now.untagged == vid:
            continue
        if now.tagged & bit:
            yield Wish(delete=bit), bit
            if now.tagged & ~bit:
                yield Wish(ports=(PortPlan(port, now.untagged, now.tagged & ~bit),)), now.tagged
        else:
            yield Wish(ports=(PortPlan(port, now.untagged, now.tagged | bit),)), now.tagged | bit
        # An untagged VLAN that gives way is carried with its tag from then on.
        before = 1 << now.untagged if now.untagged else 0
        yield Wish(ports=(PortPlan(port, vid, now.tagged & ~bit | before),)), bit | before
    for bridge in device.bridges.values():
        for vid in members(now.tagged & ~bridge.exists.possible & WIRE):
            yield Wish(create=1 << vid), 1 << vid


def _slipped(survey: Survey, device: str, meant: tuple[str, ...], rng: Random) -> tuple[str, ...]:
    """Return the lines, or now and then lines with a word left out that the box takes and that do something else."""
    if rng.random() < 0.3:
        return meant
    others = (state(survey, device), state(survey, device, meant), None)
    found = [one for one in slips(meant) if state(survey, device, one) not in others]
    return rng.choice(found) if found else meant
