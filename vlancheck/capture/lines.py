"""Bytes of a capture file come in, numbered lines go out: cleaned, secrets masked, numbers as an editor counts them."""

from __future__ import annotations

from typing import NamedTuple

from vlancheck.capture.clean import clean
from vlancheck.capture.secrets import mask
from vlancheck.errors import CaptureError


class Line(NamedTuple):
    """One line of a capture."""

    number: int  # 1-based line in the file, as an editor or grep -n counts it
    text: str  # cleaned, secrets masked, no line end, indentation kept


def decode(data: bytes, file: str) -> str:
    """Return the text of a capture file."""
    if not data.strip():
        raise CaptureError("the file is empty", file=file, hint="capture it again, or leave it out")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        return data.decode("cp1252", errors="replace")


def numbered(text: str) -> list[Line]:
    """Return the lines of `text`."""
    return [Line(number, mask(clean(line.strip("\r")))) for number, line in enumerate(text.split("\n"), 1)]
