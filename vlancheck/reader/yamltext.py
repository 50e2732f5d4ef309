"""YAML text comes in, mappings, lists and texts that know their line go out.

Every scalar stays the text that was written (`off`, `0750` and `100.310` keep their meaning) and a key
that stands twice is refused, so that a file means what a reader of it sees.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeAlias

import yaml

from vlancheck.errors import VlancheckError


class Text(str):
    """A scalar and the line it stands on."""

    line: int  # 1-based
    file: str  # file it stands in

    def __new__(cls, text: str, line: int = 0, file: str = "") -> Text:
        made = super().__new__(cls, text)
        made.line = line
        made.file = file
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


def load(text: str, file: str, failure: Failure = VlancheckError) -> Node:
    """Return the document in `text`; raise `failure`, with file and line, when it is no YAML or repeats a key."""
    try:
        root = yaml.compose(text, Loader=yaml.SafeLoader)
    except yaml.MarkedYAMLError as error:
        line = error.problem_mark.line + 1 if error.problem_mark else 0
        raise failure(f"not YAML: {error.problem}", file=file, line=line, hint="check the indentation") from error
    except yaml.YAMLError as error:
        raise failure(f"not YAML: {error}", file=file) from error
    if root is None:
        raise failure("the file is empty", file=file)
    return _node(root, file, failure)


def _node(node: yaml.Node, file: str, failure: Failure) -> Node:
    line = node.start_mark.line + 1
    if isinstance(node, yaml.ScalarNode):
        return Text(node.value, line, file)
    if isinstance(node, yaml.SequenceNode):
        items = Items(_node(item, file, failure) for item in node.value)
        items.line, items.file = line, file
        return items
    table = Table()
    table.line, table.file = line, file
    for key_node, value_node in node.value:
        key = _node(key_node, file, failure)
        if not isinstance(key, Text):
            raise failure("a key must be a word", file=file, line=key_node.start_mark.line + 1)
        if key in table:
            raise failure(f"{str(key)!r} stands twice", file=file, line=key.line, hint="keep one of them")
        table[key] = _node(value_node, file, failure)
    return table
