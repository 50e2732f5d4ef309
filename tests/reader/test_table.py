"""The form `table`: which cells a row has under which headings, and who took it."""

from __future__ import annotations

import pytest

from vlancheck.capture import Line
from vlancheck.reader.forms.table import Table

FORM = Table("port", {"port": ("port", "switch port"), "vlan": ("vlan",), "who": ("who",)}, "typed", ("who",))


def read(text: str) -> list[tuple[str, str]]:
    """Return each path line that is not passed over with the text of its evidence."""
    lines = [Line(number, line) for number, line in enumerate(text.split("\n"), 1)]
    return [(one.text, one.lines[0].text) for one in FORM(lines) if not one.passed]


@pytest.mark.parametrize("separator", [";", "\t", ","])
def test_each_cell_is_a_path_line(separator: str) -> None:
    """Cells are parted by semicolons, tabs or commas; the heading says what a cell is."""
    found = read(f"Switch-Port{separator}VLAN\n1{separator}10")

    assert [text for text, _ in found] == ["column port", "column vlan", "port=1", "port=1 | vlan=10"]


def test_who_took_a_row_holds_for_the_rows_below() -> None:
    """Until another row says otherwise."""
    found = read("port;vlan;who\n1;10;\n2;20;Ada\n3;30;\n4;40;Ben")

    assert [said for text, said in found if "|" in text] == [
        "typed: 1;10;",
        "typed, who Ada: 2;20;Ada",
        "typed, who Ada: 3;30;",
        "typed, who Ben: 4;40;Ben",
    ]


def test_heading_without_a_sense_and_text_above_are_handed_on() -> None:
    """Neither vanishes: a rule has to take it, else it is unread."""
    assert [text for text, _ in read("rear switch\nport;vlan;mode\n1;10;access")] == [
        "rear switch",
        "column port",
        "column vlan",
        "heading mode",
        "port=1",
        "port=1 | vlan=10",
    ]


def test_list_with_the_separator_stands_in_quotes() -> None:
    """A bar inside a cell is no separator of path lines."""
    assert ("port=1¦2 | vlan=10,20", 'typed: 1|2,"10,20"') in read('port,vlan\n1|2,"10,20"')


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("1;10\n2;20", "no row has a heading for port"),
        ("port;who\n1;Ada", "no row has a heading for port"),
        ("port;vlan\n1;10;20", "line 2 has 3 cells under 2 headings"),
        ("port;vlan\n;10", "line 2 has no port"),
        ("port;vlan;VLAN\n1;10;20", "line 1: two headings mean vlan"),
        ('port;vlan\n1;"10', "line 2: "),
    ],
)
def test_table_that_does_not_hold_together_is_refused(text: str, why: str) -> None:
    """With the line and the reason."""
    with pytest.raises(ValueError, match=f"^{why}"):
        read(text)
