"""Boxes read from a text or a fixture, and what tests of dialects ask of them."""

from __future__ import annotations

from dialects.expected import FIXTURES, read_fixture
from vlancheck import vids
from vlancheck.capture import Line, Section
from vlancheck.dot1q.model import Device
from vlancheck.reader import read
from vlancheck.walk.walk import walk
from vlancheck.wiring import Network


def device_of(text: str, file: str = "box.txt") -> Device:
    """Return the one device that a text without a prompt becomes."""
    lines = tuple(Line(number, line) for number, line in enumerate(text.split("\n"), 1))
    (found,) = read([Section(file, "", "", lines, None)]).devices
    return found


def device_of_fixture(family: str, name: str) -> Device:
    """Return the one device of a fixture."""
    (found,) = read_fixture(FIXTURES / family / f"{name}.txt").devices
    return found


def fields(box: Device, port: str) -> tuple[object, str, str, str]:
    """Return PVID, admitted, member and untagged VIDs of a bridge port of which all is certain."""
    one = box.bridge_ports[port]
    covers = (one.admit, one.member, one.untagged)
    assert not one.doubt
    assert all(cover.sure == cover.possible for cover in covers)
    admit, member, untagged = (vids.text(cover.sure) for cover in covers)
    return one.pvid.value, admit, member, untagged


def came(box: Device, port: str, frame: str) -> set[tuple[str, str]]:
    """Return where a frame that is sent into a port comes out, and how; nothing of it is unproven."""
    found = walk(Network([box], []), f"{box.name}:{port}", frame)
    assert not found.unproven
    return {(one.port.partition(":")[2], one.frame) for one in found.deliveries}
