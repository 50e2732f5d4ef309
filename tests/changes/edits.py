"""Random edits of a random wiring: what people do to a closet between two surveys.

A wiring with the names its boundary ports go by in, another one out; every edit is one thing that somebody changed.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from random import Random
from typing import Any, NamedTuple

from reference.shapes import POOL, WHY
from reference.wirings import Wiring

from vlancheck.dot1q.model import BridgePort, Device, PortKind
from vlancheck.dot1q.tags import C_TAG, S_TAG
from vlancheck.evidence import Cover, Fact, State


class Surveyed(NamedTuple):
    """One survey: a wiring, and what hangs where."""

    wiring: Wiring
    names: Mapping[str, str]  # DEVICE:PORT -> the place by whose name its cord's far end goes; itself when not here

    def name(self, place: str) -> str:
        """Return what a boundary port is known by in both surveys."""
        return self.names.get(place, place)


def edited(survey: Surveyed, boundary: tuple[str, ...], rng: Random) -> tuple[Surveyed, tuple[str, ...]]:
    """Return the survey after up to three edits, and what they were."""
    done = []
    for _ in range(rng.choice((1, 1, 1, 2, 3))):
        edit = rng.choice(EDITS)
        made = edit(survey, boundary, rng)
        done.append(edit.__name__.strip("_") if made is not None else "nothing")
        survey = made or survey
    return survey, tuple(done)


# ---- a bridge port's sets ------------------------------------------------------------------------------------------


def _other_pvid(survey: Surveyed, _: tuple[str, ...], rng: Random) -> Surveyed | None:
    return _at_a_bridge_port(survey, rng, lambda one: replace(one, pvid=Fact(rng.choice((None, *POOL)), WHY)))


def _other_members(survey: Surveyed, _: tuple[str, ...], rng: Random) -> Surveyed | None:
    return _at_a_bridge_port(survey, rng, lambda one: replace(one, member=_toggled(one.member, rng)))


def _other_untagged(survey: Surveyed, _: tuple[str, ...], rng: Random) -> Surveyed | None:
    return _at_a_bridge_port(survey, rng, lambda one: replace(one, untagged=_toggled(one.untagged, rng)))


def _other_admitted(survey: Surveyed, _: tuple[str, ...], rng: Random) -> Surveyed | None:
    return _at_a_bridge_port(survey, rng, lambda one: replace(one, admit=_toggled(one.admit, rng)))


def _trunk_line_edited(survey: Surveyed, _: tuple[str, ...], rng: Random) -> Surveyed | None:
    """Change what a list of a trunk changes: what may enter and what may leave."""
    vid = rng.choice(POOL)

    def write(one: BridgePort) -> BridgePort:
        return replace(one, admit=_flipped(one.admit, vid), member=_flipped(one.member, vid))

    return _at_a_bridge_port(survey, rng, write)


def _made_access(survey: Surveyed, _: tuple[str, ...], rng: Random) -> Surveyed | None:
    vid = rng.choice(POOL)
    one_vlan = Cover.of(1 << vid, WHY)
    plain = {"admit": one_vlan, "member": one_vlan, "untagged": one_vlan, "entry": (), "exit": ()}
    return _at_a_bridge_port(survey, rng, lambda one: replace(one, pvid=Fact(vid, WHY), **plain))


def _rows_gone(survey: Surveyed, _: tuple[str, ...], rng: Random) -> Surveyed | None:
    return _at_a_bridge_port(survey, rng, lambda one: replace(one, **{rng.choice(("entry", "exit")): ()}))


def _other_tpid(survey: Surveyed, _: tuple[str, ...], rng: Random) -> Surveyed | None:
    def write(one: BridgePort) -> BridgePort:
        tpid = rng.choice((C_TAG, S_TAG))
        return replace(one, tpids=frozenset({tpid}), sends=tpid)

    return _at_a_bridge_port(survey, rng, write)


# ---- boxes and ports -------------------------------------------------------------------------------------------------


def _other_vlans(survey: Surveyed, _: tuple[str, ...], rng: Random) -> Surveyed | None:
    def write(device: Device) -> Device:
        name = rng.choice(sorted(device.bridges))
        bridge = device.bridges[name]
        return replace(device, bridges={**device.bridges, name: replace(bridge, exists=_toggled(bridge.exists, rng))})

    return _at_a_device(survey, rng, write, lambda device: bool(device.bridges))


def _port_shut_or_opened(survey: Surveyed, _: tuple[str, ...], rng: Random) -> Surveyed | None:
    def write(device: Device) -> Device:
        port = device.ports[rng.choice(sorted(device.ports))]
        shut = replace(port, up=Fact(port.up.value is not True, WHY))
        return replace(device, ports={**device.ports, port.name: shut})

    return _at_a_device(survey, rng, write, lambda device: bool(device.ports))


def _end_shut_or_opened(survey: Surveyed, _: tuple[str, ...], rng: Random) -> Surveyed | None:
    def write(device: Device) -> Device:
        end = device.ends[rng.choice(sorted(device.ends))]
        return replace(device, ends={**device.ends, end.name: replace(end, up=Fact(end.up.value is not True, WHY))})

    return _at_a_device(survey, rng, write, lambda device: bool(device.ends))


# ---- cords -----------------------------------------------------------------------------------------------------------


def _uplinks_swapped(survey: Surveyed, _: tuple[str, ...], rng: Random) -> Surveyed | None:
    links = list(survey.wiring.links)
    if len(links) < 2:
        return None
    one, other = rng.sample(range(len(links)), 2)
    (a, b), (c, d) = links[one], links[other]
    if a == b or c == d:
        return None
    links[one], links[other] = (a, d), (c, b)
    return survey._replace(wiring=survey.wiring._replace(links=tuple(links)))


def _uplink_gone(survey: Surveyed, _: tuple[str, ...], rng: Random) -> Surveyed | None:
    links = list(survey.wiring.links)
    if not links:
        return None
    links.pop(rng.randrange(len(links)))
    return survey._replace(wiring=survey.wiring._replace(links=tuple(links)))


def _uplink_new(survey: Surveyed, boundary: tuple[str, ...], rng: Random) -> Surveyed | None:
    used = {place for link in survey.wiring.links for place in link}
    inside = {
        f"{device.name}:{port.name}"
        for device in survey.wiring.devices
        for port in device.ports.values()
        if port.kind is PortKind.INSIDE
    }
    free = [place for place in boundary if place not in used | inside]
    if len(free) < 2:
        return None
    return survey._replace(wiring=survey.wiring._replace(links=(*survey.wiring.links, tuple(rng.sample(free, 2)))))


def _cords_swapped(survey: Surveyed, boundary: tuple[str, ...], rng: Random) -> Surveyed | None:
    if len(boundary) < 2:
        return None
    one, other = rng.sample(boundary, 2)
    return survey._replace(names={**survey.names, one: survey.name(other), other: survey.name(one)})


def _nothing(survey: Surveyed, _: tuple[str, ...], rng: Random) -> Surveyed | None:
    return None


EDITS: tuple[Callable[[Surveyed, tuple[str, ...], Random], Surveyed | None], ...] = (
    _nothing,
    _other_pvid,
    _other_members,
    _other_members,
    _other_untagged,
    _other_admitted,
    _trunk_line_edited,
    _trunk_line_edited,
    _made_access,
    _rows_gone,
    _other_tpid,
    _other_vlans,
    _other_vlans,
    _port_shut_or_opened,
    _end_shut_or_opened,
    _uplinks_swapped,
    _uplink_gone,
    _uplink_new,
    _cords_swapped,
    _cords_swapped,
)


# ---- how an edit is made ---------------------------------------------------------------------------------------------


def _at_a_bridge_port(survey: Surveyed, rng: Random, write: Callable[[BridgePort], BridgePort]) -> Surveyed | None:
    def written(device: Device) -> Device:
        name = rng.choice(sorted(device.bridge_ports))
        return replace(device, bridge_ports={**device.bridge_ports, name: write(device.bridge_ports[name])})

    return _at_a_device(survey, rng, written, lambda device: bool(device.bridge_ports))


def _at_a_device(
    survey: Surveyed, rng: Random, write: Callable[[Device], Device], fits: Callable[[Device], bool]
) -> Surveyed | None:
    fitting = [number for number, device in enumerate(survey.wiring.devices) if fits(device)]
    if not fitting:
        return None
    devices = list(survey.wiring.devices)
    chosen = rng.choice(fitting)
    devices[chosen] = write(devices[chosen])
    return survey._replace(wiring=survey.wiring._replace(devices=tuple(devices)))


def _toggled(cover: Cover, rng: Random) -> Cover:
    """Return a cover in which one VID, or each of two, is the other way round."""
    for vid in rng.sample(POOL, rng.choice((1, 1, 2))):
        cover = _flipped(cover, vid)
    return cover


def _flipped(cover: Cover, vid: int) -> Cover:
    return cover.write(1 << vid, State.OUT if cover.sure >> vid & 1 else State.IN, WHY)


def frames_of(forms: tuple[tuple[int, ...], ...], rng: Random, pairs: int) -> Iterator[tuple[tuple[int, int], ...]]:
    """Yield stacks of (TPID, VID): untagged, each VID in use and the null VID in every TPID in use, and some pairs.

    Of two tags with one and the same VID the relation says more than it has to; they are not drawn.
    """
    yield ()
    vids = (0, *POOL, 40)
    for form in forms:
        if len(form) == 1:
            yield from (((form[0], vid),) for vid in vids)
    deep: list[Any] = [form for form in forms if len(form) == 2]
    for _ in range(pairs if deep else 0):
        outer, inner = rng.choice(deep)
        one, other = rng.sample(vids, 2)
        yield (outer, one), (inner, other)
