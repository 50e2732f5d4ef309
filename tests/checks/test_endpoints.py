"""Analog lines at data ports, and endpoints that nobody declared."""

from dataclasses import replace

from checks.planting import planted, told
from vlancheck.checks import run
from vlancheck.evidence import Kind, Origin
from vlancheck.notation import parse
from vlancheck.notation.judged import case

CLEAN = """
bridge sw1 exists=10
port sw1:1 member=10 pvid=10 untagged=10
port sw1:2 member=10 pvid=10 untagged=10
port sw1:3 member=10 pvid=10 untagged=10
serves sw1:1 a PC
serves sw1:2 a printer
vlan 10 -> sw1:1 untagged, sw1:2 untagged
"""
ORDER = "vlan 10 -> sw1:1 untagged, sw1:2 untagged"
ROW = (Origin(Kind.SHEET, "PANEL-A:2,sw1:2,rj11", "cords.csv", 4),)


def test_an_analog_line_is_found_by_its_words_and_by_its_cord() -> None:
    assert told(CLEAN) == []
    text = planted(CLEAN, ("serves sw1:2 a printer", "serves sw1:2 POTS phone"))
    assert [(code, at) for code, _, at in told(text)] == [("W103", "sw1:2")]
    assert told(planted(CLEAN, ("serves sw1:2 a printer", "serves sw1:2 POTS phone behind an adapter"))) == []

    (one,) = run(replace(case(parse(CLEAN)), analog={"sw1:2": ROW}))
    assert (one.code, one.severity.value, one.where[0].origin.line) == ("W103", "error", 4)
    assert run(replace(case(parse(CLEAN)), analog={"pbx:2": ROW})) == ()


def test_endpoints_without_an_order_are_one_note_a_box_and_one_a_held_line() -> None:
    more = "serves sw1:3 a scanner\nport sw1:4 member=10 pvid=10 untagged=10\nserves sw1:4 door lock\n"
    assert [(code, at) for code, _, at in told(CLEAN + more)] == [("W104", "sw1:3"), ("W104", "sw1:4")]
    without = planted(CLEAN, (ORDER, "vlan 10 -> sw1:1 untagged")) + "\nserves sw1:3 a scanner\n"
    (one,) = run(case(parse(without)))
    assert one.headline == "no declared VLAN or service reaches sw1:2 (a printer), sw1:3 (a scanner)"
    assert (one.severity.value, one.at) == ("note", {"sw1:2", "sw1:3"})


def test_a_held_line_is_told_with_its_caution_and_never_called_safe() -> None:
    for text in (CLEAN + "serves sw1:3 fire alarm\n", CLEAN + "serves sw1:3 analogue alarm dialler\n"):
        for one in run(case(parse(text))):
            assert "until its owner" in one.why
            assert "safe" not in one.why + one.headline


def test_nothing_is_asked_for_where_nothing_is_declared() -> None:
    assert told(planted(CLEAN, (ORDER, ""))) == []
