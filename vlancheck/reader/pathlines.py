"""The text of a capture as path lines: each line with the headers it stands under written before it.

`interface Gi1/0/1 | switchport access vlan 10` says all that a pattern needs to know of a line.  A bar in
the user's own text is written `¦` inside a path line, so that a separator is never mistaken.
"""

from __future__ import annotations

from typing import NamedTuple

from vlancheck.capture import Line

SEP = " | "  # between the segments of a path line
_BAR = "¦"  # stands for a bar of the user's own text


class PathLine(NamedTuple):
    """One line as a form or a macro hands it on."""

    text: str  # segments, outermost first, words joined by one blank
    lines: tuple[Line, ...]  # the line itself, then further lines that brought it here (a range, a group)
    headers: tuple[Line, ...] = ()  # the lines it stands under, outermost first
    passed: bool = False  # punctuation, a comment, literal text: passed over by the form
    other: str = ""  # how the line reads when it ends the stanza it seems to stand in; "" no other way


def squeezed(text: str) -> str:
    """Return `text` with single blanks and no bar, as a segment of a path line."""
    text = " ".join(text.split())
    return text.replace("|", _BAR) if "|" in text else text


def restored(value: str) -> str:
    """Return a piece of a path line as the user wrote it."""
    return value.replace(_BAR, "|") if _BAR in value else value


def leaf(text: str) -> str:
    """Return the last segment of a path line: what the line itself says."""
    return text.rpartition(SEP)[2]
