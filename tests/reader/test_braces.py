"""Text of nested blocks comes in, whole statements go out."""

from __future__ import annotations

import re

from vlancheck.capture import Line
from vlancheck.reader.forms.braces import Braces
from vlancheck.reader.pathlines import PathLine


def read(form: Braces, text: str) -> list[PathLine]:
    """Return the path lines of `text`."""
    return list(form([Line(number, line) for number, line in enumerate(text.splitlines(), 1)]))


def test_a_part_stands_under_the_statement_it_is_a_part_of() -> None:
    """A closing brace too many does not lead out of it."""
    lines = read(Braces(under="vlans"), "A {\n    vlan-id 10;\n}\n}\ninactive: B {\n    vlan-id [ 20 30 ];\n}\n")

    assert [(line.text, line.lines[0].number) for line in lines if not line.passed] == [
        ("set vlans A vlan-id 10", 2),
        ("deactivate vlans B", 5),
        ("set vlans B vlan-id 20", 6),
        ("set vlans B vlan-id 30", 6),
    ]


def test_lines_that_say_nothing_are_no_statements() -> None:
    """What a prompt prints behind the text does not become the beginning of the next statement."""
    form = Braces(comments=(re.compile(r"\{\w+:\d+\}$"),))
    lines = read(form, "{master:0}\na {\n    b;\n}\n{master:0}\n")

    assert [line.text for line in lines if not line.passed] == ["set a b"]
    assert [line.lines[0].number for line in lines if line.passed] == [1, 2, 4, 5]


def test_without_a_semicolon_every_line_is_a_statement_and_an_empty_block_is_a_leaf() -> None:
    """As VyOS prints its configuration."""
    found = read(Braces(), 'a {\n    b c {\n    }\n    /* d\n       e */\n    f "g { h"\n}\n')

    assert [line.text for line in found if not line.passed] == ["set a b c", 'set a f "g { h"']
