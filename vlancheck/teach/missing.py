"""Exercises about one missing line: a network in which something arrives, with one setting of a box taken away."""

from __future__ import annotations

from collections.abc import Iterator
from random import Random
from typing import NamedTuple

from vlancheck.dot1q.model import Device
from vlancheck.dot1q.rules import Rule
from vlancheck.pipeline import Survey
from vlancheck.places import split_place
from vlancheck.teach.exercise import Exercise, Form, Spec, Topic, chain, hops
from vlancheck.teach.frames import called, draw_arriving, fate
from vlancheck.teach.ground import Ground, whole
from vlancheck.teach.typing import box, lines_for, typed, written
from vlancheck.walk.flood import What
from vlancheck.walk.walk import walk
from vlancheck.wiring import Network
from vlancheck.writer import PortPlan, Wish, WriteError, plan_of

_CHOICES = 4
_WAYS = 8  # ways that are drawn until a frame arrives
_TRIED = 24  # lines that are looked at for one exercise
_LONGEST = 2  # lines in one answer: the line, and the one under which it stands
WHATS = ("vlan", "tagged", "untagged")


class Setting(NamedTuple):
    """One setting that a port or a box may have or lack."""

    what: str  # one of WHATS
    place: str  # DEVICE:PORT; of a VLAN that a box has, the device
    vid: int

    @property
    def device(self) -> str:
        """The box that it is a setting of."""
        return split_place(self.place)[0] if self.what != "vlan" else self.place

    def wish(self, device: Device, *, there: bool) -> Wish | None:
        """Return what puts the setting there or takes it away; None where no port can have it."""
        bit = 1 << self.vid
        if self.what == "vlan":
            return Wish(create=bit) if there else Wish(delete=bit)
        try:
            now = plan_of(device, split_place(self.place)[1])
        except WriteError:
            return None
        tagged = now.tagged & ~bit
        if self.what == "untagged":
            # Without its line an access port is in the VLAN that a new box has; a trunk carries the VLAN tagged.
            without = PortPlan(now.port, None, now.tagged | bit) if now.tagged else PortPlan(now.port, 1)
            return Wish(ports=(PortPlan(now.port, self.vid, tagged) if there else without,))
        if now.untagged == self.vid or not (there or tagged):
            return None
        return Wish(ports=(PortPlan(now.port, now.untagged, now.tagged | bit if there else tagged),))


def without(survey: Survey, setting: Setting) -> Survey | None:
    """Return a survey with one setting taken away; None where no line of the family does it."""
    wish = setting.wish(box(survey, setting.device), there=False)
    lines = lines_for(survey, setting.device, wish) if wish else ()
    return typed(survey, setting.device, lines, f"taken away at {setting.device}") if lines else None


def draw_missing(ground: Ground, rng: Random) -> Spec | None:
    """Return what a question about a missing line is made of: sender, target, and what is taken away."""
    if ground.survey is None:
        return None
    ways = (draw_arriving(ground, rng) for _ in range(_WAYS))
    way = next((one for one in ways if one is not None), None)
    if way is None:
        return None
    found = list(_settings(ground, way.places, way.frame))
    rng.shuffle(found)
    for one in found[:6]:
        if _captured(ground.survey, one.device) and without(ground.survey, one) is not None:
            places = (*way.places, one.what, one.place, str(one.vid))
            return Spec(Topic.MISSING, ground.name, places, way.frame)
    return None


