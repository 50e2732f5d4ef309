"""What a worksheet is, as values: headings, rows, what is filled in by hand, cautions and signatures."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum
from itertools import groupby


class Fill(StrEnum):
    """What a cell that is filled in by hand takes."""

    TICK = "tick"  # a box
    RESULT = "result"  # passed, failed or not tested
    WORDS = "words"  # a few words


@dataclass(frozen=True, slots=True)
class Blank:
    """A column that is filled in by hand."""

    heading: str  # above it
    fill: Fill  # what goes in
    name: str  # of the column in a file of ticks, and unique in its sheet


@dataclass(frozen=True, slots=True)
class Row:
    """One row."""

    key: str  # jack or DEVICE:PORT it is about; the number of the row where it is about neither
    cells: tuple[str, ...]  # under the headings of its sheet
    part: str = ""  # heading of the rows that stand together; "" for none
    hold: str = ""  # what must be asked before its cord is touched, and of whom; "" when nobody must
    cord: str = ""  # label of the cord, where it has one: it stays when a box or a port is called otherwise
    asked: bool = True  # its blank columns are to be filled in; False: they belong to the rows around it
    test: str = ""  # what its result is the result of; "" where the column's heading says it


@dataclass(frozen=True, slots=True)
class Worksheet:
    """One sheet."""

    name: str  # short, for files, tabs and ticks
    title: str  # for people
    use: str  # what it is for, in a sentence or two
    headings: tuple[str, ...]  # of the cells of its rows
    rows: tuple[Row, ...]  # in the order of the work
    blanks: tuple[Blank, ...] = ()  # columns filled in by hand, after the cells
    cautions: tuple[str, ...] = ()  # before the rows
    signatures: tuple[str, ...] = ()  # who signs below
    wide: bool = False  # it needs the long side of the paper

    def parts(self) -> Iterator[tuple[str, list[tuple[int, Row]]]]:
        """Yield the rows that stand together, each with its number on the sheet, from 1."""
        for part, several in groupby(enumerate(self.rows, 1), key=lambda numbered: numbered[1].part):
            yield part, list(several)

    def table(self) -> tuple[tuple[str, ...], ...]:
        """Return the sheet as rows of text, its headings first, for files without a layout."""
        top = ("No.", "Part", "Key", "Hold", *self.headings, *(blank.heading for blank in self.blanks))
        empty = ("",) * len(self.blanks)
        rows = (
            (str(number), row.part, row.key, row.hold, *row.cells, *empty) for number, row in enumerate(self.rows, 1)
        )
        return (top, *rows)


@dataclass(frozen=True, slots=True)
class Book:
    """All sheets of one night."""

    site: str  # name of the site
    before: str  # name of the survey that is taken down
    after: str  # name of the survey that is put up
    sheets: tuple[Worksheet, ...]  # in the order in which they are used
