"""Beside an earlier survey every ending, leak, change and moved cord has its way then and its way now."""

from __future__ import annotations

from pathlib import Path

import pytest

from vlancheck import open_site
from vlancheck.changes.change import Comparison, Kind
from vlancheck.changes.ways import beside, with_ways
from vlancheck.example import write_site
from vlancheck.notation import parse
from vlancheck.notation.judged import case, side_of
from vlancheck.verdicts.verdict import Before, State, Verdict

BEFORE = """\
bridge A exists=10,20
port A:1 pvid=10 member=10 untagged=10
port A:2 pvid=10 member=10 untagged=10
port A:3 pvid=10 member=10 untagged=10
port A:4 pvid=20 member=20 untagged=20
serves A:1 PC one
serves A:2 PC two
serves A:3 PC three
serves A:4 PC four
vlan 10 -> A:1 untagged, A:2 untagged, A:3 untagged
never 10 A:4
"""


def held(after: str, before: str = BEFORE) -> tuple[tuple[Verdict, ...], Comparison]:
    """Return the verdicts on a later survey beside an earlier one, and what changed with its ways."""
    then, now = case(parse(before)), case(parse(after), parse(before))
    sides = side_of(then), side_of(now)
    assert now.comparison is not None
    return tuple(beside(sides[0], then.verdicts, sides[1], now.verdicts)), with_ways(now.comparison, *sides)


def test_an_ending_has_what_became_of_it_before() -> None:
    """One port is taken out of its VLAN: it was carried, and it is dropped."""
    (verdict, *_), _ = held(BEFORE.replace("A:3 pvid=10 member=10 untagged=10", "A:3 pvid=20 member=20 untagged=20"))
    states = {one.stop.name: (one.was.state, one.state) for one in verdict.endings if one.was is not None}
    carried = (State.CARRIED, State.CARRIED)
    assert states == {"A:1": carried, "A:2": carried, "A:3": (State.CARRIED, State.DROPPED)}


def test_a_vlan_is_judged_before_from_where_it_is_judged_now() -> None:
    """The ending that most others hear is another one afterwards; the two ways of each ending have one start."""
    text = "port A:1 pvid=10 member=10 untagged=10"
    lost = BEFORE.replace(text, "port A:1 pvid=20 member=20 untagged=20")
    for before, after in ((BEFORE, lost), (lost, BEFORE)):
        (verdict, *_), _ = held(after, before)
        assert [one.was is not None and one.was.start == one.start for one in verdict.endings] == [True] * 3
    (alone, *_), _ = held(lost, lost)
    assert [one.was is not None and one.was.state is one.state for one in alone.endings] == [True] * 3


def test_an_order_that_is_new_has_nothing_before() -> None:
    (_, new, *_), _ = held(f"{BEFORE}vlan 20 -> A:4 untagged\n")
    assert [one.was for one in new.endings] == [None]


@pytest.mark.parametrize(("before", "due"), [(False, Before.NOT_THERE), (True, Before.THERE)])
def test_a_leak_was_there_before_or_was_not(before: bool, due: Before) -> None:
    leaky = BEFORE.replace("A:4 pvid=20 member=20 untagged=20", "A:4 pvid=10 member=10 untagged=10")
    (verdict, *_), _ = held(leaky, leaky if before else BEFORE)
    assert [leak.was for leak in verdict.leaks if leak.at == "A:4"] == [due]


def test_a_change_has_one_frame_followed_in_both_surveys() -> None:
    """It is sent by the place that tells the change; before it arrived, and now it is lost where the reason says."""
    _, comparison = held(BEFORE.replace("A:3 pvid=10 member=10 untagged=10", "A:3 pvid=20 member=20 untagged=20"))
    rows = [row for cause in comparison.causes for row in cause.changes if row.kind is Kind.LOST]
    row = next(one for one in rows if one.anchor.name == "PC three")
    assert row.sample is not None
    assert row.sample.sender == row.anchor
    assert row.was is not None
    assert row.now is not None
    assert (row.was.sender, row.was.arrives) == ("A:3", "untagged")
    assert row.now.lost
    assert row.now.reason is not None


def test_every_change_of_the_example_is_followed(tmp_path: Path) -> None:
    """What is gained arrives now and was lost before, what is lost the other way; what is retagged, in other tags."""
    write_site(tmp_path)
    comparison = open_site(tmp_path).verify().comparison
    assert comparison is not None
    kinds = set()
    for row in (one for cause in comparison.causes for one in cause.told):
        assert row.was is not None
        assert row.now is not None
        match row.kind:
            case Kind.LOST:
                assert row.was.arrives
                assert row.now.lost
            case Kind.GAINED:
                assert row.was.lost
                assert row.now.arrives
            case _:
                assert row.was.arrives != row.now.arrives or row.now.lost
        kinds.add(row.kind)
    assert kinds == {Kind.LOST, Kind.GAINED, Kind.RETAGGED}
    alike = [move for move in comparison.moves if move.alike]
    assert len(alike) == 2
    assert all(m.was and m.now and m.was.sender == m.before and m.now.sender == m.after for m in alike)
    assert all(m.was and m.now and m.was.arrives == m.now.arrives != "" for m in alike)
