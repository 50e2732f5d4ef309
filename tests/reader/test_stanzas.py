"""Lines of stanzas come in, path lines go out; what has an indented body of its own ends a stanza that has none."""

from __future__ import annotations

import re

from vlancheck.capture import Line
from vlancheck.reader.forms.stanzas import Stanzas

FORM = Stanzas(headers=(re.compile("port "),), ends=(re.compile("exit"),), comments=(re.compile("!.*"),))


def paths(text: str) -> list[tuple[str, str]]:
    """Return the path lines of a text, each with the other way to read it; comments and ends left out."""
    lines = [Line(number, line) for number, line in enumerate(text.split("\n"), 1)]
    return [(line.text, line.other) for line in FORM(lines) if not line.passed]


def test_an_unindented_line_after_a_header_may_belong_to_it_or_end_it() -> None:
    """Text that is typed in is not indented: both readings are handed on."""
    assert paths("port 1\nlight\nexit\nlight") == [("port 1", ""), ("port 1 | light", "light"), ("light", "")]


def test_a_line_with_an_indented_body_ends_a_header_without_one() -> None:
    """`port 1` says nothing; `router` and what is under it is no part of it, whatever stands between."""
    text = "port 1\nrouter\n\n! on\n  light\n    blue\nclock\nport 2\n  light"

    assert [path for path, _ in paths(text)] == [
        "port 1",
        "router",
        "router | light",
        "router | light | blue",
        "clock",
        "port 2",
        "port 2 | light",
    ]
    assert not any(other for _, other in paths(text))


def test_an_indented_end_is_no_body() -> None:
    """A terminal indents `exit` at times: the line before it is still part of the stanza."""
    assert paths("port 1\nlight\n  exit\nclock")[1] == ("port 1 | light", "light")


def test_an_end_as_deep_as_a_stanza_in_a_stanza_closes_the_inner_one_alone() -> None:
    """What is printed after the body of an inner stanza stands as deep as its header, and the outer one goes on."""
    text = "port 1\n flow 2\n  light\n exit\n flow 3\n  light\n exit\nexit\nclock"
    assert [path for path, _ in paths(text)] == [
        "port 1",
        "port 1 | flow 2",
        "port 1 | flow 2 | light",
        "port 1 | flow 3",
        "port 1 | flow 3 | light",
        "clock",
    ]


NESTED = Stanzas(headers=(re.compile("port "),), inner=(re.compile("flow "),), ends=(re.compile("exit"),))


def test_a_stanza_in_a_stanza_may_stand_without_any_indentation() -> None:
    """Typed lines: an inner header goes on until an end, the next inner one, or the next header."""
    text = "port 1\nflow 2\nlight\nflow 3\n light\nflow 4\nlight\nexit\ndark\nexit\nflow 5\nport 2\ndark"
    lines = [Line(number, line) for number, line in enumerate(text.split("\n"), 1)]
    assert [(line.text, len(line.headers)) for line in NESTED(lines) if not line.passed] == [
        ("port 1", 0),
        ("port 1 | flow 2", 1),
        ("port 1 | flow 2 | light", 2),
        ("port 1 | flow 3", 1),
        ("port 1 | flow 3 | light", 2),
        ("port 1 | flow 4", 1),
        ("port 1 | flow 4 | light", 2),
        ("port 1 | dark", 1),
        ("flow 5", 0),
        ("port 2", 0),
        ("port 2 | dark", 1),
    ]
