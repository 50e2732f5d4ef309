"""Exercises about displays: what is printed is read back as the same box, and the answers agree with the carriage."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from vlancheck import capture, reader
from vlancheck.dot1q.model import BridgePort, Device
from vlancheck.evidence import Cover, Fact, assumed
from vlancheck.places import split_place
from vlancheck.reader import dialect_names, load_dialect
from vlancheck.teach.displays import BECOMES, KINDS, LEAVES, NATIVE, PASSES, closing, printed
from vlancheck.teach.drill import misreading, run
from vlancheck.teach.exercise import Exercise, Topic
from vlancheck.teach.frames import NOTHING
from vlancheck.teach.ground import Ground, closets
from vlancheck.teach.mistakes import Mistake
from vlancheck.vids import EVERY, WIRE, members, parse, text
from vlancheck.walk import carriage
from vlancheck.wiring import Network
from vlancheck.writer import WriteError, display, trunks

from .made import cut, of, out_of

# What a box says of itself beside the display: its VLANs and ports that settle what they are with their neighbours,
# so that all that is known of a trunk comes from the display.
BESIDE = {
    "cisco_ios": (
        "{box}#show running-config\nversion 15.2\nhostname {box}\nvtp mode transparent\nvlan {vlans}\n{ports}end\n",
        "interface {port}\n switchport mode dynamic desirable\n",
    ),
}


def reads(seeds: range = range(40)) -> Iterator[Exercise]:
    """Yield many exercises about displays."""
    for seed in seeds:
        yield from run(closets(), seed, 6, topics=(Topic.READ,))


# ---- what is printed ---------------------------------------------------------------------------------------------


def test_every_family_that_prints_is_read_back_below() -> None:
    """No family prints a display that the test below does not read."""
    assert {name for name in dialect_names() if load_dialect(name).prints} == set(BESIDE)


def read_back(ground: Ground, device: Device, lines: tuple[str, ...], folder: Path) -> Device:
    """Return the box that a console log is read as, of one whose ports say nothing of what they are to carry."""
    assert ground.survey is not None
    dialect = ground.survey.reading.gathered[device.name].dialect
    whole, each = BESIDE[dialect.name]
    ports = "".join(each.format(port=port) for port in trunks(device))
    vlans = text(next(iter(device.bridges.values())).exists.sure & WIRE & ~2)
    log = whole.format(box=device.name, vlans=vlans, ports=ports) + "\n".join(lines) + f"\n{device.name}#\n"
    path = folder / "log.txt"
    path.write_text(log, encoding="utf-8")
    reading = reader.read(capture.load([path], root=folder))
    assert not reading.notes
    (made,) = reading.devices
    assert not made.unread
    return made


def does(one: BridgePort, of_them: int) -> object:
    """Return what a bridge port does with frames of some VLANs."""
    covers = (one.admit, one.member, one.untagged & one.member)
    return (
        one.pvid.value,
        *((cover.sure & WIRE, cover.possible & WIRE) for cover in covers),
        one.forwarding.sure & of_them,
    )


def test_what_is_printed_is_read_back_as_the_same_ports(tmp_path: Path) -> None:
    """Every trunk of every exercise comes back as it was; a VLAN that is closed, as one that does not surely pass.

    The display looks the same for a port that still listens, so that nobody can read from it that one is closed.
    """
    seen: Counter[str] = Counter()
    for one in {one.printed: one for one in reads()}.values():
        device = one.network.devices[one.printing]
        made = read_back(one.ground, device, one.printed, tmp_path)
        assert {port.name for port in made.ports.values() if port.shown} == set(trunks(device))
        for port in trunks(device):
            mine = next(found for found in device.bridge_ports.values() if found.port == port)
            shown = made.ports[port].shown
            assert shown is not None
            carried = mine.member.sure & device.bridges[mine.bridge].exists.sure & WIRE
            assert does(shown.bridge_port, carried) == does(mine, carried)
            seen["closed"] += bool(carried & ~mine.forwarding.sure)
            seen["absent"] += bool(mine.member.sure & WIRE & ~carried)
            seen["native"] += mine.pvid.value is None
    assert min(seen["closed"], seen["absent"], seen["native"]) > 2


def test_the_display_stands_in_the_columns_of_its_headings() -> None:
    """Each block has its heading and a row for each trunk, the names shortened."""
    ground = next(one for one in closets() if one.name == "8-four-in-a-row")
    shown = printed(ground, ground.network, "PIER")
    assert shown is not None
    assert shown[0] == "show interfaces trunk"
    assert shown[1][:3] == (
        "Port        Mode             Encapsulation  Status        Native vlan",
        "Gi1/0/23    on               802.1q         trunking      20",
        "Gi1/0/24    on               802.1q         trunking      80",
    )
    assert shown[1][-3:] == (
        "Port        Vlans in spanning tree forwarding state and not pruned",
        "Gi1/0/23    10,20,80",
        "Gi1/0/24    10,20,80",
    )


def test_what_cannot_be_printed_is_refused() -> None:
    """A family without the display, and a box without a trunk."""
    ground = next(one for one in closets() if one.name == "7-two-families")
    boxes = ground.network.devices
    with pytest.raises(WriteError, match="no display"):
        display(load_dialect("hp_procurve"), "show interfaces trunk", boxes["MILL"])
    alone = replace(boxes["BARN"], bridge_ports={}, bridges={})
    with pytest.raises(WriteError, match="no trunk"):
        display(load_dialect("cisco_ios"), "show interfaces trunk", alone)


# ---- what is asked -----------------------------------------------------------------------------------------------


def taken(one: Exercise, frame: str) -> set[int]:
    """Return the VLANs in which a frame that arrives at the port is taken in, by the relation of all frames.

    A port is added to the box that sends every VLAN with its tag, and out of it comes what was taken in.
    """
    at = one.spec.places[1]
    device, port = split_place(at)
    box = one.network.devices[device]
    mine = next(found for found in box.bridge_ports.values() if found.port == port)
    why = assumed("a port that hears all")
    everything, nothing = Cover.of(EVERY, why), Cover.of(0, why)
    tap = replace(
        mine, name="tap", port="tap", pvid=Fact(None, why), admit=nothing, member=everything, untagged=nothing,
        forwarding=everything, isolation=frozenset(),
    )  # fmt: skip
    heard = replace(
        box,
        ports={**box.ports, "tap": replace(box.ports[port], name="tap")},
        bridge_ports={**box.bridge_ports, "tap": tap},
    )
    boxes = [heard if found is box else found for found in one.network.devices.values()]
    network = cut(Network(boxes, one.network.links, handoffs=one.network.handoffs), at)
    return {int(item.frame) for item in carriage(network).deliveries(at, frame) if item.port == f"{device}:tap"}


def test_what_is_taken_in_agrees_with_the_relation_of_all_frames() -> None:
    """The VLANs of the answer are those that a port which hears all hears."""
    seen: Counter[str] = Counter()
    for one in reads():
        kind = one.spec.places[0]
        seen[kind] += 1
        if kind == LEAVES:
            _, at, sender, _ = one.spec.places
            assert out_of(one.network, sender, one.spec.frame, at) == ({one.right} - {NOTHING})
        elif kind == BECOMES:
            found = taken(one, one.spec.frame)
            assert found == ({int(one.spec.frame)} if one.right.startswith("it is taken") else set())
        else:
            frames = ["untagged"] if kind == NATIVE else list(map(str, members(parse(one.spec.frame))))
            assert set(members(parse(one.right))) == set().union(*(taken(one, frame) for frame in frames))
    assert set(seen) == set(KINDS)
    assert min(seen.values()) > 5


def test_a_box_that_prints_is_not_listed_and_all_that_is_asked_is_printed() -> None:
    """The ports that the question is about stand in the display; of the box nothing else is told."""
    for one in of(Topic.READ):
        device, port = split_place(one.spec.places[1])
        assert one.printing == device
        assert device in one.boxes
        assert device not in one.listed
        assert any(line.startswith(f"Gi{port.removeprefix('GigabitEthernet')} ") for line in one.printed)


def test_who_reads_a_display_wrongly_is_told_the_rule() -> None:
    """Who takes all that is allowed forgot what the box has, or what spanning tree closes."""
    met = set()
    for one in reads():
        if one.spec.places[0] != PASSES:
            continue
        asked = parse(one.spec.frame)
        device, port = split_place(one.spec.places[1])
        box = one.network.devices[device]
        mine = next(found for found in box.bridge_ports.values() if found.port == port)
        allowed = asked & mine.admit.sure
        active = allowed & box.bridges[mine.bridge].exists.sure
        forwarding = active & mine.forwarding.sure
        if allowed != active == forwarding:
            assert misreading(one, text(allowed)) == Mistake.NEEDS_NO_VLAN.sentence
            met.add(Mistake.NEEDS_NO_VLAN)
        if allowed == active != forwarding:
            assert misreading(one, text(active)) == Mistake.TREE_OPEN.sentence
            met.add(Mistake.TREE_OPEN)
    assert met == {Mistake.NEEDS_NO_VLAN, Mistake.TREE_OPEN}


def test_a_closed_port_is_closed_for_one_vlan() -> None:
    """Only that one, only there."""
    ground = next(one for one in closets() if one.name == "6-loft-and-cellar")
    at = "LOFT:GigabitEthernet1/0/24"
    after = closing(ground.network, at, 10)
    before = ground.network.bridge_port(at).forwarding
    assert after.bridge_port(at).forwarding.sure == before.sure & ~(1 << 10)
    assert after.devices["CELLAR"] is ground.network.devices["CELLAR"]
