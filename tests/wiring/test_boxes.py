"""Boxes that nobody captures do what is declared of them, and nothing more is proven."""

from __future__ import annotations

import pytest

from vlancheck.dot1q.boxes import CarrierPort, carrier_box, host, unaware, uncaptured
from vlancheck.dot1q.model import DeviceKind
from vlancheck.dot1q.tags import parse_frame
from vlancheck.errors import SiteError
from vlancheck.walk import Walk, walk
from vlancheck.wiring import Link, Network

from .boxes import SAID, access, bridge_port, switch


def came(walked: Walk) -> list[tuple[str, str]]:
    return [(delivery.port, delivery.frame) for delivery in walked.deliveries]


def test_a_host_takes_the_frames_it_is_said_to_take() -> None:
    """A host with frames takes those; another is lost there, by name."""
    pbx = host("PBX", ["eth0"], SAID, [parse_frame("320")])
    network = Network(
        [switch("A", bridge_port("1", member="310,320"), bridge_port("2", member="310,320")), pbx],
        [("A:2", "PBX:eth0")],
    )

    assert came(walk(network, "A:1", "320")) == [("PBX:eth0", "320")]
    lost = walk(network, "A:1", "310")
    assert came(lost) == []
    assert [(loss.port, loss.rule.word) for loss in lost.losses] == [("PBX:eth0", "not-taken")]


def test_a_host_of_which_nothing_is_said_takes_any_frame() -> None:
    """Without frames every stack is taken."""
    network = Network(
        [switch("A", bridge_port("1", member="310"), access("2", 310)), host("PC", ["nic"], SAID)], [("A:2", "PC:nic")]
    )

    assert came(walk(network, "A:1", "310")) == [("PC:nic", "untagged")]
    assert came(walk(network, "PC:nic", "untagged")) == [("A:1", "310")]


def test_a_router_without_a_capture_proves_nothing() -> None:
    """Whether an uncaptured router takes the frame is unproven, and a capture would settle it."""
    router = uncaptured("RTR", DeviceKind.ROUTER, ["wan1"], SAID)
    walked = walk(
        Network([switch("A", access("1", 10), access("2", 10)), router], [("A:2", "RTR:wan1")]), "A:1", "untagged"
    )

    assert came(walked) == []
    assert [(item.port, item.settled_by) for item in walked.unproven] == [("RTR:wan1", "a capture of RTR")]


def test_a_media_converter_passes_every_frame() -> None:
    """Exactly two ports; tags are payload."""
    converter = unaware("MC", DeviceKind.THROUGH, ["a", "b"], SAID)
    one, two = (
        switch("A", access("9", 10), bridge_port("1", member="10")),
        switch("B", access("9", 10), bridge_port("1", member="10")),
    )
    network = Network([one, two, converter], [("A:1", "MC:a"), ("MC:b", "B:1")])

    assert came(walk(network, "A:9", "untagged")) == [("B:9", "untagged")]
    with pytest.raises(ValueError, match="exactly two"):
        unaware("MC", DeviceKind.THROUGH, ["a", "b", "c"], SAID)


def test_what_an_unmanaged_switch_does_is_unproven_beyond_our_port() -> None:
    """A copy toward it is delivered at our port; what comes out elsewhere is unproven."""
    desk = unaware("DESK", DeviceKind.UNMANAGED, ["up", "1"], SAID)
    network = Network(
        [switch("A", access("1", 10), access("2", 10)), desk, host("PC", ["nic"], SAID)],
        [("A:2", "DESK:up"), ("DESK:1", "PC:nic")],
    )
    walked = walk(network, "A:1", "untagged")

    assert came(walked) == [("A:2", "untagged")]
    assert [item.port for item in walked.unproven] == ["PC:nic"]
    assert not walked.complete


def test_a_carriers_box_translates_what_is_declared_and_nothing_else() -> None:
    """881 is 310 at our port, both ways; another tag is unproven, with the question for the carrier."""
    box = carrier_box("ONU", {"lan1": CarrierPort("metro", {881: 310}, SAID), "lan2": None}, SAID)
    one = switch("A", bridge_port("24", member="310,320"), access("1", 310), access("2", 320))
    network = Network([box, one], [("ONU:lan1", "A:24")])

    assert came(walk(network, "ONU:metro", "881")) == [("A:1", "untagged")]
    assert came(walk(network, "A:1", "untagged")) == [("ONU:metro", "881")]
    assert came(walk(network, "ONU:metro", "310")) == [], "our number is not said to be the carrier's"
    toward = walk(network, "ONU:metro", "320")
    assert came(toward) == []
    assert [item.port for item in toward.unproven] == ["A:2"]
    assert "letter" in toward.unproven[0].settled_by


def test_a_carriers_ports_exchange_nothing() -> None:
    """No path leads from one customer port to another."""
    rows = CarrierPort("metro", {310: 310}, SAID)
    network = Network([carrier_box("ONU", {"lan1": rows, "lan2": rows}, SAID)], [])

    assert came(walk(network, "ONU:lan1", "310")) == [("ONU:metro/lan1", "310")]


@pytest.mark.parametrize(
    ("links", "says"),
    [
        ([("A:7", "B:1")], "no port '7'"),
        ([("A:1", "C:1")], "no device 'C'"),
        ([("A:1", "B:1"), ("A:1", "B:2")], "two links"),
    ],
)
def test_links_that_cannot_be_are_refused(links: list[tuple[str, str]], says: str) -> None:
    """A link to no port, or a second one, is an error with the place."""
    boxes = [switch("A", access("1", 10)), switch("B", access("1", 10), access("2", 10))]

    with pytest.raises(SiteError, match=says):
        Network(boxes, [Link(*link) for link in links])
