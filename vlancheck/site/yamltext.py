"""YAML in, values that know their line out: every scalar is text as written, and nothing is typed by YAML.

So `0750`, `100.310`, `3:15` and `off` keep their meaning.  Duplicate keys are refused.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

import yaml

from vlancheck.capture.lines import decode
from vlancheck.errors import CaptureError, SiteError
from vlancheck.evidence import Kind, Origin, Origins
from vlancheck.site.places import nearest

_Loader: type = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
_YES, _NO = ("true", "yes", "on"), ("false", "no", "off")


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

    @property
    def empty(self) -> bool:
        """Tell whether nothing is written here."""
        return self.text is None and self.items is None and self.fields is None

    def error(self, message: str, hint: str = "") -> SiteError:
        """Return an error at this line."""
        return SiteError(message, file=self.file, line=self.line, hint=hint)

    def word(self, what: str) -> str:
        """Return the text of a scalar; SiteError when it is anything else."""
        if self.text is None or not self.text.strip():
            raise self.error(f"{what} is {self._shape()} where a word belongs")
        return self.text.strip()

    def list(self, what: str) -> tuple[Value, ...]:
        """Return the items of a list; SiteError when it is anything else."""
        if self.items is None:
            raise self.error(f"{what} is {self._shape()} where a list belongs", "write it as `- item` lines or [a, b]")
        return self.items

    def several(self, what: str) -> tuple[Value, ...]:
        """Return the items of a list, or the one thing that stands here; SiteError when nothing does."""
        if self.empty:
            raise self.error(f"{what} is empty where a list belongs", "write it as `- item` lines or [a, b]")
        return self.items if self.items is not None else (self,)

    def map(self, what: str, known: tuple[str, ...] | None = None) -> dict[str, Value]:
        """Return the fields of a map; SiteError when it is anything else, or has a key that is not in `known`."""
        if self.fields is None or self.names is None:
            raise self.error(f"{what} is {self._shape()} where a map belongs", "write it as `key: value` lines")
        for key, at in self.names.items():
            if known is not None and key not in known:
                raise at.error(f"{what} has no key {key!r}", nearest(key, known))
        return self.fields

    def key(self, name: str) -> Value:
        """Return the key `name` of a map, where it stands."""
        return (self.names or {})[name]

    def number(self, what: str, low: int, high: int) -> int:
        """Return a decimal number within bounds, leading zeros allowed; SiteError otherwise."""
        text = self.word(what)
        digits = text.lstrip("0") or "0"
        fits = text.isascii() and text.isdecimal() and len(digits) <= len(str(high))
        if not fits or not low <= int(digits) <= high:
            raise self.error(f"{what} is {text!r}; it is a number from {low} to {high}")
        return int(digits)

    def flag(self, what: str) -> bool:
        """Return true or false (also yes, no, on, off, in any case); SiteError otherwise."""
        text = self.word(what)
        if text.lower() not in (*_YES, *_NO):
            raise self.error(f"{what} is {text!r}", "it is true or false")
        return text.lower() in _YES

    def choice(self, what: str, known: Iterable[str]) -> str:
        """Return one of the `known` words; SiteError otherwise."""
        text, known = self.word(what), list(known)
        if text not in known:
            raise self.error(f"{what} is {text!r}", f"it is {', '.join(known[:-1])} or {known[-1]}")
        return text

    def _shape(self) -> str:
        if self.fields is not None:
            return "a map"
        if self.items is not None:
            return "a list"
        return "empty" if self.text is None or not self.text.strip() else f"the word {self.text!r}"


def load(path: Path, shown: str) -> Value:
    """Return the document at `path`, called `shown` in messages.

    Raises SiteError with file and line for what is not YAML, has a tab or a key twice.
    """
    text = read_text(path, shown, f"it declares at least `site: NAME`; {path.name} is plain text in YAML")
    lines = text.splitlines() or [""]
    try:
        node = yaml.compose(text, Loader=_Loader)
        if node is None:
            raise SiteError("the file declares nothing", file=shown, hint="it declares at least `site: NAME`")
        return _Reader(shown, lines).value(node)
    except yaml.MarkedYAMLError as error:
        never_closed = "end of stream" in (error.problem or "")
        mark = (error.context_mark if never_closed else None) or error.problem_mark or error.context_mark
        line = mark.line + 1 if mark else 0
        if line and "\t" in lines[min(line, len(lines)) - 1]:
            raise SiteError("a tab stands where YAML wants blanks", file=shown, line=line, hint="use blanks") from error
        hint = "check the indentation, the brackets and the quotes at this line and the one above"
        raise SiteError(f"this is not YAML: {error.problem or error}", file=shown, line=line, hint=hint) from error
    except yaml.YAMLError as error:
        raise _unprintable(error, text, shown) from error
    except RecursionError as error:
        raise SiteError("the file is nested too deeply", file=shown, hint="a declaration has a few levels") from error


def read_text(path: Path, shown: str, hint: str) -> str:
    """Return the text of a file of the site; SiteError with `hint` when it cannot be read or is no text."""
    try:
        data = path.read_bytes()
    except OSError as error:
        why = (error.strerror or str(error)).lower()
        raise SiteError(f"cannot be read: {why}", file=shown, hint="check the path and who may read it") from error
    try:
        return decode(data, shown)
    except CaptureError as error:
        raise SiteError(error.message, file=shown, hint=hint) from error


def _unprintable(error: yaml.YAMLError, text: str, shown: str) -> SiteError:
    position = getattr(error, "position", None)
    line = text.count("\n", 0, position) + 1 if isinstance(position, int) else 0
    reason = getattr(error, "reason", "") or str(error)
    return SiteError(f"this is not YAML: {reason}", file=shown, line=line, hint="retype the line as plain text")


class _Reader:
    """Turns the nodes of one file into values; a node that aliases share is one value."""

    def __init__(self, file: str, lines: list[str]) -> None:
        self.file, self.lines = file, lines
        self.made: dict[int, Value | None] = {}

    def value(self, node: yaml.Node) -> Value:
        """Return the value of a node."""
        if id(node) in self.made:
            if (made := self.made[id(node)]) is None:
                raise SiteError("an alias contains itself", file=self.file, line=node.start_mark.line + 1)
            return made
        self.made[id(node)] = None
        made = self.made[id(node)] = self._value(node)
        return made

    def _value(self, node: yaml.Node) -> Value:
        line = node.start_mark.line + 1
        source = self.lines[line - 1] if line <= len(self.lines) else ""
        if isinstance(node, yaml.ScalarNode):
            empty = node.value == "" and not node.style  # a quoted one has a style
            return Value(self.file, line, source, text=None if empty else node.value)
        if isinstance(node, yaml.SequenceNode):
            return Value(self.file, line, source, items=tuple(self.value(item) for item in node.value))
        assert isinstance(node, yaml.MappingNode)
        fields: dict[str, Value] = {}
        names: dict[str, Value] = {}
        for key, item in node.value:
            at = self.value(key)
            name = at.word("a key")
            if name in fields:
                raise at.error(f"the key {name!r} stands here and on line {names[name].line}", "keep one of them")
            fields[name], names[name] = self.value(item), at
        return Value(self.file, line, source, fields=fields, names=names)
