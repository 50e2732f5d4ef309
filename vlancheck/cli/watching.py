"""A command that is run again whenever a file of its site changes, for work in the closet."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path

from vlancheck.cli.guard import COULD_NOT_RUN
from vlancheck.cli.output import hint
from vlancheck.errors import UsageError, VlancheckError

BELOW = 4  # rows that what is told around a report takes: what changed, a blank, and how it goes on
EVERY = 1.0  # seconds between two looks at the files
_SETTLED = 0.2  # seconds for which nothing changes before a file counts as written
Seen = dict[Path, tuple[int, int]]  # file -> time of its last change, bytes


def watched(folder: Path, run: Callable[[], int], out: Path | None) -> int:
    """Run again and again, each time that a capture, a sheet or site.yaml changes, until somebody interrupts it.

    What is wrong with a file in between is told, and the files are watched on.  Raises UsageError where the report goes
    to a file, which a run would overwrite while people read it.
    """
    if out is not None:
        raise UsageError("--watch shows its reports, and writes none", hint="leave out --watch or --output")
    while True:
        seen = _look(folder)
        try:
            run()
            sys.stdout.flush()
        except VlancheckError as error:
            hint(f"vlancheck: {error}")
            if not folder.is_dir():
                return COULD_NOT_RUN
        hint(f"watching {folder}: a change of its files runs this again; Ctrl-C ends it")
        changed = _wait(folder, seen)
        print(f"\n{'-' * 40}\nchanged: {', '.join(changed)}\n")


def _wait(folder: Path, seen: Seen) -> list[str]:
    """Return which files changed, once they are written."""
    while True:
        time.sleep(EVERY)
        now = _look(folder)
        if now != seen:
            while True:
                time.sleep(_SETTLED)
                later = _look(folder)
                if later == now:
                    break
                now = later
            changed = sorted(path for path in {*now, *seen} if now.get(path) != seen.get(path))
            return [path.relative_to(folder).as_posix() for path in changed]


def _look(folder: Path) -> Seen:
    return dict(_files(folder))


def _files(folder: Path) -> Iterator[tuple[Path, tuple[int, int]]]:
    for path in folder.rglob("*"):
        if any(part.startswith((".", "~")) for part in path.relative_to(folder).parts):
            continue  # what editors and office programs leave beside a file while they write it
        try:
            if path.is_file():
                found = path.stat()
                yield path, (found.st_mtime_ns, found.st_size)
        except OSError:
            continue  # gone in between
