"""Random networks with ports that were copied: what the product calls exchangeable, the frame-by-frame reference tries.

Two cords are exchanged in the reference, whose code has nothing of the product's, and every frame is followed again: of
ports in one class nothing may change.  Of ports in two classes something must, by the product's own comparison, which
has a test of its own against the reference.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from itertools import combinations
from random import Random

from changes.edits import Surveyed, frames_of
from changes.test_verify_agrees import Survey
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from reference.agreement import shown
from reference.wirings import Wiring, drawn, wiring

from vlancheck.changes.difference import differences
from vlancheck.changes.side import EVERY_FRAME
from vlancheck.dot1q.model import Device, DeviceKind, PortKind
from vlancheck.dot1q.tags import Tag, format_frame
from vlancheck.moves.exchange import Exchange
from vlancheck.wiring.network import Network

SEED, WIRINGS, PAIRS = 7, 40, 2
TRIED = 3  # pairs of ports that are exchanged in a wiring, of those called alike and of the others


def copied(found: Wiring, rng: Random) -> Wiring:
    """Return a wiring in which some ports stand twice or thrice, also in another bridge."""
    devices = list(found.devices)
    bridges = [number for number, box in enumerate(devices) if box.kind is DeviceKind.BRIDGE and box.bridge_ports]
    for number in bridges:
        box = devices[number]
        single = [one for one in box.bridge_ports.values() if one.name == one.port and not one.select]
        for one in rng.sample(single, min(len(single), 2)):
            for into in {number, rng.choice(bridges)}:
                devices[into] = _with_copy(devices[into], box, one.name, f"c{rng.randrange(10**6)}")
    return found._replace(devices=tuple(devices))


def _with_copy(into: Device, box: Device, name: str, new: str) -> Device:
    one = replace(box.bridge_ports[name], name=new, port=new, bridge=next(iter(into.bridges)), private=None)
    port = replace(box.ports[name], name=new, kind=PortKind.JACK, bundle="")
    return replace(into, ports={**into.ports, new: port}, bridge_ports={**into.bridge_ports, new: one})


def loose(network: Network) -> dict[str, str]:
    """Return the ports that a cord can be taken out of: with no link and one bridge port; all may be compared."""
    found = {}
    for box in network.devices.values():
        standing = Counter(one.port for one in box.bridge_ports.values())
        ending = {end.port for end in box.ends.values()}
        for one in box.bridge_ports.values():
            place = f"{box.name}:{one.port}"
            alone = standing[one.port] == 1 and one.port not in ending and not one.select
            if alone and place in network.boundary and place not in network.peer and place not in network.handoffs:
                found[place] = ""
    return found


def check(found: Wiring, rng: Random, *, whole: bool = False) -> tuple[int, int]:
    """Compare the classes of one wiring with what the reference says; return how many pairs were alike and not."""
    before = Survey(Surveyed(found, {}))
    keys = loose(before.network)
    carriage = before.side.ground.carried.carriage
    exchange = Exchange(before.network, carriage, keys, lambda _: EVERY_FRAME, (), exact=True)
    of = {place: number for number, places in enumerate(exchange.classes()) for place in places}
    assert of.keys() == keys.keys()
    pairs = list(combinations(sorted(keys), 2))
    alike = [pair for pair in pairs if of[pair[0]] == of[pair[1]]]
    for one, other in rng.sample(alike, min(TRIED, len(alike))):
        after = Survey(Surveyed(found, {one: other, other: one}))
        for name in sorted(before.place):
            for stack in frames_of(carriage.forms, rng, PAIRS):
                frame = tuple(Tag(tpid, vid) for tpid, vid in stack)
                told = f"{one} and {other} are called alike; {name} {format_frame(frame)}\n{shown(found)}"
                assert before.arrivals(name, frame) == after.arrivals(name, frame), told
    # One set of frames can be written in two ways, so that ports may be told apart that are alike: that costs a choice
    # and harms nobody.  In the fixed wirings it does not happen.
    others = [pair for pair in pairs if of[pair[0]] != of[pair[1]] and not any(map(exchange.undecided, pair))]
    for one, other in rng.sample(others, min(TRIED, len(others))) if whole else ():
        after = Survey(Surveyed(found, {one: other, other: one}))
        if not any(differences(before.side, after.side)):  # what loops is no difference there
            told_apart = [way for way in exchange.differences(one, other) if way.frame is not None]
            assert told_apart == [], f"{one} and {other} differ in nothing"
    return len(alike), len(others)


def test_classes_are_what_the_reference_finds() -> None:
    """In a fixed set of wirings, no exchange inside a class changes the fate of a frame; both answers are met."""
    alike = apart = 0
    for number in range(WIRINGS):
        found, rng = drawn(SEED, number, unknowns=False)
        one, other = check(copied(found, rng), rng, whole=True)
        alike, apart = alike + one, apart + other
    assert alike > WIRINGS
    assert apart > WIRINGS


@settings(max_examples=10, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.randoms(use_true_random=False))
def test_a_drawn_wiring_agrees(rng: Random) -> None:
    """The same on wirings that hypothesis draws and shrinks."""
    check(copied(wiring(rng, unknowns=False), rng), rng)
