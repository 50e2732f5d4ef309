"""Captured link states: where they count, where they do not, and when they have run out."""

from dataclasses import replace

from vlancheck.dot1q.model import LINK_ASSUMED, BridgePort, Device, Negotiation, Port, PortKind, Shown
from vlancheck.evidence import Cover, Fact, Kind, Origin
from vlancheck.site.live import only_valid, surroundings

DOWN = Fact(False, (Origin(Kind.SHOW, "Gi0/1 notconnect", "status.txt", 3),))
UP = Fact(True, (Origin(Kind.SHOW, "Gi0/1 connected", "status.txt", 3),))


def box(link: Fact[bool], kind: PortKind = PortKind.JACK) -> dict[str, Device]:
    """Return one switch with one port of a captured link state."""
    return {"SW-1": Device(name="SW-1", ports={"1": Port(name="1", link=link, kind=kind)})}


def test_on_a_cord_between_devices_a_link_that_is_down_counts() -> None:
    made, unseen = only_valid(box(DOWN), {"SW-1:1"}, {})

    assert made["SW-1"].ports["1"].link == DOWN
    assert not unseen


def test_a_jack_without_link_is_not_seen_and_no_loss() -> None:
    """Desks are off at night (common practice, no source)."""
    made, unseen = only_valid(box(DOWN), (), {})

    assert made["SW-1"].ports["1"].link == LINK_ASSUMED
    assert unseen == {"SW-1:1": DOWN.origins}


def test_a_state_captured_before_the_cord_moved_counts_no_longer() -> None:
    made, unseen = only_valid(box(DOWN), {"SW-1:1"}, {"SW-1:1": "the cord at SW-1:1 was moved"})
    link = made["SW-1"].ports["1"].link

    assert link.value is True
    assert "captured before the cord at SW-1:1 was moved" in link.origins[0].text
    assert DOWN.origins[0] in link.origins
    assert not unseen


def test_what_is_up_or_inside_stays_as_it_is() -> None:
    assert only_valid(box(UP), (), {})[0]["SW-1"].ports["1"].link == UP
    assert only_valid(box(DOWN, PortKind.INSIDE), (), {})[0]["SW-1"].ports["1"].link == DOWN


def access(vid: int) -> BridgePort:
    """Return an access port in one VLAN."""
    one = Cover.of(1 << vid)
    return BridgePort(name="1", port="1", pvid=Fact(vid), admit=Cover.of(0), member=one, untagged=one)


def shown_box() -> dict[str, Device]:
    """Return a switch whose port was shown in VLAN 20, while its lines ask for 10 and leave its mode open."""
    settle = Negotiation("p", "auto", {}, "access", {"access": access(10), "trunk": access(1)})
    port = Port(name="1", negotiation=settle, shown=Shown(access(20)))
    return {"SW-1": Device(name="SW-1", ports={"1": port}, bridge_ports={"1": access(10)})}


def test_what_a_port_was_shown_to_do_takes_the_place_of_what_its_lines_ask() -> None:
    box = only_valid(shown_box(), (), {})[0]["SW-1"]

    assert box.bridge_ports["1"].pvid.value == 20
    assert box.ports["1"].negotiation is None
    asked = box.ports["1"].configured
    assert asked is not None
    assert asked.pvid.value == 10


def test_what_was_shown_counts_no_longer_where_something_around_it_changed() -> None:
    box = only_valid(shown_box(), (), {"SW-1:1": "the cord at SW-1:1 was moved"})[0]["SW-1"]

    assert box.bridge_ports["1"].pvid.value == 10
    assert box.ports["1"].negotiation is not None
    assert box.ports["1"].shown is None
    assert box.ports["1"].configured is None


def test_an_outcome_that_was_shown_is_what_the_lines_ask() -> None:
    """A mode left open is no disagreement where one of its outcomes is what was shown."""
    made = shown_box()["SW-1"]
    port = replace(made.ports["1"], shown=Shown(access(1)))
    box = only_valid({"SW-1": replace(made, ports={"1": port})}, (), {})[0]["SW-1"]

    assert box.ports["1"].configured == access(1)


def test_lines_change_what_is_around_their_far_end_and_their_bundle() -> None:
    cords = [("SW-1:1", "SW-2:1"), ("SW-1:3", "SW-3:1")]
    found = surroundings(cords, {"SW-1:1": "typed"}, {"SW-1:1": "SW-1:lag1", "SW-2:1": "SW-2:lag9"})

    assert set(found) == {"SW-1:1", "SW-1:lag1", "SW-2:1", "SW-2:lag9"}
    assert found["SW-2:1"] == "lines are planned at its far end, SW-1:1"


def test_a_blocked_port_blocks_until_a_cord_between_devices_changes() -> None:
    made = shown_box()["SW-1"]
    blocks = replace(access(20), forwarding=Cover.of(~(1 << 20)))
    box = {"SW-1": replace(made, ports={"1": replace(made.ports["1"], shown=Shown(blocks))})}
    linked = {"SW-1:1", "SW-2:1", "SW-3:1"}

    assert only_valid(box, linked, {})[0]["SW-1"].bridge_ports["1"].forwarding == blocks.forwarding
    assert only_valid(box, linked, {"SW-9:1": "typed"})[0]["SW-1"].bridge_ports["1"].forwarding == blocks.forwarding
    after = only_valid(box, linked, {"SW-3:1": "typed"})[0]["SW-1"].bridge_ports["1"]
    assert after.pvid.value == 20
    assert after.forwarding.sure == -1
