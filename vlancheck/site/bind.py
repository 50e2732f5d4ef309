"""Which capture file is which box: what site.yaml says of it."""

from __future__ import annotations

import os
from collections.abc import Iterable
from pathlib import Path, PurePosixPath

from vlancheck.capture.console import Section
from vlancheck.site.declaration import Declaration
from vlancheck.site.places import nearest


def bindings(declaration: Declaration, sections: Iterable[Section]) -> tuple[dict[str, str], dict[str, str]]:
    """Return file -> device and device -> dialect, as declared.

    A file is named by its path in the site folder or by its last parts.  A file that only another survey has is no
    fault here.  Raises SiteError when several fit, when two devices claim one, and when no survey has it.
    """
    files = list(dict.fromkeys(section.file for section in sections))
    names: dict[str, str] = {}
    for device in declaration.devices.values():
        for value in device.captures:
            written = value.word("`captures`")
            matching = [file for file in files if _ends(file, written)]
            if len(matching) > 1:
                hint = f"write more of the path: {', '.join(matching)}"
                raise value.error(f"{device.name}: several captures are called {written}", hint)
            if not matching:
                everywhere = _all_files(declaration)
                if not any(_ends(file, written) for file in everywhere):
                    hint = nearest(written, [PurePosixPath(file).name for file in everywhere])
                    raise value.error(f"{device.name}: no capture of any survey is called {written}", hint)
            for file in matching:
                if names.setdefault(file, device.name) != device.name:
                    hint = "a file is bound to one device; one that holds several is split by their prompts"
                    raise value.error(f"{file} is bound to {names[file]} and to {device.name}", hint)
    dialects = {device.name: device.dialect for device in declaration.devices.values() if device.dialect}
    return names, dialects


def _ends(file: str, written: str) -> bool:
    parts = PurePosixPath(written.replace("\\", "/")).parts
    return PurePosixPath(file).parts[-len(parts) :] == parts


def _all_files(declaration: Declaration) -> list[str]:
    found: list[str] = []
    for survey in declaration.surveys.values():
        for path in survey.captures:
            inside = (
                [Path(here) / name for here, _, names in os.walk(path) for name in names] if path.is_dir() else [path]
            )
            found += [declaration.shown(file) for file in inside]
    return sorted(set(found))
