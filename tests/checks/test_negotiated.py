"""Links whose mode two ends settle: which are told, and as what."""

import pytest

from checks.planting import found

Mode = tuple[str, str, str] | None

FIXED = "port {0} member=1,10 pvid=1 untagged=1\n"
LEFT = (
    "port {0} member=1,10 pvid=1 untagged=1\n"
    "negotiate {0} protocol=dtp mode={1} alone={2} outcomes={3}\n"
    "variant {0} access name=9 on=9 member=1 pvid=1 untagged=1\n"
    "variant {0} trunk name=9 on=9 member=1,10 pvid=1 untagged=1\n"
)
DESIRABLE = ("desirable", "access", "auto:trunk,desirable:trunk,trunk:trunk")
AUTO = ("auto", "access", "desirable:trunk,trunk:trunk")
TRUNK = ("trunk", "trunk", "auto:trunk,desirable:trunk,trunk:trunk")


def port(place: str, mode: Mode) -> str:
    """Return the lines of a port that is a trunk, or settles it."""
    return FIXED.format(place) if mode is None else LEFT.format(place, *mode)


def site(one: Mode, other: Mode) -> str:
    """Return two bridges joined at their ports 9, with VLAN 10 at both sides."""
    return (
        "bridge sw1 exists=1,10\nbridge sw2 exists=1,10\n"
        "port sw1:1 member=10 pvid=10 untagged=10\nport sw2:1 member=10 pvid=10 untagged=10\n"
        + port("sw1:9", one)
        + port("sw2:9", other)
        + "link sw1:9 sw2:9\nvlan 10 -> sw1:1 untagged, sw2:1 untagged\n"
    )


@pytest.mark.parametrize(
    ("one", "other", "at"),
    [
        (None, None, None),
        (TRUNK, TRUNK, None),
        (TRUNK, None, None),
        (DESIRABLE, AUTO, {"sw1:9", "sw2:9"}),
        (DESIRABLE, DESIRABLE, {"sw1:9", "sw2:9"}),
        (TRUNK, AUTO, {"sw2:9"}),
        (DESIRABLE, TRUNK, {"sw1:9"}),
    ],
)
def test_modes(one: Mode, other: Mode, at: set[str] | None) -> None:
    made = found(site(one, other))
    assert [(each.code, each.at, each.severity.value) for each in made] == ([("N101", at, "warning")] if at else [])
    assert all("comes to `trunk`" in each.headline for each in made)


def test_what_is_lost_hangs_on_modes_that_come_to_access() -> None:
    (one,) = found(site(AUTO, AUTO))
    assert (one.code, one.severity.value) == ("N101", "error")
    assert "comes to `access`" in one.headline
    assert one.effects


def test_link_that_nothing_needs_is_a_note() -> None:
    text = site(DESIRABLE, AUTO).replace("vlan 10 -> sw1:1 untagged, sw2:1 untagged\n", "")
    assert [(one.code, one.severity.value) for one in found(text)] == [("N101", "note")]


def test_jack_that_negotiates_is_not_told() -> None:
    text = site(None, None) + LEFT.format("sw1:5", *AUTO).replace("=9", "=5")
    assert found(text) == ()


@pytest.mark.parametrize("kind", ["unmanaged", "phone", "through"])
def test_port_toward_a_box_that_negotiates_nothing_is_not_told(kind: str) -> None:
    text = site(AUTO, None).replace("bridge sw2", f"device sw2 kind={kind}\nbridge sw2")
    assert "N101" not in {one.code for one in found(text)}
