"""Groups of statements are inherited where they are applied, and nowhere else."""

from __future__ import annotations

import re

from vlancheck.capture import Line
from vlancheck.reader.inheritance import Groups
from vlancheck.reader.pathlines import PathLine

FAMILY = Groups(
    names=(re.compile(r"set ports (?!apply-)\S+"), re.compile(r"set ports \S+ unit (?:\d+|<\S+>)")),
    lists=(re.compile(r"set ports \S+ unit \d+ members(?= )"),),
    apart=re.compile(r"re\d"),
    unless=re.compile(r"set ports range "),
)


def lines(*texts: str) -> list[PathLine]:
    """Return the path lines of some statements."""
    return [PathLine(text, (Line(number, text),)) for number, text in enumerate(texts, 1)]


def said(*texts: str) -> list[str]:
    """Return what is left to be read of some statements."""
    return [line.text for line in FAMILY(lines(*texts)) if not line.passed]


def test_a_group_that_is_applied_nowhere_does_nothing() -> None:
    assert said("set groups g ports a1 off", "set ports a1 on") == ["set ports a1 on"]


def test_what_is_inherited_comes_before_what_is_said_with_both_lines_behind_it() -> None:
    made = list(FAMILY(lines("set groups g ports a1 speed 10", "set apply-groups g", "set ports a1 speed 100")))
    kept = [line for line in made if not line.passed]

    assert [line.text for line in kept] == ["set ports a1 speed 10", "set ports a1 speed 100"]
    assert [one.number for one in kept[0].lines] == [1, 2]


def test_brackets_stand_for_the_names_that_are_there() -> None:
    group = "set groups g ports <a*> unit <*> off"
    there = ["set ports a1 unit 0", "set ports a2 unit 5", "set ports a3 on", "set ports b1 unit 0"]

    assert said(group, "set apply-groups g", *there)[:2] == ["set ports a1 unit 0 off", "set ports a2 unit 5 off"]
    assert len(said(group, "set apply-groups g", *there)) == 2 + len(there)


def test_a_name_may_be_there_by_another_group() -> None:
    groups = ["set groups wide ports <*> off", "set groups new ports a7 unit 0"]

    assert "set ports a7 off" in said(*groups, "set apply-groups [ wide new ]")


def test_a_group_counts_from_where_it_is_applied_on() -> None:
    groups = ["set groups g ports <*> speed 10", "set groups g vlans red 7"]

    assert said(*groups, "set ports a1 apply-groups g", "set ports a2 on") == [
        "set ports a1 speed 10",
        "set ports a2 on",
    ]


def test_the_nearest_group_and_of_several_the_first_holds() -> None:
    groups = [f"set groups {name} ports <*> speed {speed}" for name, speed in (("a", 1), ("b", 2), ("c", 3))]
    made = said(*groups, "set apply-groups [ a b ]", "set ports x apply-groups c")

    assert made == ["set ports x speed 2", "set ports x speed 1", "set ports x speed 3"]


def test_a_place_may_keep_a_group_off() -> None:
    there = ["set ports a1 apply-groups-except g", "set ports a1 on", "set ports a2 on"]

    assert said("set groups g ports <*> off", "set apply-groups g", *there) == [
        "set ports a2 off",
        "set ports a1 on",
        "set ports a2 on",
    ]


def test_items_of_a_list_from_two_sides_are_marked() -> None:
    """How they go together is not documented."""
    group, own = "set groups g ports <*> unit 0 members red", "set ports a1 unit 0 members"

    assert said(group, "set apply-groups g", f"{own} blue") == [f"{own} red (inherited)", f"{own} blue"]
    assert said(group, "set apply-groups g", f"{own} red") == [f"{own} red"]
    assert said(group, "set apply-groups g", "set ports a1 unit 0") == [f"{own} red", "set ports a1 unit 0"]


def test_what_is_not_understood_is_handed_on_as_it_stands() -> None:
    apply = "set apply-groups g"
    for group in ("set groups g vlans <*> off", "set groups g when 10:00"):
        assert said(group, apply) == [group, apply]
    assert said("set groups other ports a1 off", apply) == [apply]
    assert said("set groups re0 ports a1 off", "set apply-groups re0") == ["set groups re0 ports a1 off"]
    wide = ["set groups g ports <*> off", apply, "set ports range x member a1"]
    assert said(*wide) == wide
