"""The built-in closet, as files of a site: an invented veterinary practice."""

from __future__ import annotations

from importlib.resources import files
from importlib.resources.abc import Traversable
from pathlib import Path

from vlancheck.errors import UsageError

START = ("SORT-1:Gi0/1", "310")  # where the carrier's tag comes in, for the walk that the demo shows


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


def _texts(node: Traversable, at: Path) -> list[tuple[Path, str]]:
    found = []
    for child in sorted(node.iterdir(), key=lambda item: item.name):
        if child.is_dir():
            found += _texts(child, at / child.name)
        else:
            found.append((at / child.name, child.read_text(encoding="utf-8")))
    return found
