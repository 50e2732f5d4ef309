"""The sections of one device and its dialect come in, its facts, unread lines and the device itself go out."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from enum import IntEnum

from vlancheck.capture import Line, Section
from vlancheck.dot1q.model import Device
from vlancheck.evidence import Fact, Kind, Origin, Origins
from vlancheck.reader import sensitive
from vlancheck.reader.building import Counts, Missed, build
from vlancheck.reader.dialect import WHOLE, Dialect, Source
from vlancheck.reader.facts import Facts, Saying
from vlancheck.reader.lists import NoSuchVlan
from vlancheck.reader.pathlines import PathLine, leaf, squeezed
from vlancheck.reader.template import Hit


class Fate(IntEnum):
    """What became of a line; of several, the highest counts."""

    PASSED = 0  # passed over on purpose
    READ = 1  # evidence of a fact
    UNREAD = 2  # no pattern took it, or its values are not right
    REFUSED = 3  # it acts on what is there, and changes nothing or nobody knows what


@dataclass(frozen=True, slots=True)
class Text:
    """A text of a device, and how it is read."""

    section: Section  # its lines
    source: Source  # by which they are read
    typed: bool = False  # whether the lines are typed at the device; else it printed them


@dataclass(slots=True)
class Gathered:
    """What the lines of one device said."""

    dialect: Dialect  # by which it was read
    facts: Facts  # what was understood
    missed: list[Missed] = field(default_factory=list)  # what was not
    fates: list[dict[int, Fate]] = field(default_factory=list)  # for each section, what became of each line
    doubt: Origins = ()  # why nothing at its ports is proven
    problems: list[tuple[Section, Source, str]] = field(default_factory=list)  # texts of another form, and why
    texts: list[Text] = field(default_factory=list)  # what was read, in order
    called: dict[str, int] | None = None  # names of VLANs before lines were typed, for what it had shown by then

    @property
    def sources(self) -> list[str]:
        """The names of the sources of which there was a text."""
        return [text.source.name for text in self.texts]

    def count(self, *fates: Fate) -> int:
        """Return how many lines, blank ones left out, had one of `fates`."""
        return sum(1 for section in self.fates for fate in section.values() if fate in fates)

    def device(self, name: str) -> Device:
        """Return the device these facts make."""
        counts = Counts(self.count(*Fate), self.count(Fate.PASSED))
        made = build(self.dialect, name, self.facts, self.missed, counts, self.doubt)
        shown = any(text.source.evidence is Kind.SHOW and not text.source.moments for text in self.texts)
        return _with_typed_vlans(made, self) if shown and any(text.typed for text in self.texts) else made


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
    _read(gathered, [Text(section, source) for section, source in pairs])
    return gathered


def typed(gathered: Gathered, pairs: Iterable[tuple[Section, Source]]) -> Gathered:
    """Return what is known of a device after more lines are typed at it; `gathered` stays as it is.

    The lines are replayed over the facts; where they act on statements or records, all texts of these are read anew.
    """
    texts = [Text(section, source, typed=True) for section, source in pairs]
    if gathered.dialect.statements is not None:
        called = gathered.called if gathered.called is not None else gathered.facts.names()
        made = Gathered(gathered.dialect, gathered.dialect.facts(), called=called)
        texts = [*gathered.texts, *texts]
    else:
        made = replace(
            gathered,
            facts=gathered.facts.copy(),
            missed=list(gathered.missed),
            fates=list(gathered.fates),
            problems=list(gathered.problems),
            texts=list(gathered.texts),
        )
    _read(made, texts)
    return made


def _with_typed_vlans(device: Device, gathered: Gathered) -> Device:
    """Return the device with what typed lines do to its VLANs in place of what it showed before they were typed."""
    said = [text for text in gathered.texts if text.source.evidence is Kind.LINE]
    printed = gather(gathered.dialect, [(text.section, text.source) for text in said if not text.typed])
    after = typed(printed, [(text.section, text.source) for text in said if text.typed]).device(device.name)
    before = printed.device(device.name)
    files = {text.section.file for text in said if text.typed}
    bridges = {}
    for name, bridge in device.bridges.items():
        if name in before.bridges and name in after.bridges:
            was, now = before.bridges[name].exists, after.bridges[name].exists
            changed = (was.sure ^ now.sure) | (was.possible ^ now.possible)
            exists = bridge.exists
            for bits, state, by in now.parts:
                by_typed = any(one.file in files for one in by)
                exists = exists.write(bits if by_typed else bits & changed, state, by)
            bridges[name] = replace(bridge, exists=exists)
    return replace(device, bridges={**device.bridges, **bridges})


def _read(gathered: Gathered, texts: Iterable[Text]) -> None:
    """Read texts over what was gathered; what belongs to ports is replayed after all else.

    A text that has not the form its source names, or that was cut, leaves nothing at the ports proven.
    """
    pieces: list[list[_Piece]] = []  # what is read together
    tree: list[_Piece] = []  # texts that show parts of one tree of statements
    for text in texts:
        section, source = text.section, text.source
        fates: dict[int, Fate] = {}
        gathered.texts.append(text)
        gathered.fates.append(fates)
        try:
            piece = _Piece(text, list(source.form(section.lines)), fates)
        except ValueError as error:
            gathered.problems.append((section, source, str(error)))
            if not source.moments:
                gathered.doubt = (*gathered.doubt, origin_of(section, source, section.lines[0]))
        else:
            if gathered.dialect.statements is None or source.evidence is not Kind.LINE:
                pieces.append([piece])
            elif tree:
                tree.append(piece)
            else:
                pieces.append(tree := [piece])
        if source.is_all(section):
            gathered.facts.device.facts[WHOLE] = Fact("yes", ())
        if not source.moments and source.is_cut(section):
            gathered.doubt = (*gathered.doubt, origin_of(section, source, section.lines[-1]))
    late = [taken for together in pieces for taken in _early(gathered, together)]
    for taken in late:
        taken.apply(gathered, taken.ports)
    gathered.facts.called = None


def origin_of(section: Section, source: Source, line: Line) -> Origin:
    """Return where a line of a captured output stands."""
    return Origin(source.evidence, line.text.strip(), section.file, line.number)


@dataclass(slots=True)
class _Piece:
    """A text while it is read."""

    text: Text  # what it is
    lines: list[PathLine]  # as its form hands them on
    fates: dict[int, Fate]  # what became of its lines


@dataclass(slots=True)
class _Taken:
    """A line that a pattern took, whose facts of ports wait for the names of VLANs."""

    line: PathLine  # as the pattern saw it
    hit: Hit  # the values it took
    ports: tuple[Saying, ...]  # what it says of ports
    origins: _Origins  # makes its evidence
    piece: _Piece  # the text it stands in

    def apply(self, gathered: Gathered, said: tuple[Saying, ...]) -> bool:
        """Carry out what is said; a value that is not right makes the line unread.  Tell whether it was carried out."""
        text = self.piece.text
        gathered.facts.typing = text.typed
        gathered.facts.called = gathered.called if text.source.evidence is Kind.SHOW else None
        try:
            gathered.facts.apply(said, self.hit.values, self.origins(self.line))
        except ValueError as error:  # what one moment showed cannot touch VLANs
            name = error.name if isinstance(error, NoSuchVlan) and text.source.evidence is Kind.LINE else ""
            matters = not text.source.moments
            gathered.missed.append(Missed(self.line, self.origins(self.line), str(error), matters, name))
            self.piece.fates[self.line.lines[0].number] = Fate.UNREAD
            return False
        return True


def _early(gathered: Gathered, pieces: Sequence[_Piece]) -> list[_Taken]:
    """Count and match the lines of texts that are read together, and replay what does not belong to ports."""
    source = pieces[0].text.source
    of_line = {id(line): piece for piece in pieces for line in piece.text.section.lines} if len(pieces) > 1 else {}
    evidence = _Origins(source.evidence, pieces[0].text.section.file, of_line)
    path_lines: Iterable[PathLine] = _together(gathered, pieces, evidence)
    for macro in source.macros:
        path_lines = macro(path_lines)
    guard, more = gathered.dialect.sensitive, gathered.dialect.sensitive_words
    late: list[_Taken] = []
    for line in path_lines:
        number = line.lines[0].number
        piece = of_line.get(id(line.lines[0]), pieces[0])
        source, fates = piece.text.source, piece.fates
        fates.setdefault(number, Fate.PASSED)
        if line.passed:
            continue
        hit, line = match(source, line)
        if hit is None:
            if source.rest:
                continue
            fates[number] = Fate.UNREAD
            said = leaf(line.text)
            why = "" if said == squeezed(line.lines[0].text) else f"no pattern takes {said!r}"
            matters = guard.search(said) is not None or sensitive.nearly(said, more)
            gathered.missed.append(Missed(line, evidence(line), why, matters))
        elif hit.rule.reads:
            fates[number] = max(fates[number], Fate.READ)
            before, ports = source.writes[hit.rule]
            taken = _Taken(line, hit, ports, evidence, piece)
            if (not before or taken.apply(gathered, before)) and ports:
                late.append(taken)
    return late


def _together(gathered: Gathered, pieces: Sequence[_Piece], evidence: _Origins) -> list[PathLine]:
    """Return the path lines of texts that are read together: those of a tree with the typed ones carried out."""
    statements = gathered.dialect.statements
    lines: list[PathLine] = []
    for piece in pieces:
        if statements is None:
            lines += piece.lines
            continue
        after = (statements.typed if piece.text.typed else statements.printed)(lines, piece.lines)
        lines = after.lines
        piece.fates |= {line.lines[0].number: Fate.READ for line in after.taken}
        for refused in after.refused:
            piece.fates[refused.line.lines[0].number] = Fate.REFUSED if refused.matters else Fate.READ
            gathered.missed.append(Missed(refused.line, evidence(refused.line), refused.why, refused.matters))
    return lines


def match(source: Source, line: PathLine) -> tuple[Hit | None, PathLine]:
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
    """Makes the evidence of path lines of texts that are read together; headers are made once."""

    __slots__ = ("_file", "_headers", "_kind", "_of_line")

    def __init__(self, kind: Kind, file: str, of_line: Mapping[int, _Piece]) -> None:
        self._kind = kind
        self._file = file
        self._of_line = of_line  # of several texts, the identity of each line -> the text it stands in
        self._headers: dict[tuple[str, tuple[Line, ...]], Origins] = {}

    def __call__(self, line: PathLine) -> Origins:
        """Return the evidence of a path line: the line itself, then the lines that brought it here."""
        header = self._header(line.headers) if line.headers else ()
        own = self._one(line.lines[0], header)
        return (own,) if len(line.lines) == 1 else (own, *(self._one(other, ()) for other in line.lines[1:]))

    def _header(self, headers: tuple[Line, ...]) -> Origins:
        key = (self._file_of(headers[0]), headers)
        if (made := self._headers.get(key)) is None:
            made = self._headers[key] = tuple(self._one(line, ()) for line in headers)
        return made

    def _one(self, line: Line, header: Origins) -> Origin:
        return Origin(self._kind, line.text.strip(), self._file_of(line), line.number, header=header)

    def _file_of(self, line: Line) -> str:
        piece = self._of_line.get(id(line)) if self._of_line else None
        return self._file if piece is None else piece.text.section.file


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
