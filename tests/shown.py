"""What documents show of a terminal: commands are run as a reader would, and their lines compared."""

from __future__ import annotations

import os
import shlex
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[1]
CUT = "…"


def matches(printed: list[str], shown: list[str]) -> bool:
    """Tell whether lines are as shown, where `…` alone is any number of lines and at an end the rest of one."""
    at, loose = 0, False
    for line in shown:
        if line == CUT:
            loose = True
            continue
        fits = (lambda one, line=line: one.startswith(line[:-1])) if line.endswith(CUT) else line.__eq__
        hits = [number for number in range(at, len(printed)) if fits(printed[number])]
        if not hits or (hits[0] != at and not loose):
            return False
        at, loose = hits[0] + 1, False
    return loose or at == len(printed)


def on_a_terminal(command: str, folder: Path) -> list[str]:
    """Return what a command prints on a terminal of 80 columns."""
    screen, terminal = os.openpty()
    program = [sys.executable, "-c", "from vlancheck.cli import main; main()", *shlex.split(command)[1:]]
    env = {**os.environ, "COLUMNS": "80", "NO_COLOR": "1", "PYTHONPATH": str(ROOT)}
    with subprocess.Popen(program, cwd=folder, env=env, stdout=terminal, stderr=subprocess.DEVNULL):
        os.close(terminal)
        printed = b""
        while part := _read(screen):
            printed += part
    os.close(screen)
    return printed.decode().replace("\r\n", "\n").splitlines()


def _read(screen: int) -> bytes:
    try:
        return os.read(screen, 65536)
    except OSError:  # how Linux says that the other end is closed
        return b""
