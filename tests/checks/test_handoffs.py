"""What crosses a handoff and was not declared: tags, untagged frames, the inside, another carrier."""

import pytest

from checks.planting import found, planted, told

CLEAN = """
bridge sw1 exists=1,99,310,320
port sw1:1 member=310
port sw1:2 member=310 pvid=310 untagged=310
port sw1:3 member=1 pvid=1 untagged=1
port sw1:4 member=320
port sw1:5 member=320 pvid=320 untagged=320
port sw1:6 member=310,320 pvid=310 untagged=310
port sw1:vlan99 kind=inside member=99 pvid=99 untagged=99
setting sw1 address:vlan99=192.0.2.7
handoff sw1:1 sw1:4
empty sw1:6
service records 310 at sw1:1 -> sw1:2 untagged
service voice 320 at sw1:4 -> sw1:5 untagged
"""
PORT = "port sw1:1 member=310"
OTHER = "port sw1:4 member=320"
DESK = "port sw1:3 member=1 pvid=1 untagged=1"


@pytest.mark.parametrize(
    ("new", "codes"),
    [
        ("member=310,400-410", [("H101", "400-410", "sw1:1")]),
        ("member=310 admit=310,320", [("H103", "320", "sw1:1 sw1:4")]),
        ("member=310 pvid=1", [("H101", "1", "sw1:1")]),
        ("member=310 pvid=7", []),
        ("member=1,310 pvid=1 untagged=1", [("H102", "1", "sw1:1")]),
        ("member=99,310", [("H102", "99", "sw1:1")]),
        ("member=1,99,310", [("H102", "1,99", "sw1:1")]),
        ("member=310,320", [("H103", "320", "sw1:1 sw1:4")]),
        ("member=310 pvid=310 untagged=310", None),
    ],
)
def test_handoff(new: str, codes: list[tuple[str, str, str]] | None) -> None:
    assert told(CLEAN) == []
    made = told(planted(CLEAN, (PORT, f"port sw1:1 {new}")))
    if codes is None:
        assert "H101" in {code for code, _, _ in made}, "an untagged handoff of a tagged service takes what none has"
    else:
        assert made == codes


def test_list_of_everything_is_one_finding_beside_what_is_worse() -> None:
    made = {one.code: one for one in found(planted(CLEAN, (PORT, "port sw1:1 member=all")))}
    assert set(made) == {"H101", "H102", "H103"}
    assert not made["H101"].vids & (1 << 1 | 1 << 99 | 1 << 310 | 1 << 320)
    assert made["H101"].vids >> 4094 & 1
    assert made["H101"].severity.value == "note", "the bridge has none of these VLANs"


def test_vlan_that_the_bridge_has_is_a_warning() -> None:
    text = planted(CLEAN, ("bridge sw1 exists=1,99,310,320", "bridge sw1 exists=1,99,310,320,400"))
    (one,) = found(planted(text, (PORT, "port sw1:1 member=310,400,401")))
    assert (one.code, one.severity.value) == ("H101", "warning")
    assert "400-401 (of which sw1 has 400)" in one.headline


@pytest.mark.parametrize(
    "more",
    [
        "service all 400-410 at sw1:1 -> sw1:9 same",
        "vlan 400 -> sw1:1 400, sw1:9 400",
    ],
)
def test_what_is_declared_at_a_handoff_is_no_finding(more: str) -> None:
    text = planted(CLEAN, (PORT, "port sw1:1 member=310,400-410" if "all" in more else "port sw1:1 member=310,400"))
    text = planted(text, ("bridge sw1 exists=1,99,310,320", "bridge sw1 exists=1,99,310,320,400-410"))
    assert "H101" not in {code for code, _, _ in told(f"{text}\nport sw1:9 member=400-410\n{more}")}


def test_handoff_where_nothing_is_declared_is_not_judged_by_its_list() -> None:
    assert told("bridge sw1 exists=1,310\nport sw1:1 member=310 pvid=1\nhandoff sw1:1") == []


def test_untagged_service_takes_untagged_frames() -> None:
    text = """
    bridge sw1 exists=1,310
    port sw1:1 member=310 pvid=310 untagged=310
    port sw1:2 member=310 pvid=310 untagged=310
    handoff sw1:1
    service line untagged at sw1:1 -> sw1:2 untagged
    """
    assert told(text) == []


@pytest.mark.parametrize(
    ("swap", "more"),
    [
        (("setting sw1 address:vlan99=192.0.2.7", ""), "port sw1:9 member=99 pvid=99 untagged=99"),
        ((DESK, DESK), "empty sw1:3"),
    ],
    ids=["interface without address", "nothing plugged into VLAN 1"],
)
def test_inside_that_says_nothing_is_no_vlan_of_the_inside(swap: tuple[str, str], more: str) -> None:
    text = planted(CLEAN, (PORT, "port sw1:1 member=1,99,310"), swap)
    inside = 1 << 99 if "address" in swap[0] else 1 << 1
    made = {one.code: one.vids for one in found(f"{text}\n{more}")}
    assert not made.get("H102", 0) & inside
    assert made["H101"] & inside


def test_service_that_ends_at_the_switch_itself_is_declared() -> None:
    text = planted(CLEAN, (PORT, "port sw1:1 member=99,310"))
    assert told(text + "\nservice web 99 at sw1:1 -> sw1:vlan99 untagged\n") == []


def test_management_vlan_is_followed_over_a_link() -> None:
    text = planted(CLEAN, (PORT, "port sw1:1 member=310\nport sw1:9 member=99,320"), (OTHER, "port sw1:4 member=320"))
    text += "\nbridge sw2 exists=99,320\nport sw2:1 member=99,320\nport sw2:2 member=99,320\nlink sw1:9 sw2:1\n"
    assert told(text + "handoff sw2:2\nservice far 320 at sw2:2,sw1:4 -> sw1:5 untagged\n")[0] == (
        "H102",
        "99",
        "sw2:2",
    )


def test_leak_to_another_handoff_hangs_on_the_handoffs() -> None:
    (one,) = found(planted(CLEAN, (OTHER, "port sw1:4 member=310,320")))
    assert (one.code, one.severity.value, one.at) == ("H103", "error", {"sw1:1", "sw1:4"})
    assert "records: leaks to sw1:4 (handoff)" in one.effects


@pytest.mark.parametrize(
    "service",
    ["service records 310 at sw1:1,sw1:4 -> sw1:2 untagged", "service records 310 at sw1:1 -> sw1:4 310"],
    ids=["enters at both", "goes on at the other"],
)
def test_service_at_two_handoffs_joins_them(service: str) -> None:
    text = f"""
    bridge sw1 exists=310
    port sw1:1 member=310
    port sw1:2 member=310 pvid=310 untagged=310
    port sw1:4 member=310
    handoff sw1:1 sw1:4
    {service}
    """
    assert "H103" not in {code for code, _, _ in told(text)}


def test_three_handoffs_in_one_vlan_are_one_finding() -> None:
    text = """
    bridge sw1 exists=310
    port sw1:1 member=310
    port sw1:2 member=310
    port sw1:3 member=310
    handoff sw1:1 sw1:2 sw1:3
    """
    assert told(text) == [("H103", "310", "sw1:1 sw1:2 sw1:3")]


def test_bridge_port_in_doubt_is_no_certain_join() -> None:
    text = "bridge sw1 exists=310\nport sw1:1 member=310\nport sw1:2 member=310 doubt=yes\nhandoff sw1:1 sw1:2"
    assert "H103" not in {code for code, _, _ in told(text)}
