"""Tunnels, TPIDs, numbers of tags, and what cords negotiate: each fault planted, and what must stay quiet."""

import pytest

from checks.planting import found, planted, told

EDGE = """
bridge edge exists=1,30,40
port edge:1 pvid=40 member=40 untagged=40
entry edge:1 push=40
port edge:2 member=30,40
port edge:3 member=1,30,40 pvid=1 untagged=1
"""


@pytest.mark.parametrize(
    ("old", "new", "codes"),
    [
        ("port edge:2 member=30,40", "port edge:2 member=30,40 pvid=40 untagged=40", [("Q101", "40", "edge:2")]),
        ("port edge:2 member=30,40", "port edge:2 member=40 pvid=40 untagged=40", []),
        ("port edge:2 member=30,40", "port edge:2 member=30,40 pvid=30 untagged=30", []),
        ("entry edge:1 push=40", "entry edge:1 match=7 push=40", []),
    ],
    ids=["native falls in", "another tunnel's port", "another native", "no tunnel"],
)
def test_native_vlan_in_a_tunnel(old: str, new: str, codes: list[tuple[str, str, str]]) -> None:
    assert told(EDGE) == []
    if not codes:
        assert told(planted(EDGE, (old, new))) == []
        text = planted(EDGE, (old, new))
        assert "Q101" not in {code for code, _, _ in told(text)}
    else:
        assert told(planted(EDGE, (old, new))) == codes


ME = """
port me:1
bridge-port me:1.10 on=1 member=1 untagged=1 select=10
entry me:1.10 pop=1 push=1
exit me:1.10 push=10
port me:2 member=1 untagged=1
entry me:2 push=1
handoff me:1
service records 10 at me:1 -> me:2 untagged
"""


def test_tag_that_is_not_taken_off() -> None:
    assert told(ME) == []
    text = planted(ME, ("entry me:1.10 pop=1 push=1", "entry me:1.10 push=1"), ("exit me:1.10 push=10", "unseen me:2"))
    (one,) = found(text)
    assert (one.code, sorted(one.at), one.severity.value) == ("Q102", ["me:1"], "error")


def test_tag_that_is_taken_off_though_it_is_meant_to_stay() -> None:
    text = planted(ME, ("service records 10 at me:1 -> me:2 untagged", "service records 10 at me:1 -> me:2 same"))
    (one,) = found(text)
    assert (one.code, sorted(one.at)) == ("Q102", ["me:1"])
    assert "takes one off" in one.headline


TPID = """
bridge sw1 exists=10
port sw1:1 pvid=10 member=10 untagged=10
port sw1:2 member=10 tpids=9100 sends=9100
bridge sw2 exists=10
port sw2:1 pvid=10 member=10 untagged=10
port sw2:2 member=10 tpids=9100 sends=9100
link sw1:2 sw2:2
vlan 10 -> sw1:1 untagged, sw2:1 untagged
"""


@pytest.mark.parametrize(
    ("new", "codes"),
    [
        ("member=10", [("L105", "none", "sw1:2 sw2:2")]),
        ("member=10 tpids=88a8 sends=88a8", [("L105", "none", "sw1:2 sw2:2")]),
        ("member=10 tpids=8100+9100 sends=9100", []),
    ],
)
def test_tpid(new: str, codes: list[tuple[str, str, str]]) -> None:
    assert told(TPID) == []
    made = found(planted(TPID, ("port sw2:2 member=10 tpids=9100 sends=9100", f"port sw2:2 {new}")))
    assert [one.code for one in made] == [code for code, _, _ in codes]
    assert all(one.severity.value == "error" and one.effects for one in made)


PACE = """
bridge sw1 exists=10
port sw1:1 member=10
port sw1:2 pvid=10 member=10 untagged=10
port sw1:3 pvid=10 member=10 untagged=10
bridge sw2 exists=10
port sw2:1 member=10
port sw2:2 pvid=10 member=10 untagged=10
set sw1:3 speed=100
set sw2:2 speed=auto duplex=auto
link sw1:1 sw2:1
vlan 10 -> sw1:2 untagged, sw2:2 untagged
"""


@pytest.mark.parametrize(
    ("one", "other", "severity"),
    [
        ("speed=100 duplex=full", "", "warning"),
        ("", "duplex=half", "warning"),
        ("speed=nonegotiate", "", "warning"),
        ("speed=100 duplex=full", "speed=100 duplex=half", "warning"),
        ("speed=100 duplex=full", "speed=10 duplex=full", "warning"),
        ("speed=100 duplex=full", "speed=100 duplex=full", ""),
        ("speed=nonegotiate", "speed=nonegotiate", ""),
        ("speed=1000", "", ""),
        ("speed=auto duplex=auto", "", ""),
        ("speed=auto-100 duplex=auto", "", ""),
        ("", "", ""),
    ],
)
def test_speed_and_duplex_of_a_cord(one: str, other: str, severity: str) -> None:
    lines = [f"set {place} {fields}" for place, fields in (("sw1:1", one), ("sw2:1", other)) if fields]
    made = found("\n".join((PACE.strip(), *lines)))
    assert [(each.code, each.severity.value) for each in made] == ([("L106", severity)] if severity else [])


def test_box_that_shows_no_such_line_is_a_question() -> None:
    text = planted(PACE, ("set sw2:2 speed=auto duplex=auto", "set sw1:1 speed=100 duplex=full"))
    (one,) = found(text)
    assert (one.code, one.severity.value) == ("L106", "note")
    assert "sw2:1" in one.settled_by
