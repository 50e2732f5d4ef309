"""Lines act on records; what the templates see is the records that are there in the end."""

from __future__ import annotations

import pytest

from vlancheck.capture import Line
from vlancheck.reader.forms.sections import KeyedSections
from vlancheck.reader.keyed import NOTHING_THERE, TAKEN, Records
from vlancheck.reader.pathlines import PathLine
from vlancheck.reader.statements import Typed

KEYS = {
    "/a": ("name",),
    "/a b": ("name", "disabled"),
    "/a c": ("owner", "ids", "disabled"),
    "/a box": ("jack", "name", "disabled"),
}
FORM = KeyedSections(KEYS, each=frozenset({"list"}))
RECORDS = Records(KEYS, {"/a b": ("name",), "/a c": ("owner", "ids")}, built_in="jack")
THERE = """\
/a b
add cost=3 name=x
add name="two words"
/a c
add list=e1,e2 ids=20 owner=x
add list=e1 ids=30,40-42 owner=x
/a box
set [ find jack=j1 ] name=up speed=9
"""


def lines_of(text: str) -> list[PathLine]:
    """Return the path lines of a text."""
    return list(FORM([Line(number, line) for number, line in enumerate(text.split("\n"), 1)]))


def typed(text: str) -> Typed:
    """Return what becomes of the records when lines are typed."""
    return RECORDS.typed(RECORDS.printed([], lines_of(THERE)).lines, lines_of(text))


def there(path: str, found: Typed) -> list[str]:
    """Return the path lines that count, of one section."""
    return [one.text.removeprefix(path).strip() for one in found.lines if not one.passed and one.text.startswith(path)]


def test_set_takes_the_place_of_a_list() -> None:
    """No item of the list before is left, and the rest of the record stays."""
    found = typed("/a c set [find ids=20] list=e3,e4")

    assert there("/a c add owner=x ids=20", found) == ["disabled=", "disabled= | list=e3", "disabled= | list=e4"]
    assert len(found.taken) == 1
    assert not found.refused


@pytest.mark.parametrize(
    "find",
    [
        "[find ids=20]",
        "[ find where ids=20 ]",
        '[find owner="x" and ids=20]',
        "[find ids=20 owner=x]",
        "[find ids=20 disabled=no]",
    ],
)
def test_find_names_the_record_by_its_keys(find: str) -> None:
    """`where` and `and` say nothing; a key that no line wrote is what it is by itself."""
    assert there("/a c add owner=x ids=20", typed(f"/a c remove {find}")) == []
    assert there("/a c add owner=x ids=30,40-42", typed(f"/a c remove {find}"))


@pytest.mark.parametrize(
    "line",
    [
        "set 0 list=e9",
        "set numbers=0 list=e9",
        "set [find] list=e9",
        "set [find ids~20] list=e9",
        "set [find ids!=20] list=e9",
        "set [find ids=20 or ids=30] list=e9",
        "set [find ids=(20)] list=e9",
        "set [find list=e1] list=e9",
        "set [find ids=20,21] list=e9",
        "unset [find ids=20] list",
        "set [find ids=30] list=e9",
        "remove [find ids=41]",
        "add ids=41 owner=x",
        "set [find ids=20] ids=20,30",
    ],
)
def test_what_is_not_known_to_mean_a_record_is_refused_and_matters(line: str) -> None:
    """Nothing changes, and what it may have changed is in doubt."""
    found = typed(f"/a c {line}")

    assert [one.matters for one in found.refused] == [True]
    assert there("/a", found) == there("/a", typed(""))


def test_a_line_that_means_no_record_changes_nothing() -> None:
    """It is listed, but there is no doubt; what is to be removed is not there, as it was wished."""
    found = typed("/a b set [find name=z] cost=1")
    assert [(one.why, one.matters) for one in found.refused] == [(NOTHING_THERE, False)]
    assert not typed("/a c remove [find ids=99]").refused


def test_a_second_record_is_refused() -> None:
    """It may be there again once the first is gone."""
    assert [one.why for one in typed("/a b add name=x").refused] == [TAKEN]
    assert there("/a b add name=x", typed("/a b\nremove x\nadd name=x")) == ["disabled="]


def test_disable_and_enable() -> None:
    """Of the two the last one counts, whether `disabled` is a key of the record or not."""
    found = typed("/a b\ndisable x\n/a c\ndisable [find ids=20]\nenable [find ids=20]")

    assert there("/a b add name=x", found) == ["disabled=yes", "disabled=yes | cost=3"]
    assert there("/a c add owner=x ids=20", found)[0] == "disabled=no"
    (head,) = [one for one in found.lines if one.text == "/a b add name=x disabled=yes" and not one.passed]
    assert [line.text for line in head.lines] == ["disable x", "add cost=3 name=x"]


def test_things_on_the_box_are_there_without_a_line() -> None:
    """Each is known by what it is called on the box, and by the name it was given."""
    for line in ("/a box set [find jack=j1] disabled=yes", "/a box disable up", "/a disable up"):
        assert there("/a box", typed(line)) == [
            "set jack=j1 name=up disabled=yes",
            "set jack=j1 name=up disabled=yes | speed=9",
        ]
    assert there("/a box", typed("/a box set j2 speed=5"))[2:] == [
        "set jack=j2 name= disabled=",
        "set jack=j2 name= disabled= | speed=5",
    ]
    assert [one.matters for one in typed("/a box set up name=down").refused] == [True]


def test_a_name_of_several_words_and_a_path_before_the_verb() -> None:
    """A statement with its path before it leaves the section as it was."""
    found = typed('/a c\n/a b set "two words" cost=4\ndisable [find ids=20]')

    assert there("/a b add name=two words", found) == ["disabled=", "disabled= | cost=4"]
    assert there("/a c add owner=x ids=20", found)[0] == "disabled=yes"


def test_what_a_device_printed_is_never_refused() -> None:
    """Lines that nobody understands are handed on; a text that is printed twice is one."""
    twice = RECORDS.printed(lines_of(THERE), lines_of(THERE + "/a c set 3 list=e9\n")).lines

    assert any(one.text == "/a c set 3 owner= ids= disabled= | list=e9" for one in twice)
