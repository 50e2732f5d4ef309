"""Lists of a link that disagree, and the link of a ring that lacks a VLAN at both ends."""

import pytest

from checks.planting import found, planted, told
from vlancheck.findings.finding import Severity

CLEAN = """
bridge sw1 exists=1,310,320,330 tree=per-vlan
port sw1:1 member=310,320
port sw1:2 member=1,310,320,330 pvid=1 untagged=1
bridge sw2 exists=1,310,320,330 tree=per-vlan
port sw2:1 member=1,310,320,330 pvid=1 untagged=1
port sw2:2 member=310,320 pvid=1 untagged=1
bridge sw3 exists=1,310,320 tree=per-vlan
port sw3:1 member=310,320 pvid=1 untagged=1
port sw3:2 member=310 pvid=310 untagged=310
port sw3:3 member=320 pvid=320 untagged=320
link sw1:2 sw2:1
link sw2:2 sw3:1
handoff sw1:1
service records 310 at sw1:1 -> sw3:2 untagged
service voice 320 at sw1:1 -> sw3:3 untagged
"""
FAR = "port sw3:1 member=310,320 pvid=1 untagged=1"
MIDDLE = "port sw2:1 member=1,310,320,330 pvid=1 untagged=1"


def test_clean_site_has_no_finding() -> None:
    assert told(CLEAN) == []


@pytest.mark.parametrize(
    ("old", "new", "code"),
    [
        (FAR, "port sw3:1 member=310 pvid=1 untagged=1", [("L101", "320", "sw3:1")]),
        (FAR, "port sw3:1 member=none pvid=1 untagged=1", [("L101", "310,320", "sw3:1")]),
        (MIDDLE, "port sw2:1 member=1,310 pvid=1 untagged=1", [("L101", "320", "sw2:1")]),
        (MIDDLE, "port sw2:1 member=1,310,320 admit=1,310 pvid=1 untagged=1", [("L101", "320", "sw2:1")]),
        (MIDDLE, "port sw2:1 member=1,310 admit=all pvid=1 untagged=1", [("L101", "320", "sw2:1")]),
    ],
    ids=["one VLAN", "all in one finding", "near the handoff", "not taken", "not sent"],
)
def test_planted_fault_is_found(old: str, new: str, code: list[tuple[str, str, str]]) -> None:
    assert told(planted(CLEAN, (old, new))) == code


@pytest.mark.parametrize(
    ("new", "says", "why"),
    [
        ("member=1,310", "does not carry VLAN 320", "lost in both directions"),
        ("member=1,310,320 admit=1,310", "does not take VLAN 320", "lost from sw1:2 to sw2:1"),
        ("member=1,310 admit=all", "does not send VLAN 320", "lost from sw2:1 to sw1:2"),
    ],
)
def test_direction_is_named(new: str, says: str, why: str) -> None:
    (one,) = found(planted(CLEAN, (MIDDLE, f"port sw2:1 {new} pvid=1 untagged=1")))
    assert says in one.headline
    assert "sw1:2" in one.headline
    assert why in one.why
    assert one.severity is Severity.ERROR, "a service is lost by it"
    assert any(effect.startswith("voice") for effect in one.effects)
    assert [where.place for where in one.where] == ["sw2:1", "sw1:2"]
    assert [where.primary for where in one.where] == [True, False]


def test_both_ends_lack_something_each() -> None:
    text = planted(
        CLEAN,
        (FAR, "port sw3:1 member=310 pvid=1 untagged=1"),
        ("port sw2:2 member=310,320 pvid=1 untagged=1", "port sw2:2 member=320 pvid=1 untagged=1"),
    )
    assert told(text) == [("L101", "310", "sw2:2"), ("L101", "320", "sw3:1")]


