"""Tables of VLANs that nobody captured: in whose place, what is needed in them, and what is another doubt."""

import pytest

from checks.planting import found, planted, told
from vlancheck.checks import run
from vlancheck.findings.finding import Finding, Severity
from vlancheck.notation import parse
from vlancheck.notation.judged import case

CLEAN = """
bridge sw1 exists=1,10,20
port sw1:1 member=10,20
port sw1:2 member=10 pvid=10 untagged=10
port sw1:3 member=20 pvid=20 untagged=20
bridge sw2 exists=1,10,20
port sw2:1 member=10,20
port sw2:2 member=10 pvid=10 untagged=10
port sw2:3 member=20 pvid=20 untagged=20
link sw1:1 sw2:1
setting sw1 model=one
empty sw1:3 sw2:3
vlan 10 -> sw1:2 untagged, sw2:2 untagged
"""
TABLE = "bridge sw1 exists=1,10,20"


def after(before: str, now: str) -> tuple[Finding, ...]:
    """Return the findings of a survey held against an earlier one."""
    return run(case(parse(now), parse(before)))


@pytest.mark.parametrize(
    ("table", "vids"),
    [
        ("bridge sw1 exists=1,?10", "10"),
        ("bridge sw1 exists=1,?10,?20", "10"),
        ("bridge sw1 exists=?", "10"),
        ("bridge sw1 exists=1,10,?20", ""),
    ],
    ids=["one", "nobody needs the other", "nothing is known", "not needed"],
)
def test_only_needed_vlans_are_asked_for(table: str, vids: str) -> None:
    assert told(planted(CLEAN, (TABLE, table))) == ([("V103", vids, "sw1")] if vids else [])


def test_port_with_something_in_it_needs_its_vlan() -> None:
    text = planted(CLEAN, (TABLE, "bridge sw1 exists=1,10,?20"), ("empty sw1:3 sw2:3", "empty sw2:3"))
    assert told(text) == [("V103", "20", "sw1")]


def test_same_box_is_a_note_and_what_decides_it_is_said() -> None:
    (one,) = found(planted(CLEAN, (TABLE, "bridge sw1 exists=1,?10")))
    assert (one.severity, one.cause) == (Severity.NOTE, False)
    assert one.settled_by == "the table of VLANs that the box prints"


def test_box_that_was_there_before_is_no_new_one() -> None:
    unknown = planted(CLEAN, (TABLE, "bridge sw1 exists=1,?10"))
    (one,) = [one for one in after(CLEAN, unknown) if one.code == "V103"]
    assert one.severity is Severity.NOTE


def test_new_box_is_a_warning() -> None:
    unknown = planted(CLEAN, (TABLE, "bridge sw1 exists=1,?10"))
    for before, why in (
        (CLEAN.replace("sw1", "sw9"), "was not there before"),
        (planted(CLEAN, ("setting sw1 model=one", "setting sw1 model=two")), "is another model than before"),
    ):
        (one,) = [one for one in after(before, unknown) if one.code == "V103"]
        assert one.severity is Severity.WARNING
        assert f"sw1 {why}" in one.why
        assert "typed" in one.why
