"""A line comes in; whether it holds a word that could touch VLANs goes out.

The words are data (`dialects/sensitive.yaml`), so that the list is published and a test can walk it.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from functools import cache
from pathlib import Path

from vlancheck import yamltext
from vlancheck.errors import DialectError

FOLDER = Path(__file__).parent.parent / "dialects"


@cache
def words() -> tuple[str, ...]:
    """Return the published words, which hold for every dialect."""
    file = FOLDER / "sensitive.yaml"
    node = yamltext.load(file.read_text(encoding="utf-8"), str(file), DialectError)
    if not isinstance(node, yamltext.Table) or not isinstance(listed := node.get(yamltext.Text("words")), list):
        raise DialectError("needs a list `words`", file=str(file))
    return tuple(str(word) for word in listed)


@cache
def pattern(more: tuple[str, ...] = ()) -> re.Pattern[str]:
    """Return the pattern that finds a published word, or one of `more`, that stands between non-letters."""
    return re.compile(rf"(?<![A-Za-z])(?:{_alternatives((*words(), *more))})(?![A-Za-z])", re.IGNORECASE)


def _alternatives(listed: Iterable[str]) -> str:
    return "|".join(re.escape(word) for word in sorted(set(listed), key=lambda word: (-len(word), word)))
