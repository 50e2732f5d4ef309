"""YAML in, values that know their line out: every scalar is text as written, and nothing is typed by YAML.

So `0750`, `100.310`, `3:15` and `off` keep their meaning.  Duplicate keys are refused.
"""

from __future__ import annotations

from dataclasses import dataclass
from difflib import get_close_matches
from pathlib import Path

import yaml

from vlancheck.capture.lines import decode
from vlancheck.errors import SiteError
from vlancheck.evidence import Kind, Origin, Origins

_Loader: type = getattr(yaml, "CSafeLoader", yaml.SafeLoader)


@dataclass(frozen=True, slots=True)
class Value:
    """A piece of a YAML document."""

    file: str  # path as given
    line: int  # 1-based
    source: str  # the line's own text
    text: str | None = None  # of a scalar; None when it is empty, a map or a list
    items: tuple[Value, ...] | None = None  # of a list
    fields: dict[str, Value] | None = None  # of a map
    names: dict[str, Value] | None = None  # of a map: its keys, where they stand

    @property
    def origins(self) -> Origins:
        """Return the evidence that this line is."""
        return (Origin(Kind.SITE, self.source.strip(), file=self.file, line=self.line),)

    def error(self, message: str, hint: str = "") -> SiteError:
        """Return an error at this line."""
        return SiteError(message, file=self.file, line=self.line, hint=hint)

    def word(self, what: str) -> str:
        """Return the text of a scalar; SiteError when it is anything else."""
        if self.text is None:
            raise self.error(f"{what} is {self._shape()} where a word belongs")
        return self.text

    def list(self, what: str) -> tuple[Value, ...]:
        """Return the items of a list; SiteError when it is anything else."""
        if self.items is None:
            raise self.error(f"{what} is {self._shape()} where a list belongs", "write it as `- item` lines or [a, b]")
        return self.items

    def map(self, what: str, known: tuple[str, ...] | None = None) -> dict[str, Value]:
        """Return the fields of a map; SiteError when it is anything else, or has a key that is not in `known`."""
        if self.fields is None or self.names is None:
            raise self.error(f"{what} is {self._shape()} where a map belongs", "write it as `key: value` lines")
        for key, at in self.names.items():
            if known is not None and key not in known:
                near = get_close_matches(key, known, 1)
                hint = f"nearest: {near[0]}" if near else f"known: {', '.join(known)}"
                raise at.error(f"{what} has no key {key!r}", hint)
        return self.fields

    def number(self, what: str, low: int, high: int) -> int:
        """Return a decimal number within bounds, leading zeros allowed; SiteError otherwise."""
        text = self.word(what)
        if not (text.isascii() and text.isdecimal()) or not low <= int(text) <= high:
            raise self.error(f"{what} is {text!r}; it is a number from {low} to {high}")
        return int(text)

    def _shape(self) -> str:
        if self.fields is not None:
            return "a map"
        if self.items is not None:
            return "a list"
        return "empty" if self.text is None else f"the word {self.text!r}"


def load(path: Path, shown: str) -> Value:
    """Return the document at `path`, called `shown` in messages.

    Raises SiteError with file and line for what is not YAML, has a tab or a key twice.
    """
    try:
        text = decode(path.read_bytes(), shown)
    except OSError as error:
        raise SiteError(f"cannot be read: {error.strerror}", file=shown) from error
    lines = text.splitlines() or [""]
    try:
        node = yaml.compose(text, Loader=_Loader)
    except yaml.MarkedYAMLError as error:
        mark = error.problem_mark or error.context_mark
        line = mark.line + 1 if mark else 0
        if line and "\t" in lines[min(line, len(lines)) - 1]:
            raise SiteError("a tab stands where YAML wants blanks", file=shown, line=line, hint="use blanks") from error
        raise SiteError(f"this is not YAML: {error.problem or error}", file=shown, line=line) from error
    except yaml.YAMLError as error:
        raise SiteError(f"this is not YAML: {error}", file=shown) from error
    if node is None:
        raise SiteError("the file is empty", file=shown, hint="it declares at least `site: NAME`")
    return _value(node, shown, lines, set())


def _value(node: yaml.Node, file: str, lines: list[str], above: set[int]) -> Value:
    line = node.start_mark.line + 1
    source = lines[line - 1] if line <= len(lines) else ""
    if id(node) in above:
        raise SiteError("an alias contains itself", file=file, line=line)
    above = above | {id(node)}
    if isinstance(node, yaml.ScalarNode):
        empty = node.value == "" and node.style is None
        return Value(file, line, source, text=None if empty else node.value)
    if isinstance(node, yaml.SequenceNode):
        return Value(file, line, source, items=tuple(_value(item, file, lines, above) for item in node.value))
    assert isinstance(node, yaml.MappingNode)
    fields: dict[str, Value] = {}
    names: dict[str, Value] = {}
    for key, item in node.value:
        at = _value(key, file, lines, above)
        name = at.word("a key")
        if name in fields:
            raise at.error(f"the key {name!r} stands here and on line {names[name].line}", "keep one of them")
        fields[name], names[name] = _value(item, file, lines, above), at
    return Value(file, line, source, fields=fields, names=names)
