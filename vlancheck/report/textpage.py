"""Words in, lines of text at one width out, with or without colour."""

from __future__ import annotations

import textwrap

import typer

from vlancheck.findings.finding import Severity
from vlancheck.verdicts.verdict import State

_COLOURS = {
    State.DROPPED: "red",
    State.MISMATCHED: "red",
    State.LEAKED: "red",
    State.UNPROVEN: "yellow",
    State.NOT_YET: "blue",
    State.CARRIED: "green",
    Severity.ERROR: "red",
    Severity.WARNING: "yellow",
    Severity.NOTE: "blue",
}


class Page:
    """Lines of text under way, at one width, with or without colour."""

    def __init__(self, width: int = 80, colour: bool = False) -> None:
        """Take the width of the terminal, and whether it shows colours."""
        self.width, self.colour = max(40, min(width, 110)), colour
        self.lines: list[str] = []

    def put(self, text: str = "") -> None:
        """Add a line as it is."""
        self.lines.append(text.rstrip())

    def prose(self, text: str, indent: int = 0, hang: int | None = None) -> None:
        """Add words, wrapped at blanks; a word longer than the line stays whole."""
        first, rest = " " * indent, " " * (indent if hang is None else hang)
        wrapper = textwrap.TextWrapper(self.width, first, rest, break_long_words=False, break_on_hyphens=False)
        self.lines += wrapper.wrap(text) or [""]

    def paint(self, word: str, key: State | Severity) -> str:
        """Return a word in the colour of its state."""
        return painted(word, key) if self.colour else word

    @property
    def text(self) -> str:
        """Return the whole."""
        return "\n".join(self.lines)


def painted(word: str, key: State | Severity) -> str:
    """Return a word in the colour of its state."""
    return typer.style(word, fg=_COLOURS[key], bold=True)
