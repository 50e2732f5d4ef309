"""YAML as people write it: scalars stay text, lines are kept, and what is not right is one error."""

from __future__ import annotations

import pytest

from vlancheck.errors import DialectError
from vlancheck.yamltext import Items, Table, Text, load


def test_scalars_stay_as_written_and_know_their_line() -> None:
    """Nothing is a number, a truth value or a time; an empty value is told from an empty text."""
    table = load("a: off\nb: [0750, 3:15]\nc:\nd: ''\n", "x.yaml", DialectError)
    assert isinstance(table, Table)
    assert table == {"a": "off", "b": ["0750", "3:15"], "c": "", "d": ""}
    assert [key.line for key in table] == [1, 2, 3, 4]
    blank, quoted, items = table[Text("c")], table[Text("d")], table[Text("b")]
    assert isinstance(blank, Text)
    assert isinstance(quoted, Text)
    assert isinstance(items, Items)
    assert (blank.blank, quoted.blank, items.line) == (True, False, 2)


@pytest.mark.parametrize(
    ("text", "line", "says"),
    [
        ("a: 1\na: 2\n", 2, "the key 'a' stands here and on line 1"),
        ("a:\n  ? [b]\n  : c\n", 2, "a key is a list where a word belongs"),
        ("a: 'b\n", 1, "this is not YAML"),
        ("a:\n\tb: c\n", 2, "a tab stands where YAML wants blanks"),
        ("a: &b [*b]\n", 1, "an alias contains itself"),
        ("a: \x07\n", 1, "this is not YAML"),
        ("[" * 100_000, 1, "maximum nesting depth"),
    ],
)
def test_what_is_not_right_is_one_error(text: str, line: int, says: str) -> None:
    """The caller's own error, with file and line."""
    with pytest.raises(DialectError, match=says) as caught:
        load(text, "x.yaml", DialectError)
    assert (caught.value.file, caught.value.line) == ("x.yaml", line)


def test_no_document_is_none() -> None:
    """What a file must hold is for its reader to say."""
    assert load("# nothing\n", "x.yaml") is None
