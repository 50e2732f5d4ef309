"""Typed lines edit a tree of statements; what is typed is what the tree then holds."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from vlancheck.capture import Line
from vlancheck.reader.pathlines import PathLine
from vlancheck.reader.statements import NOTHING_THERE, Statements, Typed

FAMILY = Statements(
    single=(re.compile(r"set port \S+ native(?= )"), re.compile(r"set port \S+(?= (?:one|two)-tags?$)")),
    kept=(re.compile(r"set port \S+"), re.compile(r"set port \S+ unit \d+")),
)
WORDS = st.sampled_from(["port", "unit", "vlans", "a", "b", "7"])
PATHS = st.lists(WORDS, min_size=1, max_size=4).map(tuple)


def lines(*texts: str) -> list[PathLine]:
    """Return the path lines of some statements."""
    return [PathLine(text, (Line(number, text),)) for number, text in enumerate(texts, 1)]


def typed(there: list[str], *more: str) -> Typed:
    """Return what becomes of statements when more lines are typed."""
    return FAMILY.typed(lines(*there), lines(*more))


def left(made: Typed) -> list[str]:
    """Return the statements that are there."""
    return [line.text for line in made.lines if not line.passed]


def test_a_deletion_takes_what_is_at_the_path_and_below_it_by_whole_words() -> None:
    made = typed(["set port a1 x", "set port a1 y z", "set port a10 x", "deactivate port a1 y"], "delete port a1 y")

    assert left(made) == ["set port a1 x", "set port a10 x"]
    assert [line.text for line in made.lines if line.passed] == [
        "deleted set port a1 y z",
        "deleted deactivate port a1 y",
    ]
    assert (len(made.taken), made.refused) == (1, [])


def test_a_name_whose_last_statement_goes_stays_with_the_line_that_took_it() -> None:
    made = typed(["set port a unit 0 x"], "delete port a unit 0 x")

    assert left(made) == ["set port a unit 0"]
    assert [line.text for line in made.lines[-1].lines] == ["delete port a unit 0 x", "set port a unit 0 x"]
    assert left(typed(["set port a unit 0 x"], "delete port a unit 0")) == ["set port a"]
    assert left(typed(["set port a unit 0 x"], "delete port")) == []
    assert left(typed(["set port a unit 0 x", "set port a y"], "delete port a unit 0")) == ["set port a y"]


def test_of_a_statement_with_one_value_the_last_stays() -> None:
    there = ["set port a native 7", "set port b native 7", "set port a one-tag"]
    made = typed(there, "set port a native 8", "set port a two-tags", "set port a native 9")

    assert left(made) == ["set port b native 7", "set port a two-tags", "set port a native 9"]


def test_a_list_in_brackets_is_a_statement_an_item_but_not_in_quotes() -> None:
    made = typed(
        ["set list [ a b c ]", "set list d", 'set said "[ x y ]"', "set like <p-[0-3]>"],
        "delete list b",
        "set list [e f]",
    )

    assert left(made) == [
        "set list a",
        "set list c",
        "set list d",
        'set said "[ x y ]"',
        "set like <p-[0-3]>",
        "set list e",
        "set list f",
    ]


def test_what_is_out_of_effect_comes_back() -> None:
    off = typed(["set port a x"], "deactivate port a")

    assert left(off) == ["set port a x", "deactivate port a"]
    assert left(FAMILY.typed(off.lines, lines("activate port a"))) == ["set port a x"]
    assert FAMILY.typed(off.lines, lines("activate port a x")).refused[0].why == NOTHING_THERE


@pytest.mark.parametrize("line", ["delete port c", "delete port a native 8", "activate port a", "deactivate port b"])
def test_a_line_that_acts_on_nothing_changes_nothing(line: str) -> None:
    made = typed(["set port a native 7"], line)

    assert left(made) == ["set port a native 7"]
    assert [(one.line.text, one.why, one.matters) for one in made.refused] == [(line, NOTHING_THERE, False)]


@pytest.mark.parametrize(
    "line",
    [
        "delete po a",
        "delete port a.0",
        "delete port a.0 x",
        "deactivate port a nat",
        "delete port a [ native ]",
        "delete",
        "rename port a to port b",
        "replace pattern a with b",
        "edit port a",
        "load merge terminal",
    ],
)
def test_what_may_change_something_and_is_not_followed_matters(line: str) -> None:
    """A word that a device may complete, a list, another verb."""
    made = typed(["set port a native 7"], line)

    assert left(made) == ["set port a native 7"]
    assert [(one.line.text, one.matters) for one in made.refused] == [(line, True)]


@given(st.lists(PATHS, max_size=8), st.lists(st.tuples(st.booleans(), PATHS), max_size=8))
def test_the_tree_is_what_a_set_of_paths_would_be(
    there: list[tuple[str, ...]], then: list[tuple[bool, tuple[str, ...]]]
) -> None:
    """Where nothing is single and nothing is kept, a statement is there when it was set and not deleted since."""
    plain = Statements()
    wanted = set(there)
    for sets, path in then:
        wanted = {*wanted, path} if sets else {one for one in wanted if one[: len(path)] != path}
    orders = [f"{'set' if sets else 'delete'} {' '.join(path)}" for sets, path in then]
    made = plain.typed(lines(*(f"set {' '.join(path)}" for path in there)), lines(*orders))

    assert {tuple(text.split()[1:]) for text in left(made)} == wanted
    assert len(made.taken) + len(made.refused) == sum(not sets for sets, _ in then)
