"""Nested blocks in braces, statements that end in `;`: every leaf becomes a `set` line.

`inactive:` before a statement or block becomes a `deactivate` line; a list in brackets becomes one leaf an item.
Of a text in which no line ends in `;`, every line is one statement.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from vlancheck.capture import Line
from vlancheck.reader.pathlines import PathLine, squeezed

_TOKEN = re.compile(r'\s*(?:(?P<comment>##.*|#.*|/\*)|(?P<mark>[{};\[\]])|(?P<word>"(?:[^"\\]|\\.)*"?|[^\s{};\[\]"]+))')


@dataclass(slots=True)
class _Statement:
    """A statement being gathered."""

    words: list[str]  # its words so far, without those of a list
    items: list[str] | None  # items of its list in brackets; None: it has none
    after: int  # number of words that stood before the list
    lines: list[Line]  # the lines it spans
    inside: bool = False  # between the brackets


@dataclass(frozen=True, slots=True)
class Braces:
    """The form of nested blocks."""

    under: str = ""  # the statement whose inside the text shows; "" it shows everything
    comments: tuple[re.Pattern[str], ...] = ()  # lines that say nothing

    def __call__(self, lines: Sequence[Line]) -> Iterator[PathLine]:
        """Yield the path lines of `lines`; what stands outside every statement is handed on as it is."""
        ends = {line.text.rstrip()[-1:] for line in lines}
        if "{" in ends and ";" not in ends:
            yield from self._by_lines(lines)
            return
        path: list[str] = []  # statements of the blocks we are in
        outside = [self.under] if self.under else []
        above: list[Line] = []  # their lines
        held = _Statement([], None, 0, [])
        comment = False
        for line in lines:
            text, at = line.text, 0
            whole, told = squeezed(text), False  # told: the line has been accounted for
            if any(pattern.match(whole) for pattern in self.comments):
                yield PathLine(whole, (line,), (), True)
                continue
            while at < len(text):
                if comment:
                    end = text.find("*/", at)
                    comment, at = end < 0, len(text) if end < 0 else end + 2
                    continue
                found = _TOKEN.match(text, at)
                if not found:
                    break
                at = found.end()
                if found["comment"]:
                    comment = found["comment"] == "/*"
                    if not comment:
                        break
                elif found["word"]:
                    if line not in held.lines:
                        held.lines.append(line)
                    (held.items if held.inside and held.items is not None else held.words).append(found["word"])
                elif found["mark"] == "[":
                    held.items, held.after, held.inside = [], len(held.words), True
                elif found["mark"] == "]":
                    held.inside = False
                else:
                    if found["mark"] == "}":
                        if path:
                            path.pop()
                            above.pop()
                        continue
                    for leaf in _close(held, [*outside, *path], above, block=found["mark"] == "{"):
                        told = told or line in leaf.lines
                        yield leaf
                    if found["mark"] == "{":
                        words = [word for word in held.words if word not in _PREFIXES]
                        path.append(" ".join(words))
                        above.append(held.lines[0] if held.lines else line)
                    held = _Statement([], None, 0, [])
            if whole and not told and line not in held.lines:
                yield PathLine(whole, (line,), tuple(above), True)
        for line in held.lines:  # a text that is cut, or no text of this form
            yield PathLine(squeezed(line.text), (line,), tuple(above))

    def _by_lines(self, lines: Sequence[Line]) -> Iterator[PathLine]:
        """Yield the path lines of a text whose statements end where their line ends; an empty block is a leaf."""
        path = ["set", self.under] if self.under else ["set"]
        above: list[Line] = []  # lines of the blocks we are in
        remark = False  # between `/*` and `*/`
        told = [line for line in lines if line.text.strip()]
        for line, following in zip(told, [*told[1:], None], strict=True):
            text = line.text.strip()
            if remark or text.startswith("/*") or any(one.match(squeezed(text)) for one in self.comments):
                remark = "*/" not in text and (remark or text.startswith("/*"))
                yield PathLine(squeezed(text), (line,), tuple(above), True)
            elif text == "}":
                if above:
                    path.pop()
                    above.pop()
                yield PathLine(text, (line,), tuple(above), True)
            else:
                block = text.endswith("{")
                words = text[:-1].strip() if block else text
                filled = block and following is not None and following.text.strip() != "}"
                yield PathLine(squeezed(" ".join([*path, words])), (line,), tuple(above), filled)
                if block:
                    path.append(words)
                    above.append(line)


_PREFIXES = ("inactive:", "protect:", "active:")  # marks of a statement; `replace:` is an order, and stays unread


def _close(held: _Statement, path: list[str], above: list[Line], *, block: bool) -> Iterator[PathLine]:
    words = [word for word in held.words if word not in _PREFIXES]
    if not words and held.items is None:
        return
    lines, headers = tuple(reversed(held.lines)), tuple(above)
    where = [part for part in path if part]
    if "inactive:" in held.words:
        yield PathLine(squeezed(" ".join(["deactivate", *where, *words])), lines, headers)
    if block:
        yield PathLine(squeezed(" ".join(["set", *where, *words])), lines, headers, True)
    elif held.items is None:
        yield PathLine(squeezed(" ".join(["set", *where, *words])), lines, headers)
    else:
        before = [word for word in held.words[: held.after] if word not in _PREFIXES]
        after = words[len(before) :]
        for item in held.items:
            yield PathLine(squeezed(" ".join(["set", *where, *before, item, *after])), lines, headers)
