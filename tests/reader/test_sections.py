"""The form `sections`: which record a line means, and where each of its keys stands."""

from __future__ import annotations

from vlancheck.capture import Line
from vlancheck.reader.forms.sections import KeyedSections

FORM = KeyedSections({"/a b": ("name",)})


def read(text: str) -> list[tuple[str, tuple[int, ...], bool]]:
    """Return each path line with the numbers of its own lines, and whether it is passed over."""
    lines = [Line(number, line) for number, line in enumerate(text.split("\n"), 1)]
    return [(one.text, tuple(line.number for line in one.lines), one.passed) for one in FORM(lines)]


def test_header_with_slashes_is_the_header_with_blanks() -> None:
    """Newer firmware writes `/a/b`, older `/a b`: the same path, alone or with a statement behind it."""
    wanted = [("/a b add name=x", (2,), False), ("/a b add name=x | vid=7", (2,), False)]

    assert read("/a/b\nadd vid=7 name=x")[1:] == wanted
    assert read("/a b\nadd vid=7 name=x")[1:] == wanted
    assert read("/a/b/add vid=7 name=x") == [(text, (1,), passed) for text, _, passed in wanted]
    assert read("/a/b add vid=7 name=x") == [(text, (1,), passed) for text, _, passed in wanted]


def test_value_split_over_two_lines_is_one_value_of_both() -> None:
    """A backslash ends a line in the middle of a list; the second line is told of, and says nothing more."""
    assert read('/a b\nadd name="two words" list=e1,\\\n    e2 vid=7')[1:] == [
        ("/a b add name=two words", (2,), False),
        ("/a b add name=two words | list=e1,e2", (2,), False),
        ("/a b add name=two words | vid=7", (3,), False),
    ]


def test_statement_of_no_known_verb_is_left_to_the_patterns() -> None:
    """Only a bare path is punctuation; whatever else begins with a slash may say something."""
    assert read("/a b") == [("/a b", (1,), True)]
    assert read("/a b export file=x") == [("/a b export file=x", (1,), False)]
    assert read("/a b unset x key") == [("/a b unset x key name=", (1,), False)]


def test_list_becomes_a_path_line_for_each_item() -> None:
    """Each item can then be the name of a group; a key that is not named so stays whole."""
    form = KeyedSections({"/a": ("name",)}, each=frozenset({"list"}))
    lines = [Line(1, '/a add name=x list="one item,e2" other=1,2')]

    assert [one.text for one in form(lines)] == [
        "/a add name=x",
        "/a add name=x | list=one item",
        "/a add name=x | list=e2",
        "/a add name=x | other=1,2",
    ]


def test_unset_key_is_a_path_line_and_no_part_of_the_record() -> None:
    """`!key` says that a key has no value; it does not tell which record the line means."""
    assert read("/a b add name=x !cost vid=7") == [
        ("/a b add name=x", (1,), False),
        ("/a b add name=x | !cost", (1,), False),
        ("/a b add name=x | vid=7", (1,), False),
    ]
