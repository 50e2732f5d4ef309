"""What stops the program, as opposed to what it finds in a network.

    VlancheckError          anything below: one clear message, exit code 2
        UsageError          a command line that cannot be carried out
        CaptureError        a capture file that cannot be used
        DialectError        a dialect folder that is not right
        SiteError           a site folder, its declaration or its links
        NotationError       a text in the bug-report notation

Everything about the user's network is a finding, never an exception.
"""

from __future__ import annotations


class VlancheckError(Exception):
    """The program cannot go on.

    `message` says what is wrong, `file` and `line` (1-based, 0 when the whole file is meant) where,
    `hint` what to do about it; `str()` is all of it as `file:line: message` and an indented hint.
    """

    def __init__(self, message: str, *, file: str = "", line: int = 0, hint: str = "") -> None:
        super().__init__(message)
        self.message = message
        self.file = file
        self.line = line
        self.hint = hint

    def __str__(self) -> str:
        place = f"{self.file}:{self.line}: " if self.file and self.line else f"{self.file}: " if self.file else ""
        return f"{place}{self.message}" + (f"\n  {self.hint}" if self.hint else "")


class UsageError(VlancheckError):
    """A command line that cannot be carried out."""


class CaptureError(VlancheckError):
    """A capture file that cannot be used."""


class DialectError(VlancheckError):
    """A dialect folder that is not right."""


class SiteError(VlancheckError):
    """A site folder, its declaration or its links."""


class NotationError(VlancheckError):
    """A text in the bug-report notation that cannot be read."""
