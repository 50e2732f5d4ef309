"""Output of a `show` command: a template of `ntc-templates` comes in with the lines, path lines of its records go out.

`key` names the column that says which record a row is; every other column that holds something is a path line under
it, and its evidence is the line from which the column was taken (with `rows`, all of them are one path line; with
`each`, one for each item of the lists named).  A line from which no column is taken, or only such of
`lines`, is handed on under the record it stands in, for the dialect to read or pass over.
"""

from __future__ import annotations

import io
from bisect import bisect_right
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache
from importlib.util import find_spec
from pathlib import Path

import textfsm

from vlancheck.capture import Line
from vlancheck.reader.pathlines import SEP, PathLine, squeezed

_LONGEST = 2_000  # characters; no table is as wide


@cache
def _folder() -> Path:
    """Return where the templates are, without loading the library around them."""
    spec = find_spec("ntc_templates")
    assert spec is not None
    assert spec.submodule_search_locations
    return Path(spec.submodule_search_locations[0]) / "templates"


def known_template(name: str) -> bool:
    """Tell whether the library has a template of this name."""
    return name.replace("-", "").replace("_", "").isalnum() and (_folder() / f"{name}.textfsm").is_file()


@dataclass(slots=True)
class Records:
    """The form of records."""

    template: str  # name of the library's template
    key: str  # column that names the record, in lower case
    rows: bool = False  # one path line a record, of all its columns
    each: tuple[str, ...] = ()  # with rows: columns whose items belong together, one path line for each place
    wrapped: tuple[str, ...] = ()  # columns whose text goes on in lines below: its items are parts of one word
    lines: tuple[str, ...] = ()  # columns that leave something out of their lines, which are handed on as well
    _machine: _Machine | None = field(default=None, init=False, repr=False)  # made when first needed

    def __call__(self, lines: Sequence[Line]) -> Iterator[PathLine]:
        """Yield the path lines of `lines`; raise ValueError naming the line that the template does not know."""
        if self._machine is None:
            self._machine = _Machine((_folder() / f"{self.template}.textfsm").read_text(encoding="utf-8"))
        made: list[PathLine] = []
        heads: list[tuple[int, PathLine]] = []
        for record, places in self._machine.records(lines, self.wrapped):
            if not (name := record.get(self.key, "")):
                continue
            above = places[self.key]
            head = squeezed(f"{self.key}={name}")
            made.append(PathLine(head, (above,)))
            heads.append((above.number, made[-1]))
            others = {column: text for column, text in record.items() if column != self.key and text}
            if self.rows:
                for row in _each(others, self.each):
                    said = " ".join(f"{column}={text}" for column, text in row.items())
                    made.append(PathLine(f"{head}{SEP}{squeezed(said)}", (above,)))
            else:
                made += (
                    PathLine(f"{head}{SEP}{squeezed(f'{column}={text}')}", (places[column],), (above,))
                    for column, text in others.items()
                )
        yield from made
        heads.sort(key=lambda pair: pair[0])
        behind = {one.lines[0].number for one in made}
        numbers = [number for number, _ in heads]
        for line in lines:
            if line.number in behind or not line.text.strip():
                continue
            if not self._machine.told.get(line.number, frozenset()) <= set(
                self.lines
            ):  # a part of a list, a heading that lines below it share
                yield PathLine(squeezed(line.text), (line,), passed=True)
                continue
            at = bisect_right(numbers, line.number)
            if not at:
                yield PathLine(squeezed(line.text), (line,))
            else:
                over = heads[at - 1][1]
                yield PathLine(f"{over.text}{SEP}{squeezed(line.text)}", (line,), over.lines)


class _Machine(textfsm.TextFSM):  # type: ignore[misc]
    """The library's machine, which also remembers from which line every column was taken."""

    def __init__(self, template: str) -> None:
        super().__init__(io.StringIO(template))
        self._line = Line(0, "")
        self._taken: dict[str, Line] = {}
        self._places: list[Mapping[str, Line]] = []
        self.told: dict[int, set[str]] = {}  # number of a line -> the columns that were taken from it

    def records(
        self, lines: Sequence[Line], wrapped: Collection[str]
    ) -> Iterator[tuple[dict[str, str], Mapping[str, Line]]]:
        """Yield each record, column by column in lower case, and the line of each; ValueError for an unknown line."""
        self.Reset()
        self._taken, self._places, self.told = {}, [], {}
        for line in lines:
            self._line = line
            if len(line.text) > _LONGEST:  # the library's patterns are not made for it
                raise ValueError(f"line {line.number} is longer than a line of this output can be")
            try:
                self._CheckLine(line.text)
            except textfsm.TextFSMError:
                raise ValueError(f"line {line.number} is none of this output: {line.text.strip()[:60]!r}") from None
            if self._cur_state_name in ("End", "EOF"):
                break
        if self._cur_state_name != "End" and "EOF" not in self.states:
            self._AppendRecord()
        header = [str(name) for name in self.header]
        for record, places in zip(self._result, self._places, strict=True):
            texts = {
                name.lower(): _text(value, "" if name.lower() in wrapped else ",")
                for name, value in zip(header, record, strict=True)
            }
            yield texts, {name.lower(): places.get(name, self._line) for name in header}

    def _AssignVar(self, matched: object, value: str) -> None:
        super()._AssignVar(matched, value)
        self._taken[value] = self._line
        self.told.setdefault(self._line.number, set()).add(value.lower())

    def _AppendRecord(self) -> None:
        before = len(self._result)
        super()._AppendRecord()
        if len(self._result) > before:
            self._places.append(dict(self._taken))


def _each(row: Mapping[str, str], columns: Sequence[str]) -> Iterator[Mapping[str, str]]:
    """Yield a row once for each place in its lists, with the items of that place."""
    lists = {column: row.get(column, "").split(",") for column in columns}
    for items in zip(*lists.values(), strict=False):
        yield {**row, **dict(zip(lists, items, strict=True))}
    if not lists:
        yield row


def _text(value: object, between: str) -> str:
    """Return a column as text, "" for one that its line leaves out; a list's items with `between` between them."""
    if isinstance(value, list):
        return between.join(_text(item, between) for item in value)
    return "" if value is None else str(value).strip()
