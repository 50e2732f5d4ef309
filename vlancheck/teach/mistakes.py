"""Mistakes of one rule: a network in, the network of somebody who has that one rule wrong out."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from enum import Enum
from types import MappingProxyType
from typing import TypeVar
from weakref import WeakKeyDictionary

from vlancheck.dot1q.model import Bridge, BridgePort, Device, Port, Rewrite, TagMatch
from vlancheck.evidence import UNKNOWN, Cover, Fact, assumed
from vlancheck.vids import EVERY, WIRE
from vlancheck.wiring import Network

_WRONG = assumed("taken wrongly, to see what would come of it")
_ALL, _NONE, _TAG_VIDS = Cover.of(EVERY, _WRONG), Cover.of(0, _WRONG), Cover.of(WIRE, _WRONG)
_YES = Fact(True, _WRONG)
T = TypeVar("T", BridgePort, Bridge, Port)


class Mistake(Enum):
    """One rule taken wrongly: how it is called, and what is said of it."""

    TAKES_TAGS = "takes-tags", "you let a port take a tag that it does not accept"
    PORT_WINS = "port-wins", "you gave a tagged frame the PVID of the port: a frame's own tag comes first"
    FAR_PVID = "far-pvid", "you took the PVID of the other end of the cord: the port where the frame arrives decides"
    PVID_ONE = "pvid-one", "you gave frames without a tag VLAN 1: they get the PVID of the port"
    KEEPS_TAG = "keeps-tag", "you let a VLAN leave with its tag where the port sends it untagged"
    LOSES_TAG = "loses-tag", "you let a port take off a tag that it keeps"
    NEEDS_NO_VLAN = "needs-no-vlan", "you forgot that the box itself must have the VLAN"
    SENDS_ALL = "sends-all", "you let a VLAN leave by a port that is no member of it"
    TREE_OPEN = "tree-open", "you let frames pass a port that spanning tree keeps closed for this VLAN"
    NO_ISOLATION = "no-isolation", "you let two isolated ports exchange frames"
    ALWAYS_UP = "always-up", "you let frames pass a port that is shut or has no link"
    NO_TRANSLATION = "no-translation", "you forgot the rows of a port that change tags"

    def __init__(self, word: str, sentence: str) -> None:
        self.word = word  # short name
        self.sentence = sentence  # what the learner did


_MADE: WeakKeyDictionary[Network, dict[Mistake, Network]] = WeakKeyDictionary()


def mistaken(network: Network, mistake: Mistake) -> Network:
    """Return the network as somebody takes it who makes the mistake; worked out once."""
    made = _MADE.setdefault(network, {})
    if mistake not in made:
        boxes = [_box(network, box, mistake) for box in network.devices.values()]
        made[mistake] = rebuilt(network, boxes)
    return made[mistake]


def rebuilt(network: Network, boxes: list[Device]) -> Network:
    """Return a network with other boxes and the same cords."""
    return Network(boxes, network.links, handoffs=network.handoffs, stands_for=network.stands_for)


def _box(network: Network, box: Device, mistake: Mistake) -> Device:
    match mistake:
        case Mistake.NEEDS_NO_VLAN:
            return replace(box, bridges=_each(box.bridges, lambda one: replace(one, exists=_ALL, active=_ALL)))
        case Mistake.ALWAYS_UP:
            ports = _each(box.ports, lambda one: replace(one, up=_YES, link=_YES))
            return replace(box, ports=ports, bridge_ports=_each(box.bridge_ports, lambda one: replace(one, up=_YES)))
        case Mistake.FAR_PVID:
            return replace(box, bridge_ports=_each(box.bridge_ports, lambda one: _far_pvid(network, box.name, one)))
        case _:
            change = _CHANGES[mistake]
            return replace(box, bridge_ports=_each(box.bridge_ports, change))


_CHANGES: Mapping[Mistake, Callable[[BridgePort], BridgePort]] = MappingProxyType(
    {
        Mistake.TAKES_TAGS: lambda one: replace(one, admit=_TAG_VIDS),
        Mistake.PORT_WINS: lambda one: replace(one, entry=_untagging(one)),
        Mistake.PVID_ONE: lambda one: replace(one, pvid=Fact(1, _WRONG)),
        Mistake.KEEPS_TAG: lambda one: replace(one, untagged=_NONE),
        Mistake.LOSES_TAG: lambda one: replace(one, untagged=_ALL),
        Mistake.SENDS_ALL: lambda one: replace(one, member=_ALL),
        Mistake.TREE_OPEN: lambda one: replace(one, forwarding=_ALL),
        Mistake.NO_ISOLATION: lambda one: replace(one, isolation=frozenset()),
        Mistake.NO_TRANSLATION: lambda one: replace(one, entry=(), exit=()),
    }
)


def _untagging(one: BridgePort) -> tuple[Rewrite, ...]:
    """Return rows by which a port that has a PVID takes off the tag of what arrives."""
    if one.pvid.value in (None, UNKNOWN):
        return one.entry
    return (Rewrite(match=(TagMatch(WIRE),), pop=1, origins=_WRONG),)


def _far_pvid(network: Network, device: str, one: BridgePort) -> BridgePort:
    far = network.peer.get(f"{device}:{one.port}", "")
    others = network.devices[far.partition(":")[0]].bridge_ports if far else {}
    other = others.get(far.partition(":")[2])
    return replace(one, pvid=other.pvid) if other is not None else one


def _each(several: Mapping[str, T], change: Callable[[T], T]) -> dict[str, T]:
    return {name: change(one) for name, one in several.items()}
