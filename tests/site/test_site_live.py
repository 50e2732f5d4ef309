"""Captured link states: where they count, where they do not, and when they have run out."""

from vlancheck.dot1q.model import LINK_ASSUMED, Device, Port, PortKind
from vlancheck.evidence import Fact, Kind, Origin
from vlancheck.site.live import only_valid

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
