"""Tags between a bridge's port and the sub-interfaces at the other end of its cord."""

import pytest

from checks.planting import found, planted, told

CLEAN = """
bridge sw1 exists=1,10,20,30
port sw1:1 member=10,20,30 pvid=1
port sw1:2 member=10 pvid=10 untagged=10
port sw1:3 member=20 pvid=20 untagged=20
device r1 kind=router
port r1:1
end r1:1.10 on=1 takes=10
end r1:1.20 on=1 takes=20
link sw1:1 r1:1
vlan 10 -> sw1:2 untagged, r1:1 10
vlan 20 -> sw1:3 untagged, r1:1 20
"""
TRUNK = "port sw1:1 member=10,20,30 pvid=1"
SUB = "end r1:1.20 on=1 takes=20"


@pytest.mark.parametrize(
    ("old", "new", "codes"),
    [
        (TRUNK, "port sw1:1 member=10,30 pvid=1", [("R101", "20", "sw1:1")]),
        (TRUNK, "port sw1:1 member=10,20 admit=10 pvid=1", [("R101", "20", "sw1:1")]),
        (TRUNK, "port sw1:1 member=20 pvid=20 untagged=20", [("R101", "10,20", "sw1:1")]),
        (TRUNK, "port sw1:1 member=10,20 pvid=20 untagged=20", [("R101", "20", "sw1:1")]),
        (SUB, "end r1:1.20 on=1 takes=20 up=no", [("R102", "20", "r1:1")]),
        (SUB, "end r1:1.20 on=1 takes=20 up=yes\nend r1:1.99 on=1 takes=99", [("R101", "99", "sw1:1")]),
        (SUB, "end r1:1.21 on=1 takes=untagged", [("R102", "20", "r1:1")]),
        (SUB, "end r1:1.20 on=1 takes=200", [("R102", "20", "r1:1")]),
    ],
    ids=["not listed", "not taken", "access", "native", "shut", "leftover", "none", "another tag"],
)
def test_planted_fault_is_found(old: str, new: str, codes: list[tuple[str, str, str]]) -> None:
    assert told(CLEAN) == []
    assert told(planted(CLEAN, (old, new))) == codes


@pytest.mark.parametrize(("vid", "severity"), [(20, "error"), (99, "note")], ids=["declared", "leftover"])
def test_severity_is_by_what_hangs_on_it(vid: int, severity: str) -> None:
    text = CLEAN if vid == 99 else planted(CLEAN, (TRUNK, "port sw1:1 member=10,30 pvid=1"))
    (one,) = found(text + f"end r1:1.99 on=1 takes={vid}\n" if vid == 99 else text)
    assert (one.code, one.severity.value) == ("R101", severity)
    assert bool(one.effects) is (severity == "error")


@pytest.mark.parametrize(
    ("old", "new"),
    [
        (SUB, "end r1:1.20 on=1 takes=20-25"),
        (SUB, "end r1:1.20 on=1 takes=10-29"),
        (SUB, SUB + "\nend r1:1.0 on=1 takes=untagged"),
        (SUB, SUB + "\nend r1:1.99 on=1 takes=99 up=no"),
        (SUB, "end r1:1.20 on=1"),
    ],
    ids=["range", "range over both", "untagged", "leftover that is shut", "takes any frame"],
)
def test_quiet(old: str, new: str) -> None:
    assert told(planted(CLEAN, (old, new))) == []


def test_list_that_nobody_could_read_is_no_fault() -> None:
    assert told(planted(CLEAN, (TRUNK, "port sw1:1 member=10,?20 admit=10,?20 pvid=1"))) == []
