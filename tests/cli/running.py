"""Runs a command line in this process."""

from __future__ import annotations

from pathlib import Path

import pytest

from vlancheck.cli.app import app


def run(*words: str | Path) -> int:
    """Return the exit code of a command line."""
    with pytest.raises(SystemExit) as ended:
        app([*map(str, words)])
    return int(ended.value.code or 0)
