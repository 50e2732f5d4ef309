"""Tables typed by people: a row of headings and rows of cells come in, a path line for every cell goes out.

Headings are known by sense, whatever their case; cells are parted by commas, semicolons or tabs.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from vlancheck.capture import Line
from vlancheck.reader.pathlines import SEP, PathLine, squeezed

_SEPARATORS = "\t;,"  # of several in the row of headings, the first of these parts the cells
_NO_WORD = re.compile(r"[\W_]+")


@dataclass(frozen=True, slots=True)
class Table:
    """The form of tables with headings."""

    key: str  # sense of the column that names the record
    columns: Mapping[str, tuple[str, ...]]  # sense -> headings, in lower case
    says: str  # what the evidence of every row begins with
    by: tuple[str, ...]  # senses of columns that say who took a row, or when: part of the evidence, down to the next

    def __call__(self, lines: Sequence[Line]) -> Iterator[PathLine]:
        """Yield the path lines of `lines`; raise ValueError when no row has the headings or a row does not fit them."""
        rows = [line for line in lines if line.text.strip()]
        first = next((place for place, line in enumerate(rows) if self._heads(line)), None)
        if first is None:
            raise ValueError(f"no row has a heading for {self.key} and one for anything else")
        top = rows[first]
        yield from (PathLine(squeezed(line.text), (line,)) for line in rows[:first])
        separator = _separator(top.text)
        senses: list[str] = []
        for cell in _cells(top.text, separator, top.number):
            sense = self._sense(cell)
            if sense and sense in senses:
                raise ValueError(f"line {top.number}: two headings mean {sense}")
            senses.append(sense)
            if sense or cell:
                yield PathLine(f"column {sense}" if sense else f"heading {squeezed(cell)}", (top,))
        taken: dict[str, str] = {}
        for line in rows[first + 1 :]:
            yield from self._row(line, _cells(line.text, separator, line.number), senses, taken)

    def _row(self, line: Line, cells: list[str], senses: list[str], taken: dict[str, str]) -> Iterator[PathLine]:
        """Yield the path lines of a row; `taken` is what the rows above say of who took it."""
        if not any(cells):
            yield PathLine("", (line,), (), True)
            return
        if any(cells[len(senses) :]):
            raise ValueError(
                f"line {line.number} has {len(cells)} cells under {len(senses)} headings; quote a list with commas"
            )
        said = {sense: squeezed(cell) for sense, cell in zip(senses, cells, strict=False) if sense and cell}
        taken.update((sense, said.pop(sense)) for sense in self.by if sense in said)
        named = said.pop(self.key, "")
        if not named:
            raise ValueError(f"line {line.number} has no {self.key}")
        told = ", ".join([self.says, *(f"{sense} {taken[sense]}" for sense in self.by if sense in taken)])
        source = Line(line.number, f"{told}: {line.text.strip()}")
        head = f"{self.key}={named}"
        yield PathLine(head, (source,))
        yield from (PathLine(f"{head}{SEP}{sense}={cell}", (source,)) for sense, cell in said.items())

    def _heads(self, line: Line) -> bool:
        senses = {self._sense(cell) for cell in _cells(line.text, _separator(line.text), line.number)} - {""}
        return self.key in senses and len(senses - set(self.by)) > 1

    def _sense(self, heading: str) -> str:
        words = _NO_WORD.sub(" ", heading.lower()).strip()
        return next((sense for sense, known in self.columns.items() if words in known), "")


def _separator(text: str) -> str:
    return next((one for one in _SEPARATORS if one in text), ",")


def _cells(text: str, separator: str, number: int) -> list[str]:
    try:
        (cells,) = csv.reader([text], delimiter=separator, strict=True)
    except csv.Error as error:
        raise ValueError(f"line {number}: {error}") from error
    return [cell.strip() for cell in cells]
