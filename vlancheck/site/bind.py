"""Which capture file is which box: what site.yaml says of it."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import PurePosixPath

from vlancheck.capture.console import Section
from vlancheck.site.declaration import Declaration


def bindings(declaration: Declaration, sections: Iterable[Section]) -> tuple[dict[str, str], dict[str, str]]:
    """Return file -> device and device -> dialect, as declared.

    A file is named by its path in the site folder or by its last parts; SiteError when several fit.
    """
    files = list(dict.fromkeys(section.file for section in sections))
    names: dict[str, str] = {}
    for device in declaration.devices.values():
        for written in device.captures:
            matching = [file for file in files if _ends(file, written)]
            if len(matching) > 1:
                hint = f"write more of the path: {', '.join(matching)}"
                raise device.at.error(f"{device.name}: several captures are called {written}", hint)
            names |= dict.fromkeys(matching, device.name)
    dialects = {device.name: device.dialect for device in declaration.devices.values() if device.dialect}
    return names, dialects


def _ends(file: str, written: str) -> bool:
    parts = PurePosixPath(written.replace("\\", "/")).parts
    return PurePosixPath(file).parts[-len(parts) :] == parts
