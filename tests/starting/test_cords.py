"""Cords between boxes, as neighbours and descriptions tell them, each once."""

from __future__ import annotations

from vlancheck.dot1q.model import Device, Port, Seen
from vlancheck.evidence import Kind, Origin
from vlancheck.starting import Guess, guessed_cords

LINE = (Origin(Kind.SHOW, "a row", "sw.txt", 7),)


def box(name: str, **ports: Port) -> Device:
    """Return a box with some ports."""
    return Device(name=name, ports={port.name: port for port in ports.values()})


def heard(name: str, neighbour: str, far: str, description: str = "") -> Port:
    """Return a port at which a neighbour spoke up."""
    return Port(name=name, description=description, seen=(Seen(neighbour=neighbour, neighbour_port=far, origins=LINE),))


def told(*devices: Device) -> list[Guess]:
    """Return the cords; the far end's `Gi` stands for `Gigabit`."""
    return list(guessed_cords(devices, lambda _, port: port.replace("Gi0", "Gigabit0")))


def test_two_neighbours_that_see_each_other_are_one_cord() -> None:
    one = box("A", p=heard("Gigabit0/1", "B.example.net", "Gi0/2"))
    other = box("B", p=heard("Gigabit0/2", "a", "Gi0/1"))
    (found,) = told(one, other)

    assert (found.one, found.other) == ("A:Gigabit0/1", "B:Gigabit0/2")
    assert found.sure
    assert found.known
    assert len(found.said) == 2
    assert "sw.txt:7" in found.said[0]


def test_a_neighbour_that_is_not_captured_is_told_as_it_calls_itself() -> None:
    (found,) = told(box("A", p=heard("1", "far.example.net", "eth0")))

    assert (found.one, found.other, found.known) == ("A:1", "far.example.net:eth0", False)


def test_descriptions_of_both_ends_are_one_cord_and_less_sure() -> None:
    one = box("A", p=Port(name="Gigabit0/1", description="to B Gi0/2"))
    other = box("B", p=Port(name="Gigabit0/2", description="to A"))
    (found,) = told(one, other)

    assert (found.one, found.other) == ("A:Gigabit0/1", "B:Gigabit0/2")
    assert not found.sure
    assert len(found.said) == 2


def test_what_a_neighbour_says_goes_before_a_description() -> None:
    """The description is of a cord that was moved."""
    one = box("A", p=heard("Gigabit0/1", "C", "Gi0/9", description="to B Gi0/2"))
    others = [box("B", p=Port(name="Gigabit0/2")), box("C", p=Port(name="Gigabit0/9"))]

    assert [(cord.one, cord.other) for cord in told(one, *others)] == [("A:Gigabit0/1", "C:Gigabit0/9")]


def test_a_description_without_a_port_leaves_it_open() -> None:
    (found,) = told(box("A", p=Port(name="1", description="uplink B")), box("B", p=Port(name="2")))

    assert {found.one, found.other} == {"A:1", "B"}


def test_a_word_that_is_part_of_another_names_nothing() -> None:
    assert told(box("A", p=Port(name="1", description="CAB-B rack")), box("B", p=Port(name="2"))) == []
