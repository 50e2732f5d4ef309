"""Capture files come in, sections of numbered lines go out; nothing here knows what a line means."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from pathlib import Path

from vlancheck.capture.console import Section, sections
from vlancheck.capture.lines import Line, decode, numbered
from vlancheck.errors import CaptureError

__all__ = ["Line", "Section", "load"]


def load(paths: Iterable[str | Path], *, root: Path | None = None) -> list[Section]:
    """Return the sections of the files, and of all files in the folders, named by `paths`."""
    found: list[Section] = []
    for path in paths:
        for file in _files(Path(path)):
            name = file.relative_to(root).as_posix() if root and file.is_relative_to(root) else file.as_posix()
            found += sections(name, numbered(decode(file.read_bytes(), name)))
    return found


def _files(path: Path) -> Iterator[Path]:
    if not path.exists():
        raise CaptureError("no such file or folder", file=str(path), hint="check the name")
    if path.is_dir():
        yield from sorted(file for file in path.rglob("[!.]*") if file.is_file())
    else:
        yield path
