"""Where a report goes: standard output, or a file that is written whole or not at all."""

from __future__ import annotations

import json
import os
import sys
import tempfile
from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path
from typing import Any

from vlancheck.errors import UsageError


def emit(text: str, out: Path | None = None) -> None:
    """Print `text`, or write it to `out`.

    Raises UsageError when the file cannot be written; what was there before is then untouched.
    """
    if out is None:
        sys.stdout.write(text if text.endswith("\n") else text + "\n")
        return
    _write((text if text.endswith("\n") else text + "\n").encode(), out)


def emit_bytes(data: bytes, out: Path) -> None:
    """Write `data` to `out`, whole or not at all; UsageError when it cannot be written."""
    _write(data, out)


def emit_new(data: bytes, out: Path) -> None:
    """Write `data` to a file that is not there yet; UsageError when it is, or cannot be written."""
    if out.exists():
        raise UsageError("is there already, and is not overwritten", file=str(out), hint="name a new file")
    _write(data, out)


def emit_folder(files: Mapping[str, bytes], out: Path) -> None:
    """Write files into a folder, which is made where it is not there: all of them, or none.

    Raises UsageError when one of them is there already, or the folder cannot be written.
    """
    if out.exists() and not out.is_dir():
        raise UsageError("is a file; a folder is wanted", file=str(out), hint="name a folder")
    for name in files:
        if (out / name).exists():
            raise UsageError("is there already, and is not overwritten", file=str(out / name), hint="name a new folder")
    made: list[Path] = []
    folders: list[Path] = []
    try:
        for folder in (*reversed(out.parents), out):
            if not folder.exists():
                folder.mkdir()
                folders.append(folder)
        for name, data in files.items():
            with (out / name).open("xb") as file:
                made.append(out / name)
                file.write(data)
    except BaseException as error:
        for path in made:
            path.unlink(missing_ok=True)
        for folder in reversed(folders):
            with suppress(OSError):
                folder.rmdir()
        if isinstance(error, OSError):
            raise UsageError(f"cannot be written: {error.strerror}", file=str(out)) from error
        raise


def _write(data: bytes, out: Path) -> None:
    try:
        handle, name = tempfile.mkstemp(dir=out.parent, prefix=f".{out.name}.")
        try:
            with os.fdopen(handle, "wb") as file:
                file.write(data)
            os.chmod(name, 0o666 & ~_umask())
            os.replace(name, out)
        except BaseException:
            os.unlink(name)
            raise
    except OSError as error:
        raise UsageError(f"cannot be written: {error.strerror}", file=str(out)) from error


def emit_json(document: dict[str, Any], out: Path | None = None) -> None:
    """Print or write a document as JSON, keys in the order given."""
    emit(json.dumps(document, indent=2, ensure_ascii=False), out)


def hint(text: str) -> None:
    """Tell people something that is not part of the report."""
    print(text, file=sys.stderr)


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask
