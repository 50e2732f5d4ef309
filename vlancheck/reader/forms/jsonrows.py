"""JSON: a list of objects, a dict of lists, or a table of headings and rows; each row becomes path lines.

`key` names the member that says which record a row is; every scalar of the row is a path line under it (with `rows`,
all of them are one path line), every object of a list named in `each` one path line of all its scalars.
"""

from __future__ import annotations

import json
from bisect import bisect_right
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from vlancheck.capture import Line
from vlancheck.reader.pathlines import SEP, PathLine, squeezed

_DECODER = json.JSONDecoder()
_BLANK = " \t\r\n"
_DEEPEST = 64  # objects within objects; no capture comes near


class Node(NamedTuple):
    """A value of the text."""

    value: str | list[Node] | dict[str, Node]  # a scalar as text
    start: int  # where it starts
    end: int  # where it ends


@dataclass(frozen=True, slots=True)
class JsonRows:
    """The form of JSON rows."""

    key: str  # member that names the record
    each: tuple[str, ...]  # members that are lists of objects, one path line an object
    ranges: Mapping[str, str]  # member -> member that is the end of its range
    rows: bool = False  # one path line a record, of all its scalars

    def __call__(self, lines: Sequence[Line]) -> Iterator[PathLine]:
        """Yield the path lines of `lines`; raise ValueError when they are no JSON of a known shape."""
        shown = [line for line in lines if line.text.strip()]
        if not shown:
            return
        text, number = joined(shown)

        def excerpt(node: Node) -> Line:
            return Line(number(node), " ".join(text[node.start : node.end].split()))

        told: set[int] = set()
        for row, where in self._rows(text):
            if not row:
                continue
            named = row.get(self.key)
            if named is None or not isinstance(named.value, str):
                raise ValueError(f"a row has no {self.key!r}: {excerpt(where).text[:60]}")
            head = squeezed(f"{self.key}={named.value}")
            above = Line(excerpt(named).number, f'"{self.key}": "{named.value}"')
            told.add(above.number)
            yield PathLine(head, (above,))
            if self.rows:
                yield self._whole(row, head, excerpt(where), above)
                told.add(excerpt(where).number)
                continue
            for name, node in row.items():
                if name == self.key:
                    continue
                if name in self.each and isinstance(node.value, list):
                    for item in node.value:
                        told.add(excerpt(item).number)
                        said = " ".join([name, *self._ranged(scalars(item))])
                        yield PathLine(f"{head}{SEP}{squeezed(said)}", (excerpt(item),), (above,))
                else:
                    for said, leaf in scalars(node, name):
                        told.add(excerpt(leaf).number)
                        source = Line(excerpt(leaf).number, said)
                        yield PathLine(f"{head}{SEP}{squeezed(said)}", (source,), (above,))
        yield from (PathLine("", (line,), (), True) for line in shown if line.number not in told)

    def _whole(self, row: Mapping[str, Node], head: str, source: Line, above: Line) -> PathLine:
        """Return a record as one path line."""
        said = [words for name, node in row.items() if name != self.key for words, _ in scalars(node, name)]
        return PathLine(f"{head}{SEP}{squeezed(' '.join(said))}", (source,), (above,))

    def _rows(self, text: str) -> Iterator[tuple[dict[str, Node], Node]]:
        value = document(text).value
        if isinstance(value, dict) and "headings" in value and "data" in value:
            headings = [node.value for node in _list(value["headings"])]
            for row in _list(value["data"]):
                cells = (_untagged(cell) for cell in _list(row))
                yield {str(name): cell for name, cell in zip(headings, cells, strict=False)}, row
        elif isinstance(value, dict) and self.each:
            for name, node in value.items():
                yield {self.key: Node(name, node.start, node.start), self.each[0]: node}, node
        elif isinstance(value, list):
            for row in value:
                if not isinstance(row.value, dict):
                    raise ValueError("a row of the list is no object")
                yield row.value, row
        else:
            raise ValueError("it is no list of objects")

    def _ranged(self, scalars: Iterator[tuple[str, Node]]) -> Iterator[str]:
        pairs = dict(said.partition("=")[::2] for said, _ in scalars)
        for low, high in self.ranges.items():
            if low in pairs and high in pairs:
                pairs[low] = f"{pairs[low]}-{pairs.pop(high)}"
        return (f"{name}={value}" for name, value in pairs.items())


