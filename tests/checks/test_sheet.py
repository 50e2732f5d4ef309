"""What a patch sheet contradicts itself in, and rows nothing is made of."""

from dataclasses import replace

import pytest

from checks.planting import found
from vlancheck.checks import run
from vlancheck.evidence import Kind, Origin
from vlancheck.notation import parse
from vlancheck.notation.judged import case
from vlancheck.site.sheet import Clash, Contradiction, Doubt

SITE = "bridge sw1 exists=10\nport sw1:1 member=10\nport sw1:2 member=10\n"
ROWS = tuple((Origin(Kind.SHEET, f"sw1,{line}", "cords.csv", line),) for line in (4, 9))


@pytest.mark.parametrize("clash", list(Clash))
@pytest.mark.parametrize("places", [(), ("sw1:1", "sw1:2")])
def test_contradiction_is_told_with_all_its_rows(clash: Clash, places: tuple[str, ...]) -> None:
    clean = case(parse(SITE))
    assert run(clean) == ()
    (one,) = run(replace(clean, contradictions=(Contradiction(clash, "A-12", "A-12 is used twice", ROWS, places),)))
    assert (one.code, one.at) == ("W101", set(places or ("A-12",)))
    assert one.severity.value == ("warning" if clash in (Clash.TWO_LABELS, Clash.LABEL_ELSEWHERE) else "error")
    assert [where.origin.line for where in one.where] == [4, 9]


def test_row_nothing_is_made_of_is_a_note_at_its_line() -> None:
    doubts = tuple(Doubt("it names no port", row, boxes=("sw1",)) for row in ROWS)
    made = run(replace(case(parse(SITE)), doubts=doubts))
    assert [(one.code, one.severity.value) for one in made] == [("W102", "note")] * 2
    assert [one.headline for one in made] == [f"cords.csv, row {line}: it names no port" for line in (4, 9)]


def test_two_contradictions_at_one_port_are_two_findings() -> None:
    text = SITE + "contradiction sw1:1 two cords\ncontradiction sw1:1 free and used\n"
    assert [one.headline for one in found(text)] == ["free and used", "two cords"]
