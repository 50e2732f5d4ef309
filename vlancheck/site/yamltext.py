"""A file of a site comes in, values that know their line and how to complain about it go out."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from pathlib import Path

from vlancheck import yamltext
from vlancheck.capture.lines import decode
from vlancheck.errors import CaptureError, SiteError
from vlancheck.evidence import Kind, Origin, Origins
from vlancheck.site.places import nearest
from vlancheck.yamltext import Items, Node, Text

_YES, _NO = ("true", "yes", "on"), ("false", "no", "off")


@dataclass(frozen=True, slots=True)
class Value:
    """A piece of a YAML document."""

    file: str  # path as given, for messages
    line: int  # 1-based
    source: str  # the line's own text
    name: str = ""  # path in the site folder, for evidence; "" as given
    text: str | None = None  # of a scalar; None when it is empty, a map or a list
    items: tuple[Value, ...] | None = None  # of a list
    fields: dict[str, Value] | None = None  # of a map
    names: dict[str, Value] | None = None  # of a map: its keys, where they stand

    @property
    def origins(self) -> Origins:
        """Return the evidence that this line is."""
        return (Origin(Kind.SITE, self.source.strip(), file=self.name or self.file, line=self.line),)

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


def load(path: Path, shown: str, name: str) -> Value:
    """Return the document at `path`, called `shown` in messages and `name` where it is evidence.

    Raises SiteError with file and line for what is not YAML, has a tab or a key twice.
    """
    hint = "it declares at least `site: NAME`"
    text = read_text(path, shown, f"{hint}; {path.name} is plain text in YAML")
    if (node := yamltext.load(text, shown, SiteError)) is None:
        raise SiteError("the file declares nothing", file=shown, hint=hint)
    return _value(node, text.splitlines() or [""], name, {})


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


def _value(node: Node, lines: list[str], name: str, made: dict[int, Value]) -> Value:
    """Return the value of a node; one that aliases share is one value."""
    if id(node) not in made:
        source = lines[node.line - 1] if node.line <= len(lines) else ""
        value = Value(node.file, node.line, source, name)
        if isinstance(node, Text):
            value = replace(value, text=None if node.blank else str(node))
        elif isinstance(node, Items):
            value = replace(value, items=tuple(_value(item, lines, name, made) for item in node))
        else:
            names = {str(key): _value(key, lines, name, made) for key in node}
            fields = {str(key): _value(item, lines, name, made) for key, item in node.items()}
            value = replace(value, fields=fields, names=names)
        made[id(node)] = value
    return made[id(node)]
