"""A port of a survey in, which frames it takes, in which VLAN they are and what is declared of it out."""

from __future__ import annotations

from collections.abc import Iterator

from vlancheck.dot1q.model import BridgePort
from vlancheck.dot1q.tags import C_TAG, Frame, Tag, format_frame
from vlancheck.evidence import UNKNOWN
from vlancheck.moves.worksheets.scene import Scene
from vlancheck.places import split_place
from vlancheck.verdicts.verdict import EndingVerdict, State, Verdict
from vlancheck.vids import WIRE, members, text
from vlancheck.wiring.network import NOT_WALKED

UNPROVEN = "unproven"
_ONE_BY_ONE = 6  # tagged VLANs of a port that are told one by one


def frames(scene: Scene, places: tuple[str, ...]) -> str:
    """Return each frame at the port of a cord with the VLAN it is in and what that is called.

    What nothing that was read decides is `unproven`.
    """
    told: list[str] = []
    for place in places:
        device, name = split_place(scene.network.stands_for.get(place, place))
        box = scene.network.devices.get(device)
        seen = box is not None and box.kind not in NOT_WALKED  # what nobody can look into says nothing of frames
        for port in box.bridge_ports.values() if box and seen else ():
            if port.port == name:
                told += _frames(scene, f"{device}:{name}", port)
    if not told:
        boxes = [split_place(place)[0] for place in places]
        absent = [box for box in boxes if box in scene.boxes.absent]
        dark = [box for box in boxes if box in scene.boxes.devices and scene.boxes.devices[box].kind in NOT_WALKED]
        if absent:
            return f"{UNPROVEN}: there is no capture of {absent[0]}"
        return f"{UNPROVEN}: nobody can look into {dark[0]}" if dark else f"{UNPROVEN}: no port is known"
    return "; ".join(dict.fromkeys(told))


def declared(scene: Scene, places: tuple[str, ...], names: tuple[str, ...]) -> str:
    """Return what is declared to come out at a place, each with what the model says of it."""
    ports = {scene.case.ground.judged_at(place) for place in places if place in _known(scene)} - {""}
    told = [
        f"{verdict.order.name} {ending.frame}: {said(ending)}"
        for verdict, ending in endings(scene)
        if ending.at in ports or (not ending.at and ending.stop.name in names)
    ]
    return "; ".join(dict.fromkeys(told)) or "nothing is declared here"


def endings(scene: Scene) -> Iterator[tuple[Verdict, EndingVerdict]]:
    """Yield everything that must come out somewhere."""
    for verdict in scene.case.verdicts:
        for ending in verdict.endings:
            yield verdict, ending


def said(ending: EndingVerdict) -> str:
    """Return the state of an ending; why, where it is no pass."""
    if ending.state is State.CARRIED or ending.reason is None:
        return ending.state.value
    return f"{ending.state.value} ({ending.reason.words})"


def _known(scene: Scene) -> set[str]:
    return {f"{box.name}:{port}" for box in scene.network.devices.values() for port in box.ports} | {
        *scene.network.stands_for
    }


def _frames(scene: Scene, place: str, port: BridgePort) -> Iterator[str]:
    if port.doubt:
        yield f"{UNPROVEN}: {port.doubt[0].text}"
        return
    if port.pvid.value is UNKNOWN:
        yield f"untagged: {UNPROVEN}"
    elif port.pvid.value is not None:
        yield _told(scene, place, (), port.pvid.value)
    box = scene.network.devices[split_place(place)[0]]
    there = box.bridges[port.bridge].exists
    tagged = port.admit.sure & port.member.sure & ~port.untagged.possible & there.sure & WIRE
    maybe = port.admit.possible & port.member.possible & ~port.untagged.sure & there.possible & WIRE & ~tagged
    if tagged.bit_count() > _ONE_BY_ONE:
        yield f"tagged {text(tagged)}: in the VLAN of that number, where no rule maps it"
    else:
        for vid in members(tagged):
            yield _told(scene, place, (Tag(C_TAG, vid),), vid)
    if maybe:
        yield f"tagged {text(maybe)}: {UNPROVEN}"


def _told(scene: Scene, place: str, frame: Frame, vid: int) -> str:
    """Return a frame with its relay VID; a rewriting port may put it into another than the one it would be in."""
    first = scene.case.ground.reasons.first_vid(place, frame)
    inside = vid if first is None else first
    name = scene.called.get(inside, "not declared")
    return f"{format_frame(frame)} -> VLAN {inside} {name}"
