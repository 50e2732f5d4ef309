"""Text of whole statements, one a line: `set ...`, `deactivate ...`."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from vlancheck.capture import Line
from vlancheck.reader.pathlines import PathLine, squeezed


@dataclass(frozen=True, slots=True)
class SetLines:
    """The form of whole statements."""

    comments: tuple[re.Pattern[str], ...] = ()  # lines that say nothing

    def __call__(self, lines: Sequence[Line]) -> Iterator[PathLine]:
        """Yield the path lines of `lines`."""
        for line in lines:
            if text := squeezed(line.text):
                yield PathLine(text, (line,), (), any(pattern.match(text) for pattern in self.comments))
