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


NATIVE = """
bridge sw1 exists=1,10,99
port sw1:1 member=10,99 pvid=99 untagged=99
port sw1:2 member=99 pvid=99 untagged=99
port sw1:3 member=10 pvid=10 untagged=10
device r1 kind=router
port r1:1
end r1:1.10 on=1 takes=10
end r1:1.99 on=1 takes=0,untagged
link sw1:1 r1:1
vlan 10 -> sw1:3 untagged, r1:1 10
vlan 99 -> sw1:2 untagged, r1:1 untagged
"""
NATIVE_TRUNK = "port sw1:1 member=10,99 pvid=99 untagged=99"


@pytest.mark.parametrize(
    ("old", "new", "codes"),
    [
        (NATIVE_TRUNK, "port sw1:1 member=10,99 pvid=1", [("R104", "99", "sw1:1")]),
        (NATIVE_TRUNK, "port sw1:1 member=1,10,99 pvid=1 untagged=1", [("R104", "1,99", "sw1:1")]),
        ("end r1:1.99 on=1 takes=0,untagged", "end r1:1.99 on=1 takes=99", [("R101", "99", "sw1:1")]),
        ("end r1:1.99 on=1 takes=0,untagged", "end r1:1.99 on=1 takes=10", [("R105", "10,99", "r1:1")]),
        ("port r1:1", "port r1:1 up=no", [("P101", "none", "r1:1")]),
    ],
    ids=["tagged at the switch", "another native", "keyword forgotten", "tag twice", "main interface shut"],
)
def test_untagged_interface(old: str, new: str, codes: list[tuple[str, str, str]]) -> None:
    assert told(NATIVE) == []
    made = found(planted(NATIVE, (old, new)))
    assert told(planted(NATIVE, (old, new))) == codes
    assert [one.severity.value for one in made] == ["error"], "a declared VLAN hangs on it"


def test_untagged_interface_of_no_declared_vlan_is_a_note() -> None:
    text = planted(
        NATIVE,
        (NATIVE_TRUNK, "port sw1:1 member=10,99 pvid=1"),
        ("vlan 99 -> sw1:2 untagged, r1:1 untagged", "empty sw1:2"),
    )
    assert [(one.code, one.severity.value) for one in found(text)] == [("R104", "note")]


def test_address_without_a_tag_is_the_cause() -> None:
    (one,) = found(planted(CLEAN, (SUB, 'setting r1 "address:1.20"=192.0.2.1')))
    assert (one.code, one.severity.value, sorted(one.at)) == ("R103", "error", ["r1:1"])
    assert told(planted(CLEAN, (SUB, f'{SUB}\nsetting r1 "address:2.20"=192.0.2.1'))) == [], "2 is no port with tags"


@pytest.mark.parametrize(
    ("new", "words"),
    [("takes=200", "its name has 20"), ("takes=21", "its name has 20")],
)
def test_wrong_tag_is_named(new: str, words: str) -> None:
    (one,) = found(planted(CLEAN, (SUB, f"end r1:1.20 on=1 {new}")))
    assert (one.code, words in one.headline) == ("R102", True)
    (other,) = found(planted(CLEAN, (SUB, f"end r1:wan on=1 {new}")))
    assert "where 20 is meant" in other.headline


GATEWAY = """
bridge sw1 exists=1,30,40
port sw1:1 pvid=30 member=30 untagged=30 link=yes
port sw1:2 pvid=30 member=30 untagged=30 link=no
port sw1:Vlan30 kind=inside pvid=30 member=30 untagged=30
setting sw1 "address:Vlan30"=192.0.2.1
vlan 30 -> sw1:Vlan30 untagged
"""
LIVE = "port sw1:1 pvid=30 member=30 untagged=30 link=yes"


@pytest.mark.parametrize(
    ("new", "codes"),
    [
        (LIVE.replace("yes", "no"), ["R106"]),
        (LIVE.replace("link=yes", "up=no"), ["R106"]),
        (LIVE.replace("link=yes", "link=?"), []),
        (f"{LIVE.replace('yes', 'no')}\nport sw1:3 member=30 link=yes", []),
    ],
    ids=["no link", "shut", "nobody knows", "a trunk is up"],
)
def test_gateway_interface(new: str, codes: list[str]) -> None:
    assert told(GATEWAY) == []
    assert [code for code, _, _ in told(planted(GATEWAY, (LIVE, new)))] == codes
