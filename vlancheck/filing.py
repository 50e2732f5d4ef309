"""Surveys in; the files that what is said of them rests on, and how much of each was read, out."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

from vlancheck.outcome import FileRead, Sort
from vlancheck.pipeline import Site, Survey
from vlancheck.site.declaration import FILE


def files_read(site: Site, *surveys: Survey) -> tuple[FileRead, ...]:
    """Return the files of surveys, each once: the declaration, then captures, lines to be pasted and patch sheets."""
    found: dict[FileRead, list[str]] = {}
    for survey in surveys:
        for one in _of(survey):
            found.setdefault(one, []).append(survey.name)
    first = FileRead("", FILE, Sort.DECLARATION, digest=_digest(site.declaration.folder / FILE))
    return (first, *(replace(one, survey=", ".join(names)) for one, names in found.items()))


def _of(survey: Survey) -> Iterator[FileRead]:
    """Yield the files of one survey, which is not named yet."""
    reading = survey.reading
    captured = {section.file for section in reading.sections}
    for one in reading.accounts:
        sort = Sort.CAPTURE if one.file in captured else Sort.PASTED
        taken = one.taken or (survey.files.taken if sort is Sort.CAPTURE else "")
        sums = one.read, one.passed_over, one.unread, one.aside
        yield FileRead("", one.file, sort, one.devices, *sums, taken, one.digest)
    if (sheet := survey.sheet) is not None and (path := survey.files.patching) is not None:
        sums = len(sheet.rows), sheet.skipped, len(sheet.doubts), 0
        yield FileRead("", sheet.file, Sort.SHEET, (), *sums, "", _digest(path))


def _digest(path: Path) -> str:
    """Return the SHA-256 of a file in hex; "" for one that is no longer there."""
    try:
        return hashlib.sha256(path.read_bytes()).hexdigest()
    except OSError:
        return ""
