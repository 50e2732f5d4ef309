"""Where the fixtures are, and what they become."""

from __future__ import annotations

from pathlib import Path

from vlancheck.capture import load
from vlancheck.reader import Reading, read
from vlancheck.report.described import describe

__all__ = ["FIXTURES", "describe", "read_fixture"]

FIXTURES = Path(__file__).parents[2] / "fixtures" / "dialects"


def read_fixture(path: Path) -> Reading:
    """Return the reading of one capture."""
    return read(load([path], root=FIXTURES))
