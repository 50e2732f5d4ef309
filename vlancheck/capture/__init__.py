"""Capture files come in, sections of numbered lines go out; nothing here knows what a line means."""

from __future__ import annotations

import hashlib
import os
from collections.abc import Iterable, Iterator
from dataclasses import replace
from pathlib import Path

from vlancheck.capture import pager
from vlancheck.capture.console import Section, sections
from vlancheck.capture.lines import Line, decode, numbered
from vlancheck.errors import CaptureError

__all__ = ["Line", "Section", "files", "load"]


def load(paths: Iterable[str | Path], *, root: Path | None = None) -> list[Section]:
    """Return the sections of the files, and of all files in the folders, that `paths` names.

    Folders are read with their sub-folders, in order of name; hidden files in them are passed over, and no file is
    read twice.  Files are called by their path from `root` where they lie in it, else as given.  Raises
    CaptureError for a path, folder or file that cannot be used.
    """
    found: list[Section] = []
    for file in files(paths):
        name = _name(file, root)
        data = _read(file)
        text, digest = decode(data, name), hashlib.sha256(data).hexdigest()
        made = sections(name, numbered(text), paged=pager.lines_with_prompts(text))
        found += [replace(one, digest=digest) for one in made]
    return found


def files(paths: Iterable[str | Path]) -> Iterator[Path]:
    """Yield the files that `paths` names, each once; raise CaptureError as `load` says."""
    seen: set[Path] = set()
    for path in map(Path, paths):
        for file in _files(path):
            if (place := file.resolve()) not in seen:
                seen.add(place)
                yield file


def _name(file: Path, root: Path | None) -> str:
    if root is not None:
        for whole, part in ((file, root), (file.absolute(), root.absolute()), (file.resolve(), root.resolve())):
            if whole.is_relative_to(part):
                return whole.relative_to(part).as_posix()
    return file.as_posix()


def _files(path: Path) -> Iterator[Path]:
    try:
        folder, there = path.is_dir(), path.exists() or path.is_symlink()
    except (OSError, ValueError) as error:
        raise _unreadable(path, error) from error
    if not there:
        hint = (
            f"{path.parent.as_posix()} is there; look for the name in it" if path.parent.is_dir() else "check the path"
        )
        raise CaptureError("there is no such file or folder", file=path.as_posix(), hint=hint)
    if not folder:
        yield path
        return
    files = _inside(path)
    if not files:
        hint = "put captures into it; hidden files are passed over"
        raise CaptureError("the folder holds no file", file=path.as_posix(), hint=hint)
    yield from files


def _inside(folder: Path) -> list[Path]:
    files: list[Path] = []

    def refuse(error: OSError) -> None:
        raise _unreadable(Path(error.filename or folder), error) from error

    for place, folders, names in os.walk(folder, onerror=refuse):
        folders[:] = [name for name in folders if not name.startswith(".")]
        here = Path(place)
        shown = [here / name for name in names if not name.startswith(".")]
        if lost := next((file for file in shown if file.is_symlink() and not file.exists()), None):
            raise CaptureError("is a link to nothing", file=lost.as_posix(), hint="mend the link, or take it away")
        files += [file for file in shown if file.is_file()]
    return sorted(files, key=lambda file: file.relative_to(folder).parts)


def _read(file: Path) -> bytes:
    try:
        return file.read_bytes()
    except OSError as error:
        raise _unreadable(file, error) from error


def _unreadable(path: Path, error: Exception) -> CaptureError:
    why = (error.strerror or str(error)) if isinstance(error, OSError) else str(error)
    hint = "check who may read it"
    return CaptureError(f"cannot be read: {why.lower()}", file=path.as_posix(), hint=hint)
