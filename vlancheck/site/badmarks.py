"""What people wrote about a cord or a socket in, whether it is marked bad out, and which part of the row is meant."""

from __future__ import annotations

import re
from collections.abc import Callable

from vlancheck.site.pieces import Piece

# Common practice, no source.
MARKS = (
    "bad|defect|defective|faulty|broken|damaged|dead|burnt|loose contact|intermittent|unusable|out of order|do not use"
    "|don't use|not to be used"
)
CLEARED = (
    "not bad|no longer|was bad|was faulty|was broken|was defective|repaired|replaced|fixed|re-terminated|reterminated"
    "|mended|tested ok|ok again|ok now|works again|no fault found"
)
PARTS = {
    "label": "cord|cable|lead",
    "jack": "jack|outlet|wall socket|wall port",
    "panel": "panel|panel port",
    "port": "switch port|switchport",
}


def _any_of(words: str) -> re.Pattern[str]:
    listed = "|".join(map(re.escape, words.split("|")))
    return re.compile(rf"(?<![a-z])(?:{listed})(?![a-z])(?! (?:for|with|as|end|ends)\b)", re.IGNORECASE)


_MARK, _CLEARED = _any_of(MARKS), _any_of(CLEARED)
_PART = {part: _any_of(words) for part, words in PARTS.items()}


def marked_bad(note: str) -> bool:
    """Tell whether a note marks something bad (`bad, do not use`), and takes nothing of it back (`bad, replaced`)."""
    return _MARK.search(note) is not None and _CLEARED.search(note) is None


def cleared(note: str) -> bool:
    """Tell whether a note says that something is in order again."""
    return _CLEARED.search(note) is not None


def part_meant(note: str) -> str:
    """Return which part of a row a note speaks of, by the keys of PARTS; "" where it names none, or several."""
    found = [part for part, words in _PART.items() if words.search(note)]
    return found[0] if len(found) == 1 else ""


def meant(mark: Piece, is_port: Callable[[str], bool]) -> list[str]:
    """Return the names of what a row speaks of; of all that stands in it where it does not say."""
    ports = [name for name in mark.sockets if is_port(name)]
    others = [name for name in mark.sockets if name not in ports]
    told = {"label": [mark.label], "jack": [mark.jack], "panel": others, "port": ports, "": []}[part_meant(mark.note)]
    return [name for name in told if name] or list(filter(None, (*mark.sockets, mark.jack, mark.label)))
