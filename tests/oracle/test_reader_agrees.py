"""What the product reads out of Open vSwitch's own database delivers every frame as the switch's trace does."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from vlancheck import capture, reader
from vlancheck.dot1q.tags import Tag as WireTag
from vlancheck.dot1q.tags import format_frame
from vlancheck.walk.walk import walk
from vlancheck.wiring import Link, Network, wire

from .ovs import Ovs
from .wirings import Frame, Wiring, comparable, wirings

pytestmark = pytest.mark.oracle


def captured(ovs: Ovs) -> str:
    """Return the console text of the three tables and of the one that says how many tags the switch looks at."""
    words = "--format=json list open_vswitch"
    return f"{ovs.capture()}root@lab:~# ovs-vsctl {words}\n{ovs._vsctl(*words.split())}root@lab:~# \n"


def network_of(text: str, wiring: Wiring, folder: Path) -> Network:
    """Return the network that the console text says, joined by the wiring's patch links."""
    path = folder / "lab.txt"
    path.write_text(text, encoding="utf-8")
    reading = reader.read(capture.load([path], root=folder))
    assert not reading.notes
    (device,) = reading.devices
    assert not device.unread
    links = [Link(f"lab:{one[1]}", f"lab:{other[1]}") for one, other in wiring.links()]
    return wire([device], links)


def differences(ovs: Ovs, network: Network, wiring: Wiring, pool: tuple[int, ...], foreign: int) -> Counter[str]:
    """Compare every comparable frame of a wiring that stands; return how many were delivered and how many lost."""
    counts: Counter[str] = Counter()
    for bridge, port, frame in comparable(wiring, pool, foreign):
        expected = {(f"lab:{one.port}", _written(one.frame)) for one in ovs.trace(bridge, port, frame)}
        walked = walk(network, f"lab:{port}", _frame(frame))
        found = {(one.port, one.frame) for one in walked.deliveries}
        assert found == expected, f"{_written(frame)} into {port} of {wiring}"
        assert not walked.unproven
        counts["delivered" if expected else "lost"] += 1
    return counts


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a folder for captures, which each wiring overwrites."""
    return tmp_path_factory.mktemp("captures")


def test_read_wirings_deliver_as_traced(ovs: Ovs, folder: Path) -> None:
    """Random loop-free wirings, protected ports included; frames are both delivered and lost in them."""
    counts: Counter[str] = Counter()

    @settings(settings.get_profile("oracle"))
    @given(st.booleans().flatmap(lambda protected: wirings(most_bridges=4, protected=protected)))
    def compare(drawn: tuple[Wiring, tuple[int, ...], int]) -> None:
        wiring, pool, foreign = drawn
        ovs.build(wiring)
        counts.update(differences(ovs, network_of(captured(ovs), wiring, folder), wiring, pool, foreign))

    compare()
    assert min(counts["delivered"], counts["lost"]) > counts.total() // 10


def _frame(frame: Frame) -> tuple[WireTag, ...]:
    return tuple(WireTag(tpid, vid) for tpid, vid in frame)


def _written(frame: Frame) -> str:
    return format_frame(_frame(frame))
