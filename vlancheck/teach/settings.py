"""Exercises about one missing setting: a network in which something arrives, with one setting taken away."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from random import Random
from typing import NamedTuple

from vlancheck.dot1q.model import BridgePort
from vlancheck.dot1q.rules import Rule
from vlancheck.evidence import Fact, State, assumed
from vlancheck.places import split_place
from vlancheck.teach.exercise import Exercise, Form, Spec, Topic, chain, hops
from vlancheck.teach.frames import called, draw_arriving, fate
from vlancheck.teach.ground import Ground
from vlancheck.teach.mistakes import rebuilt
from vlancheck.walk.flood import What
from vlancheck.walk.walk import walk
from vlancheck.wiring import Network

_TAKEN = assumed("taken away for this exercise")
_PUT = assumed("a setting of this exercise")
_CHOICES = 4


class Setting(NamedTuple):
    """One setting that a port or a box may have or lack."""

    what: str  # `vlan`, `out`, `in` or `pvid`
    place: str  # DEVICE:PORT; of a VLAN that a box has, the device
    vid: int

    def __str__(self) -> str:
        match self.what:
            case "vlan":
                return f"{self.place}: the box has VLAN {self.vid}"
            case "out":
                return f"{self.place}: the port sends VLAN {self.vid} (is a member of it)"
            case "pvid":
                return f"{self.place}: untagged frames get VLAN {self.vid} (its PVID)"
            case _:
                return f"{self.place}: the port accepts tag {self.vid}"


def with_setting(network: Network, setting: Setting, *, there: bool) -> Network:
    """Return a network with one setting put there, or taken away."""
    state, why = (State.IN, _PUT) if there else (State.OUT, _TAKEN)
    device, _ = split_place(setting.place)
    box = network.devices[device]
    bit = 1 << setting.vid
    if setting.what == "vlan":
        bridges = {name: replace(one, exists=one.exists.write(bit, state, why)) for name, one in box.bridges.items()}
        changed = replace(box, bridges=bridges)
    else:

        def set_one(one: BridgePort) -> BridgePort:
            if f"{device}:{one.port}" != setting.place:
                return one
            if setting.what == "out":
                return replace(one, member=one.member.write(bit, state, why))
            if setting.what == "pvid":
                return replace(one, pvid=Fact(setting.vid if there else None, why))
            return replace(one, admit=one.admit.write(bit, state, why))

        changed = replace(box, bridge_ports={name: set_one(one) for name, one in box.bridge_ports.items()})
    return rebuilt(network, [changed if one is box else one for one in network.devices.values()])


def draw_missing(ground: Ground, rng: Random) -> Spec | None:
    """Return what a question about a missing setting is made of: sender, target, and what is taken away."""
    if (way := draw_arriving(ground, rng)) is None or not _arrives(ground.network, ground, way.places, way.frame):
        return None
    found = list(_settings(ground, way.places, way.frame))
    rng.shuffle(found)
    for one in found[:6]:
        if not _arrives(with_setting(ground.network, one, there=False), ground, way.places, way.frame):
            places = (*way.places, one.what, one.place, str(one.vid))
            return Spec(Topic.MISSING, ground.name, places, way.frame)
    return None


def make_missing(ground: Ground, spec: Spec, rng: Random) -> Exercise | None:
    """Return the question which one setting is missing, where exactly one of the choices mends it."""
    (sender, target, what, place, vid), frame = spec.places, spec.frame
    way = (sender, target)
    path = ground.path(*way)
    missing = Setting(what, place, int(vid))
    if not path or not _arrives(ground.network, ground, way, frame):
        return None
    broken = with_setting(ground.network, missing, there=False)
    lost = fate(broken, path, frame)
    if lost is None or lost.startswith("it arrives"):
        return None
    named = {str(one): one for one in _settings(ground, way, frame)}
    if str(missing) not in named:
        return None
    others = [word for word in named if word != str(missing) and not _has(broken, named[word])]
    # Settings that are there already are no answer; others of the boxes on the way fill the list.
    others += [str(one) for one in _around(ground, path, missing) if not _has(broken, one)]
    named.update({str(one): one for one in _around(ground, path, missing)})
    others = sorted(set(others) - {str(missing)})

    def arrives(network: Network, choice: str) -> bool:
        return _arrives(with_setting(network, named[choice], there=True), ground, way, frame)

    others = [word for word in others if not arrives(broken, word)]
    rng.shuffle(others)
    if len(others) < 2:
        return None
    choices = [str(missing), *others[: _CHOICES - 1]]
    rng.shuffle(choices)

    def comes_to(network: Network) -> str | None:
        if _arrives(network, ground, way, frame):
            return None
        mending = [word for word in choices if arrives(network, word)]
        return mending[0] if len(mending) == 1 else None

    if comes_to(broken) != str(missing):
        return None
    walked = walk(broken, sender, frame, target)
    told = chain(
        walked.steps, lambda step: step.what is What.LOST and step.port in path and step.rule is not Rule.NOWHERE
    )
    if not told:
        return None
    question = (
        f"{called(frame).capitalize()} that is sent into {sender} should reach {target}, and does not. "
        "One setting is missing. Which of these makes it arrive?"
    )
    return Exercise(
        spec, ground, broken, question, Form.CHOICE, tuple(choices), str(missing), comes_to, arrives, walked, told,
        tuple(dict.fromkeys(one.partition(":")[0] for one in path)), hops(told),
    )  # fmt: skip


def _arrives(network: Network, ground: Ground, way: tuple[str, ...], frame: str) -> bool:
    path = ground.path(way[0], way[1])
    return bool(path) and (fate(network, path, frame) or "").startswith("it arrives")


def _settings(ground: Ground, way: tuple[str, ...], frame: str) -> Iterator[Setting]:
    """Yield the settings by which a frame that arrives is carried."""
    path = ground.path(way[0], way[1])
    walked = walk(ground.network, way[0], frame)
    for step in walked.steps:
        if step.port not in path or step.vid is None or step.vid > 4094:
            continue
        if step.what is What.ENTERS:
            yield Setting("vlan", split_place(step.port)[0], step.vid)
            if step.rule is Rule.TAGGED_IN:
                yield Setting("in", step.port, step.vid)
            elif step.rule is Rule.PVID_IN:
                yield Setting("pvid", step.port, step.vid)
        elif step.what is What.LEAVES:
            yield Setting("out", step.port, step.vid)


def _around(ground: Ground, path: tuple[str, ...], missing: Setting) -> Iterator[Setting]:
    """Yield settings on the way that a choice may name beside the missing one."""
    for place in path:
        device, port = split_place(place)
        box = ground.network.devices[device]
        if not any(one.port == port for one in box.bridge_ports.values()):
            continue
        yield Setting("vlan", device, missing.vid)
        for vid in (missing.vid, *ground.vids(place)[:3]):
            yield Setting("out", place, vid)
            yield Setting("in", place, vid)
            yield Setting("pvid", place, vid)


def _has(network: Network, setting: Setting) -> bool:
    device, port = split_place(setting.place)
    box = network.devices[device]
    if setting.what == "vlan":
        return any(one.exists.sure >> setting.vid & 1 for one in box.bridges.values())
    ports = [one for one in box.bridge_ports.values() if one.port == port]
    if setting.what == "pvid":
        return any(one.pvid.value == setting.vid for one in ports)
    return any((one.member if setting.what == "out" else one.admit).sure >> setting.vid & 1 for one in ports)
