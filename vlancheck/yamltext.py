"""YAML text comes in, mappings, lists and texts that know their line go out, for every file people write.

Every scalar stays the text that was written (`off`, `0750`, `3:15` and `100.310` keep their meaning) and a key
that stands twice is refused, so that a file means what a reader of it sees.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeAlias

import yaml

from vlancheck.errors import VlancheckError

_Loader: type = getattr(yaml, "CSafeLoader", yaml.SafeLoader)


class Text(str):
    """A scalar and the line it stands on."""

    line: int  # 1-based
    file: str  # file it stands in
    blank: bool  # nothing is written, not even quotes

    def __new__(cls, text: str, line: int = 0, file: str = "", *, blank: bool = False) -> Text:
        made = super().__new__(cls, text)
        made.line = line
        made.file = file
        made.blank = blank
        return made


class Items(list["Node"]):
    """A list and the line it starts on."""

    line: int = 0  # 1-based
    file: str = ""  # file it stands in


class Table(dict[Text, "Node"]):
    """A mapping and the line it starts on."""

    line: int = 0  # 1-based
    file: str = ""  # file it stands in


Node: TypeAlias = Text | Items | Table
Failure = Callable[..., VlancheckError]


def load(text: str, file: str, failure: Failure = VlancheckError) -> Node | None:
    """Return the document in `text`, None when there is none.

    Raises `failure`, with file and line, for what is not YAML, has a tab, a key twice or an alias inside itself.
    """
    try:
        root = yaml.compose(text, Loader=_Loader)
        return None if root is None else _Reader(file, failure).node(root)
    except yaml.MarkedYAMLError as error:
        raise _not_yaml(error, text, file, failure) from error
    except yaml.YAMLError as error:
        raise _unprintable(error, text, file, failure) from error
    except RecursionError as error:
        raise failure("the file is nested too deeply", file=file, hint="a declaration has a few levels") from error


def _not_yaml(error: yaml.MarkedYAMLError, text: str, file: str, failure: Failure) -> VlancheckError:
    never_closed = "end of stream" in (error.problem or "")
    mark = (error.context_mark if never_closed else None) or error.problem_mark or error.context_mark
    line = mark.line + 1 if mark else 0
    lines = text.splitlines() or [""]
    if line and "\t" in lines[min(line, len(lines)) - 1]:
        return failure("a tab stands where YAML wants blanks", file=file, line=line, hint="use blanks")
    hint = "check the indentation, the brackets and the quotes at this line and the one above"
    return failure(f"this is not YAML: {error.problem or error}", file=file, line=line, hint=hint)


def _unprintable(error: yaml.YAMLError, text: str, file: str, failure: Failure) -> VlancheckError:
    position = getattr(error, "position", None)
    line = text.count("\n", 0, position) + 1 if isinstance(position, int) else 0
    reason = getattr(error, "reason", "") or str(error)
    return failure(f"this is not YAML: {reason}", file=file, line=line, hint="retype the line as plain text")


class _Reader:
    """Turns the nodes of one file into texts, lists and mappings; a node that aliases share is one of them."""

    def __init__(self, file: str, failure: Failure) -> None:
        self.file, self.failure = file, failure
        self.made: dict[int, Node | None] = {}

    def node(self, node: yaml.Node) -> Node:
        """Return what a node says."""
        if id(node) in self.made:
            if (made := self.made[id(node)]) is None:
                line = node.start_mark.line + 1
                raise self.failure("an alias contains itself", file=self.file, line=line)
            return made
        self.made[id(node)] = None
        made = self.made[id(node)] = self._node(node)
        return made

    def _node(self, node: yaml.Node) -> Node:
        line = node.start_mark.line + 1
        if isinstance(node, yaml.ScalarNode):
            return Text(node.value, line, self.file, blank=node.value == "" and not node.style)  # quotes are a style
        if isinstance(node, yaml.SequenceNode):
            items = Items(self.node(item) for item in node.value)
            items.line, items.file = line, self.file
            return items
        table = Table()
        table.line, table.file = line, self.file
        for key_node, item in node.value:
            key = self._key(self.node(key_node))
            if key in table:
                first = next(other.line for other in table if other == key)
                message = f"the key {str(key)!r} stands here and on line {first}"
                raise self.failure(message, file=self.file, line=key.line, hint="keep one of them")
            table[key] = self.node(item)
        return table

    def _key(self, key: Node) -> Text:
        if isinstance(key, Text) and key.strip():
            return Text(key.strip(), key.line, key.file)
        shape = "a map" if isinstance(key, Table) else "a list" if isinstance(key, Items) else "empty"
        raise self.failure(f"a key is {shape} where a word belongs", file=self.file, line=key.line)
