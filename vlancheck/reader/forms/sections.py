"""Text of `/path` headers, each followed by `add key=value ...` or `set ...` lines; `/a/b` is written `/a b`.

The keys that tell which record a line means go into the header of its path lines; every other key becomes a
path line of its own, so that none vanishes on a line that was read.  Where a line acts on a record that is there, it
says which by `[find key=value]` or by its name, and whatever it sets stands on path lines of its own.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from vlancheck.capture import Line
from vlancheck.reader.pathlines import SEP, PathLine, squeezed

_ITEM = re.compile(
    r'(?P<key>[^\s="\[\]]+)=(?P<value>"(?:[^"\\]|\\.)*"?|\S*)|(?P<loose>\[[^\]]*\]?|"(?:[^"\\]|\\.)*"?|\S+)'
)
_FIND = re.compile(r"\[ ?find (?:where )?(?P<what>[^\]]*?) ?\]")
_FOUND = re.compile(r"""(?P<key>[a-z][a-z0-9-]*)=(?:"(?P<quoted>[^",]+)"|(?P<plain>[^\s",()$]+))(?: (?:and |&& )?|$)""")
_NAME = re.compile(r"(?!\d+$)[^\[\]=,$*]+")  # not a number: that counts the lines of what was printed last
_HEADER = re.compile(
    r"(?P<path>/[a-z0-9 /-]*?)(?:[ /](?P<rest>(?:add|set|unset|reset|move|remove|disable|enable)\b.*))?"
)


@dataclass(frozen=True, slots=True)
class KeyedSections:
    """The form of sections with keyed records."""

    keys: Mapping[str, tuple[str, ...]]  # section path -> the keys that say which record it is
    each: frozenset[str] = frozenset()  # keys that hold a list, of which each item is a path line

    def __call__(self, lines: Sequence[Line]) -> Iterator[PathLine]:
        """Yield the path lines of `lines`."""
        path, above = "", ()  # type: str, tuple[Line, ...]
        for text, starts in _joined(lines):
            first = starts[0][1]
            if text.startswith("#"):
                yield PathLine(squeezed(text), (first,))
                continue
            if text.startswith("/"):
                found = _HEADER.fullmatch(text)
                said = f"/{squeezed(found['path'].replace('/', ' '))}" if found else squeezed(text)
                if not found or not found["rest"]:
                    path, above = said, (first,)  # what is no path is for the patterns, not punctuation
                    yield from (PathLine(path, (line,), (), found is not None) for _, line in starts)
                    continue
                cut = found.start("rest")  # a statement with its path before it stays where it was
                yield from self._record(said, (), text[cut:], [(max(0, at - cut), line) for at, line in starts])
                continue
            yield from self._record(path, above, text, starts)

    def _record(
        self, path: str, above: tuple[Line, ...], text: str, starts: list[tuple[int, Line]]
    ) -> Iterator[PathLine]:
        verb, _, rest = text.partition(" ")
        offset = len(verb) + 1
        loose: list[str] = []
        pairs: dict[str, tuple[str, Line]] = {}
        segments: list[tuple[str, Line]] = []
        for item in _ITEM.finditer(rest):
            line = _line_at(starts, offset + item.start())
            if item["key"]:
                pairs[item["key"]] = (_unquoted(item["value"]), line)
            elif item["loose"].startswith("!"):
                segments.append((item["loose"], line))
            else:
                loose.append(item["loose"])
        first = starts[0][1]
        keys = self.keys.get(path, ())
        if verb == "add":
            said = {key: pairs.pop(key, ("", first))[0] for key in keys}
        elif meant := _meant(loose, keys):
            said, loose = meant, []
        else:
            said = {}
        head = squeezed(" ".join([path, verb, *loose, *(f"{key}={said.get(key, '')}" for key in keys)]))
        yield PathLine(head, (first,), above)
        told = {first}
        for key, (value, line) in pairs.items():
            items = value.split(",") if key in self.each else (value,)
            segments += [(f"{key}={one}", line) for one in items]
        for segment, line in segments:
            told.add(line)
            headers = above if line is first else (*above, first)
            yield PathLine(f"{head}{SEP}{squeezed(segment)}", (line,), headers)
        for _, line in starts:
            if line not in told:
                yield PathLine(head, (line,), (*above, first), True)  # the rest of a value that is split


def _joined(lines: Sequence[Line]) -> Iterator[tuple[str, list[tuple[int, Line]]]]:
    """Yield each statement with where in it each of its lines starts; a backslash at its end continues a line."""
    text, starts = "", []  # type: str, list[tuple[int, Line]]
    for line in lines:
        part = line.text.strip() if not starts else line.text.lstrip()
        if not part and not starts:
            continue
        starts.append((len(text), line))
        part = part.rstrip()
        if part.endswith("\\"):
            text += part[:-1]
            continue
        text += part
        if text:
            yield text, starts
        text, starts = "", []
    if text:
        yield text, starts


def _meant(loose: Sequence[str], keys: Sequence[str]) -> dict[str, str]:
    """Return the keys of the record that the words of a line mean; empty where it is not one of them that says so."""
    if len(loose) != 1:
        return {}
    if "name" in keys and _NAME.fullmatch(name := _unquoted(loose[0])):
        return {"name": name}
    if not (find := _FIND.fullmatch(" ".join(loose[0].split()))):
        return {}
    said: dict[str, str] = {}
    at = 0
    while at < len(find["what"]):
        if not (found := _FOUND.match(find["what"], at)) or found["key"] not in keys or found["key"] in said:
            return {}
        said[found["key"]] = found["quoted"] or found["plain"]
        at = found.end()
    return said


def _line_at(starts: list[tuple[int, Line]], at: int) -> Line:
    return next(line for start, line in reversed(starts) if start <= at)


def _unquoted(value: str) -> str:
    if len(value) > 1 and value[0] == value[-1] == '"':
        return re.sub(r"\\(.)", r"\1", value[1:-1])
    return value
