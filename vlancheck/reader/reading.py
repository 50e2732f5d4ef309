"""The sections of one device and its dialect come in, its facts, unread lines and the device itself go out."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, field
from enum import IntEnum

from vlancheck.capture import Line, Section
from vlancheck.dot1q.model import Device
from vlancheck.evidence import Kind, Origin, Origins
from vlancheck.reader.building import Counts, Missed, build
from vlancheck.reader.dialect import Dialect, Source
from vlancheck.reader.facts import Facts, Write
from vlancheck.reader.pathlines import PathLine, leaf, squeezed
from vlancheck.reader.template import Hit


class Fate(IntEnum):
    """What became of a line; of several, the highest counts."""

    PASSED = 0  # passed over on purpose
    READ = 1  # evidence of a fact
    UNREAD = 2  # no pattern took it, or its values are not right


@dataclass(slots=True)
class Gathered:
    """What the lines of one device said."""

    dialect: Dialect  # by which it was read
    facts: Facts  # what was understood
    missed: list[Missed] = field(default_factory=list)  # what was not
    fates: list[dict[int, Fate]] = field(default_factory=list)  # for each section, what became of each line
    doubt: Origins = ()  # why nothing at its ports is proven
    problems: list[tuple[Section, Source, str]] = field(default_factory=list)  # texts of another form, and why
    sources: list[str] = field(default_factory=list)  # names of the sources of which there was a text

    def count(self, *fates: Fate) -> int:
        """Return how many lines, blank ones left out, had one of `fates`."""
        return sum(1 for section in self.fates for fate in section.values() if fate in fates)

    def device(self, name: str) -> Device:
        """Return the device these facts make."""
        counts = Counts(self.count(Fate.PASSED, Fate.READ, Fate.UNREAD), self.count(Fate.PASSED))
        return build(self.dialect, name, self.facts, self.missed, counts, self.doubt)


def source_of(dialect: Dialect, section: Section, but: Collection[str] = ()) -> Source | None:
    """Return the first source of the dialect that reads the section, or None; not one that `but` makes needless."""
    for source in dialect.sources:
        if source.only_without in but:
            continue
        if section.command:
            if not any(pattern.match(section.command) for pattern in source.commands):
                continue
        elif not source.bare:
            continue
        if source.looks and not any(pattern.search(line.text) for line in section.lines for pattern in source.looks):
            continue
        return source
    return None


def gather(dialect: Dialect, pairs: Iterable[tuple[Section, Source]]) -> Gathered:
    """Return what the sections of one device say, each read by its source."""
    gathered = Gathered(dialect, dialect.facts())
    replay(gathered, pairs)
    return gathered


def replay(gathered: Gathered, pairs: Iterable[tuple[Section, Source]]) -> None:
    """Replay more lines over what was gathered, as a device does that is typed at.

    A text that has not the form its source names, or that was cut, leaves nothing at the ports proven.
    """
    late: list[_Taken] = []
    for section, source in pairs:
        gathered.sources.append(source.name)
        try:
            late += _early(gathered, section, source)
        except ValueError as error:
            gathered.problems.append((section, source, str(error)))
            if not source.moments:
                gathered.doubt = (*gathered.doubt, origin_of(section, source, section.lines[0]))
        if not source.moments and source.is_cut(section):
            gathered.doubt = (*gathered.doubt, origin_of(section, source, section.lines[-1]))
    for taken in late:
        taken.apply(gathered, taken.ports)


def origin_of(section: Section, source: Source, line: Line) -> Origin:
    """Return where a line of a captured output stands."""
    return Origin(source.evidence, line.text.strip(), section.file, line.number)


@dataclass(slots=True)
class _Taken:
    """A line that a pattern took, whose facts of ports wait for the names of VLANs."""

    line: PathLine  # as the pattern saw it
    hit: Hit  # the values it took
    ports: tuple[Write, ...]  # what it writes to ports
    origins: _Origins  # makes its evidence
    fates: dict[int, Fate]  # what became of the lines of its section
    matters: bool  # whether a value that is not right could touch VLANs: not in what one moment showed

    def apply(self, gathered: Gathered, writes: tuple[Write, ...]) -> bool:
        """Carry out `writes`; a value that is not right makes the line unread.  Tell whether it was carried out."""
        try:
            gathered.facts.apply(writes, self.hit.values, self.origins(self.line))
        except ValueError as error:
            gathered.missed.append(Missed(self.line, self.origins(self.line), str(error), self.matters))
            self.fates[self.line.lines[0].number] = Fate.UNREAD
            return False
        return True


def _early(gathered: Gathered, section: Section, source: Source) -> list[_Taken]:
    """Count and match the lines of a section, and replay what does not belong to ports."""
    path_lines: Iterable[PathLine] = list(source.form(section.lines))
    for macro in source.macros:
        path_lines = macro(path_lines)
    evidence = _Origins(source.evidence, section.file)
    guard = gathered.dialect.sensitive
    fates: dict[int, Fate] = {}
    gathered.fates.append(fates)
    late: list[_Taken] = []
    for line in path_lines:
        number = line.lines[0].number
        fates.setdefault(number, Fate.PASSED)
        if line.passed:
            continue
        hit, line = _match(source, line)
        if hit is None:
            if source.rest:
                continue
            fates[number] = Fate.UNREAD
            said = leaf(line.text)
            why = "" if said == squeezed(line.lines[0].text) else f"no pattern takes {said!r}"
            gathered.missed.append(Missed(line, evidence(line), why, guard.search(said) is not None))
        elif hit.rule.reads:
            fates[number] = max(fates[number], Fate.READ)
            before, ports = source.writes[hit.rule]
            taken = _Taken(line, hit, ports, evidence, fates, not source.moments)
            if (not before or taken.apply(gathered, before)) and ports:
                late.append(taken)
    return late


def _match(source: Source, line: PathLine) -> tuple[Hit | None, PathLine]:
    """Return how the line is taken; a line that may end its stanza is taken in the way that reads it."""
    hit = _first(source, line.text)
    if line.other and (hit is None or not hit.rule.reads):
        other = _first(source, line.other)
        if other is not None and (hit is None or other.rule.reads):
            return other, line._replace(text=line.other, headers=())
    return hit, line


def _first(source: Source, text: str) -> Hit | None:
    for template in source.templates:
        if (hit := template.match(text)) is not None:
            return hit
    return None


class _Origins:
    """Makes the evidence of path lines of one section; headers are made once."""

    __slots__ = ("_file", "_headers", "_kind")

    def __init__(self, kind: Kind, file: str) -> None:
        self._kind = kind
        self._file = file
        self._headers: dict[tuple[Line, ...], Origins] = {}

    def __call__(self, line: PathLine) -> Origins:
        """Return the evidence of a path line: the line itself, then the lines that brought it here."""
        header = self._header(line.headers) if line.headers else ()
        own = self._one(line.lines[0], header)
        return (own,) if len(line.lines) == 1 else (own, *(self._one(other, ()) for other in line.lines[1:]))

    def _header(self, headers: tuple[Line, ...]) -> Origins:
        if (made := self._headers.get(headers)) is None:
            made = self._headers[headers] = tuple(self._one(line, ()) for line in headers)
        return made

    def _one(self, line: Line, header: Origins) -> Origin:
        return Origin(self._kind, line.text.strip(), self._file, line.number, header=header)


def first_difference(one: Sequence[Line], other: Sequence[Line]) -> tuple[Line, Line] | None:
    """Return the first lines, blank ones left out, in which two texts differ, or None when they say the same."""
    mine = [line for line in one if line.text.strip()]
    theirs = [line for line in other if line.text.strip()]
    for left, right in zip(mine, theirs, strict=False):
        if left.text.split() != right.text.split():
            return left, right
    if len(mine) == len(theirs):
        return None
    shorter = min(len(mine), len(theirs))
    nothing = Line(0, "(nothing)")
    return (mine[shorter] if len(mine) > shorter else nothing), (theirs[shorter] if len(theirs) > shorter else nothing)