def joined(lines: Sequence[Line]) -> tuple[str, Callable[[Node], int]]:
    """Return the text of some lines, and what tells the number of the line on which a node of it begins."""
    begins = [0]
    for line in lines:
        begins.append(begins[-1] + len(line.text) + 1)
    return "\n".join(line.text for line in lines), lambda node: lines[bisect_right(begins, node.start) - 1].number


def document(text: str) -> Node:
    """Return the value that a text is; raise ValueError when it is no JSON, or more follows."""
    root, at = _value(text, _skip(text, 0), 0)
    if _skip(text, at) < len(text):
        raise ValueError("text follows the JSON")
    return root


def scalars(node: Node, name: str = "") -> Iterator[tuple[str, Node]]:
    """Yield `name=value` of every scalar in `node`; a list of scalars is one value joined by commas."""
    if isinstance(node.value, dict):
        for key, inner in node.value.items():
            yield from scalars(inner, f"{name}.{key}" if name else key)
    elif isinstance(node.value, list):
        plain = [item.value for item in node.value if isinstance(item.value, str)]
        if plain or not node.value:
            yield f"{name}={','.join(plain)}", node
        for place, item in enumerate(node.value):
            if not isinstance(item.value, str):
                yield from scalars(item, f"{name}.{place}")
    else:
        yield f"{name}={node.value}", node


def _list(node: Node) -> list[Node]:
    if not isinstance(node.value, list):
        raise ValueError("headings and rows must be lists")
    return node.value


def _untagged(node: Node) -> Node:
    """Return a cell without the marks `set`, `map` and `uuid` that a table may put before its values."""
    value = node.value
    if not (isinstance(value, list) and len(value) == 2 and isinstance(mark := value[0].value, str)):
        return node
    inner = value[1]
    if mark == "uuid":
        return Node(inner.value, node.start, node.end)
    if mark == "set":
        return Node([_untagged(item) for item in _list(inner)], node.start, node.end)
    if mark == "map":
        pairs = [_list(pair) for pair in _list(inner)]
        return Node({str(key.value): _untagged(item) for key, item in pairs}, node.start, node.end)
    return node


# ---- a parser that knows where it is -----------------------------------------------------------------------------


def _skip(text: str, at: int) -> int:
    while at < len(text) and text[at] in _BLANK:
        at += 1
    return at


def _value(text: str, at: int, depth: int) -> tuple[Node, int]:
    if depth > _DEEPEST:
        raise ValueError(f"it nests deeper than {_DEEPEST}")
    if text[at : at + 1] == "{":
        return _object(text, at, depth)
    if text[at : at + 1] == "[":
        return _array(text, at, depth)
    try:
        value, end = _DECODER.raw_decode(text, at)
    except ValueError as error:
        line = text.count("\n", 0, at) + 1
        raise ValueError(f"no JSON at line {line} of the output: {text[at : at + 20]!r}") from error
    said = "" if value is None else str(value).lower() if isinstance(value, bool) else str(value)
    return Node(said, at, end), end


def _object(text: str, start: int, depth: int) -> tuple[Node, int]:
    found: dict[str, Node] = {}
    at = _skip(text, start + 1)
    while text[at : at + 1] != "}":
        name, at = _value(text, at, depth + 1)
        at = _skip(text, at)
        if text[at : at + 1] != ":" or not isinstance(name.value, str):
            raise ValueError(f"no JSON: ':' is missing after {text[name.start : name.end]}")
        found[name.value], at = _value(text, _skip(text, at + 1), depth + 1)
        at = _comma(text, at, "}")
    return Node(found, start, at + 1), at + 1


def _array(text: str, start: int, depth: int) -> tuple[Node, int]:
    found: list[Node] = []
    at = _skip(text, start + 1)
    while text[at : at + 1] != "]":
        item, at = _value(text, at, depth + 1)
        found.append(item)
        at = _comma(text, at, "]")
    return Node(found, start, at + 1), at + 1


def _comma(text: str, at: int, end: str) -> int:
    at = _skip(text, at)
    if text[at : at + 1] == ",":
        return _skip(text, at + 1)
    if text[at : at + 1] != end:
        raise ValueError("no JSON: the text is cut" if at >= len(text) else f"no JSON: {text[at : at + 20]!r}")
    return at
