"""Text of headers and bodies: a line stands under the lines above it that are indented less."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from vlancheck.capture import Line
from vlancheck.reader.pathlines import SEP, PathLine, squeezed


@dataclass(frozen=True, slots=True)
class Stanzas:
    """The form of text with headers and bodies."""

    headers: tuple[re.Pattern[str], ...] = ()  # what opens a stanza wherever it stands
    ends: tuple[re.Pattern[str], ...] = ()  # whole lines that close the innermost stanza: `exit`, `!`
    comments: tuple[re.Pattern[str], ...] = ()  # lines that say nothing
    literals: tuple[tuple[re.Pattern[str], str], ...] = ()  # what opens text that is no configuration, and what ends it
    indented: bool = True  # False: bodies are told by `headers` and `ends` alone

    def __call__(self, lines: Sequence[Line]) -> Iterator[PathLine]:
        """Yield the path lines of `lines`.

        A line that is not indented and follows a header of `headers` whose body is not indented either may
        belong to the stanza or end it: both readings are handed on.
        """
        stack: list[tuple[int, str, Line]] = []  # indentation, path so far, header line
        open_header = False  # the innermost header is one of `headers` and no indented line has followed it
        closing = ""  # what ends the literal text we are in
        for place, line in enumerate(lines):
            raw = line.text
            if closing:
                if closing in raw:
                    closing = ""
                yield PathLine(raw, (line,), tuple(above for _, _, above in stack), True)
                continue
            if not raw or raw.isspace():
                continue
            text = squeezed(raw)
            if any(pattern.match(text) for pattern in self.comments):
                yield PathLine(text, (line,), (), True)
                continue
            if any(pattern.fullmatch(text) for pattern in self.ends):
                indent = len(raw) - len(raw.lstrip())
                while stack and self.indented and stack[-1][0] >= max(indent, 1):
                    stack.pop()
                if stack:
                    stack.pop()
                open_header = False
                yield PathLine(text, (line,), (), True)
                continue
            indent = len(raw) - len(raw.lstrip())
            other = ""
            is_header = any(pattern.match(text) for pattern in self.headers)
            if is_header:
                indent = 0
                stack.clear()
            elif not self.indented or (open_header and not indent):
                other = text if stack else ""
            else:
                while stack and stack[-1][0] >= indent:
                    stack.pop()
                open_header = False
            path = f"{stack[-1][1]}{SEP}{text}" if stack else text
            yield PathLine(path, (line,), tuple(above for _, _, above in stack), False, other)
            if is_header or (self.indented and not open_header):
                stack.append((indent, path, line))
                open_header = is_header
            if self.literals:
                closing = self._literal(text, raw, lines[place + 1 :])

    def _literal(self, text: str, raw: str, below: Sequence[Line]) -> str:
        """Return what ends the literal text that a line opens; "" when it opens none, or none that is ever ended."""
        for opens, ends in self.literals:
            if found := opens.match(text):
                closing = found[1] if ends == "same" else ends
                if ends == "same" and closing in raw[raw.find(closing) + len(closing) :]:
                    return ""  # it ends on its own line
                return closing if any(closing in line.text for line in below) else ""
        return ""
