"""Sections come in; which device each belongs to, and by which dialect and source it is read, goes out."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from enum import StrEnum
from pathlib import PurePosixPath

from vlancheck.capture import Section
from vlancheck.capture.clock import asks_for_time
from vlancheck.capture.detect import Signature, detect
from vlancheck.reader.dialect import Dialect, Source
from vlancheck.reader.greeting import is_greeting
from vlancheck.reader.loading import load_dialect
from vlancheck.reader.reading import source_of


class NoteKind(StrEnum):
    """What a note is about."""

    ONLY_A_PROMPT = "only-a-prompt"  # a capture in which no command printed anything
    UNKNOWN_DIALECT = "unknown-dialect"  # a text that no dialect reads, or a dialect that does not exist
    OTHER_COMMAND = "other-command"  # output that the device's dialect does not read
    NEEDLESS = "needless"  # output that is not read because a better one is there
    DISAGREE = "disagree"  # two captures of one device that differ
    SAME = "same"  # two captures of one device that say the same
    NOT_THE_FORM = "not-the-form"  # text that has not the form its dialect asks for
    CUT = "cut"  # a capture that ends in the middle


@dataclass(frozen=True, slots=True)
class Note:
    """One thing to know about what was read."""

    kind: NoteKind  # what it is about
    message: str  # one sentence for people, with what to do
    file: str = ""  # capture it is about
    line: int = 0  # 1-based; 0 the whole capture
    device: str = ""  # device it is about; "" not known

    @property
    def unused(self) -> bool:
        """Tell whether a whole capture could not be used, so that its device may be missing."""
        return self.kind in (NoteKind.ONLY_A_PROMPT, NoteKind.UNKNOWN_DIALECT)


@dataclass(slots=True)
class Group:
    """The sections of one device."""

    name: str  # of the device
    dialect: Dialect  # by which it is read
    pairs: list[tuple[Section, Source]] = field(default_factory=list)  # what is read, in the order given
    saved: list[tuple[Section, Source]] = field(default_factory=list)  # what a restart brings, beside what runs now
    texts: list[Section] = field(default_factory=list)  # all its sections, in order, also those that nothing reads


def group(
    sections: Sequence[Section],
    names: Mapping[str, str],
    wanted: Mapping[str, str],
    bound: Mapping[str, Dialect],
    signatures: Sequence[Signature],
) -> tuple[list[Group], list[Note]]:
    """Return the groups by device, and notes on sections that are in none.

    A section belongs to the device that `names` says for its file, else to the one in its prompt, else to the
    one its text names, else to one called like the file.  What a console log says while somebody logs in, before its
    first prompt, belongs to none.
    """
    notes: list[Note] = []
    logged = {section.file for section in sections if section.prompt is not None}
    placed: dict[str, list[tuple[Section, str]]] = {}
    every: dict[str, list[Section]] = {}
    for section in sections:
        if not any(line.text.strip() for line in section.lines):
            _bare_prompt(section, sections, notes)
            every.setdefault(_device(section, names, ""), []).append(section)
            continue
        found = detect(section, signatures)
        best = found[0][0] if found else ""
        if not best and section.file in logged and section.prompt is None and is_greeting(section.lines):
            continue
        device = _device(section, names, best)
        placed.setdefault(device, []).append((section, best))
        every.setdefault(device, []).append(section)
    groups = []
    for name, mine in placed.items():
        if (dialect := _dialect(name, mine, wanted, bound, notes)) is not None:
            made = Group(name, dialect, texts=every[name])
            _fill(made, mine, notes)
            if made.pairs:
                groups.append(made)
    return groups, notes


def _bare_prompt(section: Section, sections: Sequence[Section], notes: list[Note]) -> None:
    """Note a capture of which nothing but prompts is there; an empty output beside others is no news."""
    others = [one for one in sections if one.file == section.file and any(line.text.strip() for line in one.lines)]
    if others or any(note.file == section.file for note in notes):
        return
    line = section.prompt.number if section.prompt else 0
    text = f"the capture holds a prompt and no output: {section.prompt.text.strip()}" if section.prompt else "is empty"
    message = f"{text}; capture it again with the output of the command"
    notes.append(Note(NoteKind.ONLY_A_PROMPT, message, section.file, line, section.device))


def _device(section: Section, names: Mapping[str, str], dialect: str) -> str:
    if section.file in names:
        return names[section.file]
    if section.device:
        return section.device
    if dialect:
        for pattern in load_dialect(dialect).hostname:
            for line in section.lines:
                if found := pattern.search(line.text):
                    return found[1]
    return PurePosixPath(section.file).stem


def _dialect(
    name: str,
    mine: Sequence[tuple[Section, str]],
    wanted: Mapping[str, str],
    bound: Mapping[str, Dialect],
    notes: list[Note],
) -> Dialect | None:
    """Return the dialect of a device: the one it is bound to, else the one most of its text looks like."""
    if name in bound:
        return bound[name]
    first = mine[0][0]
    line = first.lines[0].number
    if name in wanted:
        message = f"there is no dialect {wanted[name]!r}; the lines of {name} are not read"
        notes.append(Note(NoteKind.UNKNOWN_DIALECT, message, first.file, line, name))
        return None
    scores: dict[str, int] = {}
    for section, best in mine:
        if best:
            scores[best] = scores.get(best, 0) + len(section.lines)
    if not scores:
        message = f"no dialect reads this text; say the dialect of {name} in site.yaml, or leave the file out"
        notes.append(Note(NoteKind.UNKNOWN_DIALECT, message, first.file, line, name))
        return None
    return load_dialect(max(sorted(scores), key=lambda dialect: scores[dialect]))


def _fill(made: Group, mine: Sequence[tuple[Section, str]], notes: list[Note]) -> None:
    found = [(section, source_of(made.dialect, section)) for section, _ in mine]
    names = {source.name for _, source in found if source is not None}
    for section, source in found:
        line = section.prompt.number if section.prompt else section.lines[0].number
        if source is None and section.taken and asks_for_time(section.command):
            continue  # it was read for the time
        if source is None:
            said = section.command or "text without a prompt"
            message = f"{made.dialect.name} does not read the output of {said!r}"
            notes.append(Note(NoteKind.OTHER_COMMAND, message, section.file, line, made.name))
        elif source.only_without in names and (other := source_of(made.dialect, section, names)) is not None:
            made.pairs.append((section, other))
        elif source.only_without in names and source.saved:
            made.saved.append((section, source))
        elif source.only_without in names:
            message = f"{source.name} is not read, since {source.only_without} is there"
            notes.append(Note(NoteKind.NEEDLESS, message, section.file, line, made.name))
        else:
            made.pairs.append((section, source))