@pytest.mark.parametrize(
    ("old", "new"),
    [
        (MIDDLE, "port sw2:1 member=1,310,320 pvid=1 untagged=1"),
        (MIDDLE, "port sw2:1 member=1-4094 pvid=1 untagged=1"),
        (FAR, "port sw3:1 member=all pvid=1 untagged=1"),
    ],
    ids=["nobody needs 330 beyond", "longer list", "everything allowed"],
)
def test_harmless_difference_is_quiet(old: str, new: str) -> None:
    assert told(planted(CLEAN, (old, new))) == []


def test_unread_list_is_no_certain_finding() -> None:
    text = planted(CLEAN, (MIDDLE, "port sw2:1 member=1,310,?320 pvid=1 untagged=1"))
    assert "L101" not in [one.code for one in found(text)]


RING = """
bridge sw1 exists=10,20 tree=per-vlan
port sw1:1 member=10 pvid=10 untagged=10
port sw1:12 member=10,20
port sw1:13 member=10,20
bridge sw2 exists=10,20 tree=per-vlan
port sw2:1 member=10 pvid=10 untagged=10
port sw2:12 member=10,20
port sw2:23 member=10,20
bridge sw3 exists=10,20 tree=per-vlan
port sw3:1 member=10 pvid=10 untagged=10
port sw3:13 member=10,20
port sw3:23 member=10,20
link sw1:12 sw2:12
link sw1:13 sw3:13
link sw2:23 sw3:23
vlan 10 -> sw1:1 untagged, sw2:1 untagged, sw3:1 untagged
"""


@pytest.mark.parametrize(
    ("swaps", "codes"),
    [
        ((), []),
        ((("port sw2:23 member=10,20", "port sw2:23 member=20"),), [("L101", "10", "sw2:23")]),
        (
            (
                ("port sw2:23 member=10,20", "port sw2:23 member=20"),
                ("port sw3:23 member=10,20", "port sw3:23 member=20"),
            ),
            [("L104", "10", "sw2:23 sw3:23")],
        ),
        (
            (
                ("port sw2:23 member=10,20", "port sw2:23 member=10"),
                ("port sw3:23 member=10,20", "port sw3:23 member=10"),
            ),
            [],
        ),
    ],
    ids=["clean", "one end", "both ends", "VLAN that nobody needs"],
)
def test_ring(swaps: tuple[tuple[str, str], ...], codes: list[tuple[str, str, str]]) -> None:
    assert told(planted(RING, *swaps)) == codes


def test_backup_that_would_lose_a_vlan_is_a_warning() -> None:
    swaps = [(f"port sw{n}:23 member=10,20", f"port sw{n}:23 member=20") for n in (2, 3)]
    (one,) = found(planted(RING, *swaps))
    assert one.severity is Severity.WARNING
    assert not one.effects
    assert "a backup path over this link would lose it" in one.why
    assert {where.place for where in one.where} == {"sw2:23", "sw3:23"}


def test_vlan_that_is_on_one_side_of_a_ring_only_is_quiet() -> None:
    """Two links of the ring leave it out: it was kept to one link on purpose."""
    text = RING.replace("sw3:1 untagged", "").replace("sw2:1 untagged,", "sw2:1 untagged")
    for port in ("sw1:13", "sw3:13", "sw2:23", "sw3:23"):
        text = text.replace(f"port {port} member=10,20", f"port {port} member=20")
    text = text.replace("port sw3:1 member=10 pvid=10 untagged=10\n", "")
    assert told(text) == []


def test_two_links_side_by_side() -> None:
    text = """
bridge sw1 exists=10 tree=per-vlan
port sw1:1 member=10 pvid=10 untagged=10
port sw1:2 member=10
port sw1:3 member=none
bridge sw2 exists=10 tree=per-vlan
port sw2:1 member=10 pvid=10 untagged=10
port sw2:2 member=10
port sw2:3 member=none
link sw1:2 sw2:2
link sw1:3 sw2:3
vlan 10 -> sw1:1 untagged, sw2:1 untagged
"""
    assert told(text) == [("L104", "10", "sw1:3 sw2:3")]
