"""Text of headers and bodies: a line stands under the lines above it that are indented less."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import islice

from vlancheck.capture import Line
from vlancheck.reader.pathlines import SEP, PathLine, squeezed


@cache
def _special(form: Stanzas) -> re.Pattern[str]:
    """Return one pattern that tells, by its last group, what an unusual line is: header, end, comment or literal."""
    opens = tuple(pattern for pattern, _ in form.literals)
    sorts = (
        ("comment", form.comments, ""),
        ("end", form.ends, "$"),
        ("header", form.headers, ""),
        ("literal", opens, ""),
    )
    parts = [f"(?P<{sort}>(?:{_joined(these)}){end})" for sort, these, end in sorts if these]
    return re.compile("|".join(parts) or "(?!)")


def _joined(patterns: Iterable[re.Pattern[str]]) -> str:
    return "|".join(f"(?:{_GROUP.sub('(?:', pattern.pattern)})" for pattern in patterns)


_GROUP = re.compile(r"(?<!\\)\((?!\?)")  # a group that captures


@dataclass(frozen=True, slots=True)
class Stanzas:
    """The form of text with headers and bodies."""

    headers: tuple[re.Pattern[str], ...] = ()  # what opens a stanza wherever it stands
    inner: tuple[re.Pattern[str], ...] = ()  # what opens a stanza in a stanza, where neither is indented
    ends: tuple[re.Pattern[str], ...] = ()  # whole lines that close the innermost stanza: `exit`, `!`
    comments: tuple[re.Pattern[str], ...] = ()  # lines that say nothing
    literals: tuple[tuple[re.Pattern[str], str], ...] = ()  # what opens text that is no configuration, and what ends it
    lone: tuple[re.Pattern[str], ...] = ()  # those of `ends` that say something where they close nothing
    indented: bool = True  # False: bodies are told by `headers` and `ends` alone

    def __call__(self, lines: Sequence[Line]) -> Iterator[PathLine]:
        """Yield the path lines of `lines`.

        A line that is not indented and follows a header of `headers` whose body is not indented either may
        belong to the stanza or end it: both readings are handed on.  It ends it when it has an indented body itself.
        """
        stack: list[tuple[int, str]] = []  # indentation and path so far of the headers we are under
        above: tuple[Line, ...] = ()  # their lines
        open_header = False  # the innermost header is one of `headers` and no indented line has followed it
        nested = False  # it is one of `inner`
        closing = ""  # what ends the literal text we are in
        special, indented = _special(self).match, self.indented
        for place, line in enumerate(lines):
            raw = line.text
            if closing:
                if closing in raw:
                    closing = ""
                yield PathLine(raw, (line,), above, True)
                continue
            text = squeezed(raw)
            if not text:
                continue
            indent = len(raw) - len(raw.lstrip())
            sort = found.lastgroup if (found := special(text)) else None
            if sort == "comment":
                yield PathLine(text, (line,), (), True)
                continue
            if sort == "end":
                alone = not stack and any(end.fullmatch(text) for end in self.lone)
                closed = [stack.pop()[0] for _ in range(len(stack)) if indented and stack[-1][0] >= max(indent, 1)]
                if stack and not (len(closed) > 1 and closed[-1] == indent):  # else it closed a stanza in a stanza
                    stack.pop()
                above = above[: len(stack)]
                open_header, nested = nested and bool(stack), False
                yield PathLine(text, (line,), (), not alone)
                continue
            other = ""
            if sort == "header":
                indent, above, nested = 0, (), False
                stack.clear()
            elif not indent and stack and any(inner.match(text) for inner in self.inner):
                del stack[1:]
                above, nested, sort = above[:1], True, "header"
            elif not indented or (open_header and not indent and not self._is_header(lines, place)):
                other = text if stack else ""
            else:
                while stack and stack[-1][0] >= indent:
                    stack.pop()
                above = above[: len(stack)]
                open_header, nested = False, nested and bool(stack)
            path = f"{stack[-1][1]}{SEP}{text}" if stack else text
            yield PathLine(path, (line,), above, False, other)
            if sort == "literal":
                closing = self._literal(text, raw, lines[place + 1 :])
            if sort == "header" or (indented and not open_header):
                stack.append((indent, path))
                above = (*above, line)
                open_header = sort == "header"

    def _is_header(self, lines: Sequence[Line], place: int) -> bool:
        """Tell whether the line at `place` has a body: the next line that says something is indented."""
        for line in islice(lines, place + 1, None):
            if text := squeezed(line.text):
                found = _special(self).match(text)
                if found is None or found.lastgroup not in ("comment", "end"):
                    return line.text[0].isspace()
        return False

    def _literal(self, text: str, raw: str, below: Sequence[Line]) -> str:
        """Return what ends the literal text that a line opens; "" when it opens none, or none that is ever ended."""
        for opens, ends in self.literals:
            if found := opens.match(text):
                closing = found[1] if ends == "same" else ends
                if ends == "same" and closing in raw[raw.find(closing) + len(closing) :]:
                    return ""  # it ends on its own line
                return closing if any(closing in line.text for line in below) else ""
        return ""
