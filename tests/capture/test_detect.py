"""The dialect of a text is told by its signs, the same way every time."""

from __future__ import annotations

import re

import pytest

from vlancheck.capture.console import Section
from vlancheck.capture.detect import Signature, detect
from vlancheck.capture.lines import Line


def signature(dialect: str, *patterns: str, commands: tuple[str, ...] = ()) -> Signature:
    """Return a signature of uncompiled patterns."""
    return Signature(dialect, patterns, tuple(map(re.compile, commands)))


def section(*texts: str, command: str = "") -> Section:
    """Return a section of these lines."""
    return Section("a.txt", "", command, tuple(Line(number, text) for number, text in enumerate(texts, 1)), None)


PLUM = signature("plum", r"^ switchport ", r"^hostname ", commands=(r"show run",))
PEAR = signature("pear", r"^ switchport ", r"^sysname ", commands=(r"display ",))


def test_the_dialect_with_more_signs_comes_first() -> None:
    """Every pattern counts once, however many lines it fits; the command counts less than a line."""
    text = section("hostname SW", " switchport mode access", " switchport access vlan 10", command="show run")

    assert detect(text, [PEAR, PLUM]) == [("plum", 25), ("pear", 10)]


def test_equals_are_in_order_of_name() -> None:
    """The order of the signatures does not matter."""
    text = section(" switchport mode access")

    assert detect(text, [PLUM, PEAR]) == detect(text, [PEAR, PLUM]) == [("pear", 10), ("plum", 10)]


def test_a_command_alone_is_a_sign() -> None:
    """An output without any known line is told by the command that printed it."""
    assert detect(section("x", command="display vlan"), [PLUM, PEAR]) == [("pear", 5)]


def test_no_sign_no_dialect() -> None:
    """Nothing is guessed."""
    assert detect(section("x", "y"), [PLUM, PEAR]) == []
    assert detect(section(), [PLUM, PEAR]) == []


def test_a_sign_that_repeats_is_found_in_a_long_text() -> None:
    """Of a very long text an even choice of the different lines is looked at."""
    text = section(*(f"line {number}" for number in range(5000)), *(f" switchport {n}" for n in range(5000)))

    assert detect(text, [PEAR]) == [("pear", 10)]


@pytest.mark.parametrize(
    "line", ["hostname a", "  vlan 10", "interface Gi1/0/1", "abc", "def", "ac", "nothing", "+---+"]
)
@pytest.mark.parametrize(
    "pattern",
    [
        r"^hostname \S",
        r"^\s*vlan \d+$",
        r"^interface (?:Gi|Te)\d",
        "^abc|def",
        "^ab?c",
        "^(?:abc|def)",
        "ost",
        r"^\+-",
        "^ab(?:c|d)|ef",
        "(?i)^HOST",
        "^(?i:VLAN|no) ?[a-z]",
    ],
)
def test_a_pattern_that_is_not_tried_would_not_have_been_found(pattern: str, line: str) -> None:
    """What a pattern begins with spares the search, and never an answer."""
    sign = Signature("family", (pattern,), ())
    section = Section("x", "", "", (Line(1, line),), None)
    assert bool(detect(section, [sign])) is bool(re.search(pattern, line))
