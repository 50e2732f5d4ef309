"""A JSON tree, as RFC 7951 writes YANG data: the rows of some of its lists, wherever they stand, become path lines.

A list is known by its name and that of the container around it; module prefixes (`openconfig-vlan:`) are left out.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from vlancheck.capture import Line
from vlancheck.reader.forms.jsonrows import Node, document, joined, scalars
from vlancheck.reader.pathlines import SEP, PathLine, squeezed


@dataclass(frozen=True, slots=True)
class JsonTree:
    """The form of JSON trees."""

    lists: Mapping[str, str]  # CONTAINER/LIST -> the member that names a row of it

    def __call__(self, lines: Sequence[Line]) -> Iterator[PathLine]:
        """Yield the path lines of `lines`; raise ValueError when they are no JSON, or hold none of the lists."""
        shown = [line for line in lines if line.text.strip()]
        if not shown:
            return
        text, place = joined(shown)
        told: set[int] = set()
        found = False
        for key, row in self._rows(document(text), "", ""):
            found = True
            members = {name.rpartition(":")[2]: node for name, node in row.items()}
            named = members.pop(key)
            above = Line(place(named), f'"{key}": "{named.value}"')
            head = squeezed(f"{key}={named.value}")
            told.add(above.number)
            yield PathLine(head, (above,))
            for name, node in members.items():
                for said, leaf in scalars(node, name):
                    path, _, value = said.partition("=")
                    bare = ".".join(part.rpartition(":")[2] for part in path.split("."))
                    told.add(place(leaf))
                    source = Line(place(leaf), f"{bare}={value}")
                    yield PathLine(f"{head}{SEP}{squeezed(f'{bare}={value}')}", (source,), (above,))
        if not found:
            raise ValueError(f"it holds none of the lists {', '.join(self.lists)}")
        yield from (PathLine("", (line,), (), True) for line in shown if line.number not in told)

    def _rows(self, node: Node, container: str, name: str) -> Iterator[tuple[str, Mapping[str, Node]]]:
        """Yield the key and the members of every row of the lists, from the outside in."""
        if isinstance(node.value, dict):
            for inner, below in node.value.items():
                yield from self._rows(below, name, inner.rpartition(":")[2])
        elif isinstance(node.value, list):
            key = self.lists.get(f"{container}/{name}", "")
            for item in node.value:
                if isinstance(item.value, dict):
                    members = {inner.rpartition(":")[2] for inner in item.value}
                    if key and key in members:
                        yield key, item.value
                    else:
                        yield from self._rows(item, container, name)
