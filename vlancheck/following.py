"""A survey in; the walks that are shown on a page, each with its drawings, and those there is no room for, out."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from vlancheck.answering import trusted
from vlancheck.dot1q.tags import C_TAG, Frame, Tag, format_frame
from vlancheck.drawing.footprints import Trail, trail
from vlancheck.drawing.gathering import gather
from vlancheck.drawing.picture import Picture
from vlancheck.pipeline import Site, Survey
from vlancheck.places import natural, split_place
from vlancheck.site.boxes import Boxes
from vlancheck.site.frames import SAME, Tags
from vlancheck.site.placed import PlacedEnding
from vlancheck.walk.walk import Walk, entry_vid, walk
from vlancheck.wiring.network import Network

MOST, ALL = 160, 2400  # footprints of one walk, and of all that are on one page
_Ask = tuple[str, Frame]  # from a port, a frame
_Sort = tuple[str, int | None]  # the box where a frame is sent, and the VLAN that it gets there


@dataclass(frozen=True, slots=True)
class Sent:
    """A frame at a port: a question that a walk answers."""

    port: str  # DEVICE:PORT
    frame: str  # as it is written
    why: str  # what is ordered or plugged in there


@dataclass(frozen=True, slots=True)
class Followed:
    """The walks of one survey."""

    survey: str  # its name
    before: str  # name of the earlier survey, beside which it is trusted less; "" none
    trails: tuple[tuple[Sent, Trail], ...]  # what enters first, then by box and port
    left: tuple[Sent, ...]  # what there is no room for
    distrusted: Mapping[str, str]  # device -> why nothing that its capture says is believed


def followed(site: Site, survey: Survey, before: Survey | None = None, most: int = MOST, every: int = ALL) -> Followed:
    """Return what services send in and what the things at the cords send, as far as there is room.

    One port of each box and VLAN is shown before a second one alike.  Beside a survey `before` it trusts
    what a verification against that trusts.
    """
    if before is not None:
        survey, _ = trusted(site, before, survey)
    network = survey.network
    asked: dict[_Ask, Sent] = {}
    for sent, frame in _asked(survey.boxes, network):
        asked.setdefault((sent.port, frame), sent)
    walks = _fitting(network, asked, most, every)
    picture = _picture(site, survey)
    return Followed(
        survey.name,
        before.name if before else "",
        tuple((sent, _trail(survey, picture, walks[one])) for one, sent in asked.items() if one in walks),
        tuple(sent for one, sent in asked.items() if one not in walks),
        {device: origins[0].text for device, origins in survey.distrusted.items()},
    )


def traced(site: Site, survey: Survey, walked: Walk) -> Trail:
    """Return one walk with its drawings, however long it is."""
    return _trail(survey, _picture(site, survey), walked)


def _fitting(network: Network, asked: Iterable[_Ask], most: int, room: int) -> dict[_Ask, Walk]:
    """Return the walks there is room for: one of each sort, then others of the same sorts."""
    firsts: dict[_Sort, _Ask] = {}
    others: list[tuple[_Sort, _Ask]] = []
    for port, frame in asked:
        sort = split_place(port)[0], entry_vid(network, port, frame)
        if firsts.setdefault(sort, (port, frame)) != (port, frame):
            others.append((sort, (port, frame)))
    walks: dict[_Ask, Walk] = {}
    long: set[_Sort] = set()  # sorts of which one was too long: the others are like it
    for sort, (port, frame) in (*firsts.items(), *others):
        if sort in long:
            continue
        walked = walk(network, port, frame)
        if walked.length > min(most, room):
            long.add(sort)
            continue
        room -= walked.length
        walks[port, frame] = walked
    return walks


def _picture(site: Site, survey: Survey) -> Picture:
    return gather(site.name, survey.boxes, survey.network)


def _trail(survey: Survey, picture: Picture, walked: Walk) -> Trail:
    boxes = survey.boxes
    hangs = {}
    for place, found in boxes.endpoints.items():
        words = ", ".join(dict.fromkeys(part for part in (found.at, found.text) if part))
        hangs[survey.network.stands_for.get(place, place)] = words
    return trail(walked, picture, boxes.devices, hangs)


def _asked(boxes: Boxes, network: Network) -> Iterator[tuple[Sent, Frame]]:
    """Yield what services send in where they enter, then by box and port what comes from there."""
    entering: dict[str, dict[Frame, str]] = {}
    for service in boxes.placed.services:
        frame = _first(service.declared.tag, service.declared.inner)
        for spot in service.enters:
            entering.setdefault(spot.place, {}).setdefault(frame, f"service {service.declared.name}")
    back: dict[str, dict[Frame, str]] = {}
    for service in boxes.placed.services:
        for ending in service.endings:
            own = _first(service.declared.tag, None) if ending.frame is SAME else ()
            _note(back, ending, own, f"service {service.declared.name}")
    for vlan in boxes.placed.vlans:
        for ending in vlan.endings:
            _note(back, ending, (Tag(C_TAG, vlan.declared.vid),), f"VLAN {vlan.declared.vid} {vlan.declared.name}")
    for place in boxes.endpoints:
        back.setdefault(place, {(): ""})
    for place, frames in (*entering.items(), *((place, back[place]) for place in sorted(back, key=natural))):
        port = network.stands_for.get(place, place)
        device, name = split_place(port)
        if device in network.devices and name in network.devices[device].ports:
            for frame, why in frames.items():
                yield Sent(port, format_frame(frame), why), frame


def _note(found: dict[str, dict[Frame, str]], ending: PlacedEnding, own: Frame, why: str) -> None:
    """Note the frame of an ending at its port: that of the interface there, the declared one, else its `own`."""
    declared = ending.frame if isinstance(ending.frame, tuple) else own
    found.setdefault(ending.spot.place, {}).setdefault(ending.spot.frame or declared, why.strip())


def _first(tags: Tags, inner: Tags | None) -> Frame:
    """Return the first of the frames that are ordered, around the first of the inner ones."""
    outer = next(tags.frames(), ())
    return outer + next(inner.frames(), ()) if inner else outer