def make_missing(ground: Ground, spec: Spec, rng: Random) -> Exercise | None:
    """Return the question which one line is missing, where exactly one of the choices makes the frame arrive."""
    (sender, target, *_), frame = spec.places, spec.frame
    missing = _setting(ground, spec)
    path = ground.path(sender, target)
    if missing is None or ground.survey is None or not path:
        return None
    broken = without(ground.survey, missing)
    if broken is None or not _dies(broken.network, path, frame):
        return None
    mending = _typed(broken, missing)
    if mending is None:
        return None
    right, mended = mending
    mends: dict[str, Network] = {}
    others = list(dict.fromkeys(_around(ground, path, missing)))
    rng.shuffle(others)
    for one in others[:_TRIED]:
        made = _typed(broken, one) if len(mends) < _CHOICES - 1 else None
        if made is not None and made[0] not in mends and _reaches(made[1], sender, target, frame) is False:
            mends[made[0]] = made[1]
    if len(mends) < 2 or right in mends:
        return None
    mends[right] = mended
    choices = sorted(mends)
    rng.shuffle(choices)

    def arrives(network: Network) -> bool:
        return (fate(network, path, frame) or "").startswith("it arrives")

    def comes_to(network: Network) -> str | None:
        found = [word for word in choices if arrives(mends[word])]
        return found[0] if len(found) == 1 and not arrives(network) else None

    if comes_to(broken.network) != right:
        return None
    walked = walk(broken.network, sender, frame, target)
    told = chain(
        walked.steps, lambda step: step.what is What.LOST and step.port in path and step.rule is not Rule.NOWHERE
    )
    if not told:
        return None
    question = (
        f"{called(frame).capitalize()} that is sent into {sender} should reach {target}, and does not. "
        "One line is missing. Which of these, typed at its box, makes it arrive?"
    )
    return Exercise(
        spec, ground, broken.network, question, Form.CHOICE, tuple(choices), right, comes_to, arrives, walked, told,
        tuple(dict.fromkeys(one.partition(":")[0] for one in path)), hops(told), mends,
    )  # fmt: skip


def _setting(ground: Ground, spec: Spec) -> Setting | None:
    """Return what is missing, as it is kept; None where it is no setting of this ground."""
    what, place, vid = spec.places[2:]
    if what not in WHATS or not (vid.isascii() and vid.isdecimal() and 0 < int(vid) < 4095) or ground.survey is None:
        return None
    made = Setting(what, place, int(vid))
    known = ground.network.devices.get(made.device)
    there = known is not None and (what == "vlan" or split_place(place)[1] in known.ports)
    return made if there and _captured(ground.survey, made.device) else None


def _captured(survey: Survey, device: str) -> bool:
    return any(one.name == device for one in survey.reading.devices)


def _typed(survey: Survey, setting: Setting) -> tuple[str, Network] | None:
    """Return the lines for a setting as one answer, and the network with them; None where there are none."""
    if not _captured(survey, setting.device):
        return None
    wish = setting.wish(box(survey, setting.device), there=True)
    lines = lines_for(survey, setting.device, wish) if wish else ()
    if not lines or len(lines) > _LONGEST or (after := typed(survey, setting.device, lines)) is None:
        return None
    return f"{setting.device}: {written(lines)}", after.network


def _dies(network: Network, path: tuple[str, ...], frame: str) -> bool:
    return (fate(network, path, frame) or "it arrives")[:10] != "it arrives"


def _reaches(network: Network, sender: str, target: str, frame: str) -> bool | None:
    """Tell whether a frame arrives, in whatever form; None where that is not known."""
    walked = walk(network, sender, frame)
    return any(one.port == target for one in walked.deliveries) if whole(walked) else None


def _settings(ground: Ground, way: tuple[str, ...], frame: str) -> Iterator[Setting]:
    """Yield the settings by which a frame that arrives is carried."""
    path = ground.path(way[0], way[1])
    for step in walk(ground.network, way[0], frame).steps:
        if step.port not in path or step.vid is None or not 0 < step.vid < 4095:
            continue
        if step.what is What.ENTERS:
            yield Setting("vlan", split_place(step.port)[0], step.vid)
        if step.rule in (Rule.TAGGED_IN, Rule.TAGGED_OUT):
            yield Setting("tagged", step.port, step.vid)
        elif step.rule in (Rule.PVID_IN, Rule.UNTAGGED_OUT):
            yield Setting("untagged", step.port, step.vid)


def _around(ground: Ground, path: tuple[str, ...], missing: Setting) -> Iterator[Setting]:
    """Yield settings on the way that a choice may name beside the missing one."""
    for place in path:
        yield Setting("vlan", split_place(place)[0], missing.vid)
        for vid in (missing.vid, *ground.vids(place)[:3]):
            yield Setting("tagged", place, vid)
            yield Setting("untagged", place, vid)
