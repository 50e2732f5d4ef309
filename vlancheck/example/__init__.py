"""The built-in closet, as files of a site: an invented library's basement, before and after a rebuild."""

from __future__ import annotations

import hashlib
from importlib.resources import files
from importlib.resources.abc import Traversable
from pathlib import Path

from vlancheck.errors import UsageError

REPORT = "report.html"  # the page that the demo writes beside the site
_MARK = "<!-- written by vlancheck demo "  # begins the last line of that page, before the digest of the rest


def write_site(folder: Path) -> list[Path]:
    """Write the built-in site into `folder` and return its files.

    Files that are there already and differ are somebody's work: UsageError, and nothing is written.
    """
    texts = {folder / name: text for name, text in _texts(files(__package__) / "site", Path())}
    try:
        for path, text in texts.items():
            if path.exists() and path.read_text(encoding="utf-8") != text:
                raise UsageError("is there already and differs", file=str(path), hint="name another folder")
        for path, text in texts.items():
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(text, encoding="utf-8", newline="\n")
    except (OSError, UnicodeDecodeError) as error:
        raise UsageError(f"the site cannot be written there: {error}", file=str(folder)) from error
    return sorted(texts)


def write_report(folder: Path, page: str) -> Path:
    """Write the page of the demo into `folder` and return its path; UsageError as `write_site` says."""
    path = folder / REPORT
    try:
        if path.exists() and not _own(path.read_text(encoding="utf-8")):
            raise UsageError("is there already and differs", file=str(path), hint="name another folder")
        body = page.rstrip("\n")
        path.write_text(f"{body}\n{_MARK}{_digest(body)} -->\n", encoding="utf-8", newline="\n")
    except (OSError, UnicodeDecodeError) as error:
        raise UsageError(f"the page cannot be written there: {error}", file=str(folder)) from error
    return path


def _own(text: str) -> bool:
    """Tell whether a page is one the demo wrote, unchanged."""
    body, mark, rest = text.rstrip("\n").rpartition(f"\n{_MARK}")
    return bool(mark) and rest == f"{_digest(body)} -->"


def _digest(body: str) -> str:
    return hashlib.sha256(body.encode()).hexdigest()[:16]


def _texts(node: Traversable, at: Path) -> list[tuple[Path, str]]:
    found = []
    for child in sorted(node.iterdir(), key=lambda item: item.name):
        if child.is_dir():
            found += _texts(child, at / child.name)
        else:
            found.append((at / child.name, child.read_text(encoding="utf-8")))
    return found
