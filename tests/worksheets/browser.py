"""A headless Chromium: a page printed to PDF and its words read back, or a page run and its elements read back."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
from dataclasses import dataclass
from pathlib import Path
from typing import NoReturn
from xml.etree import ElementTree

import pytest

PROGRAMS = {"chromium": "chromium", "pdftotext": "poppler-utils"}  # program -> Debian package that has it
_QUIET = ("--headless=new", "--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage", "--no-first-run")


@dataclass(frozen=True)
class Word:
    """A word on a page, in points from its left upper corner."""

    text: str
    left: float
    top: float
    right: float
    bottom: float


@dataclass(frozen=True)
class PrintedPage:
    """One page."""

    width: float
    height: float
    words: tuple[Word, ...]

    @property
    def text(self) -> str:
        """Return its words, joined by blanks."""
        return " ".join(word.text for word in self.words)


def needed() -> None:
    """Skip the test where a program is missing; fail where VLANCHECK_REQUIRE_CHROMIUM=1 asks for it."""
    missing = sorted({package for program, package in PROGRAMS.items() if shutil.which(program) is None})
    if missing:
        _unavailable(f"not installed: {', '.join(missing)} (Debian packages)")


def printed(page: str, folder: Path) -> list[PrintedPage]:
    """Return the pages of a document as Chromium prints it."""
    source, made = folder / "page.html", folder / "page.pdf"
    source.write_text(page, encoding="utf-8")
    _run(
        *_QUIET,
        f"--user-data-dir={folder}/profile",
        "--no-pdf-header-footer",
        f"--print-to-pdf={made}",
        source.as_uri(),
    )
    assert made.exists(), "Chromium printed nothing"
    words = subprocess.run(["pdftotext", "-bbox", made, "-"], capture_output=True, check=True).stdout.decode()
    # what pdftotext cannot spell in XML is none of the words that are looked for
    tree = ElementTree.fromstring(re.sub(r"[\x00-\x08\x0b\x0c\x0e-\x1f]", "", words))
    space = "{http://www.w3.org/1999/xhtml}"
    return [
        PrintedPage(
            float(one.attrib["width"]),
            float(one.attrib["height"]),
            tuple(
                Word(word.text or "", *(float(word.attrib[side]) for side in ("xMin", "yMin", "xMax", "yMax")))
                for word in one.iter(f"{space}word")
            ),
        )
        for one in tree.iter(f"{space}page")
    ]


def after_script(page: str, folder: Path) -> str:
    """Return the elements of a page after its scripts ran."""
    source = folder / "page.html"
    source.write_text(page, encoding="utf-8")
    return _run(
        *_QUIET, f"--user-data-dir={folder}/profile", "--virtual-time-budget=3000", "--dump-dom", source.as_uri()
    )


def _run(*words: str) -> str:
    done = subprocess.run(["chromium", *words], capture_output=True, text=True, timeout=180, check=False)
    assert done.returncode == 0, done.stderr[-2000:]
    return done.stdout


def _unavailable(why: str) -> NoReturn:
    if os.environ.get("VLANCHECK_REQUIRE_CHROMIUM") == "1":
        pytest.fail(why)
    pytest.skip(why)
