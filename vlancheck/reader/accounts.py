"""Texts of files and what became of their lines in, an account of each file out: every line is in one of its sums."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, replace

from vlancheck.capture import Section
from vlancheck.reader.reading import Fate, Gathered


@dataclass(frozen=True, slots=True)
class Account:
    """How much of one file was read, in lines that are not blank."""

    file: str  # as it is called in messages
    devices: tuple[str, ...] = field(default=())  # that it tells of
    read: int = 0  # lines that say something
    passed_over: int = 0  # lines passed over on purpose, by name
    unread: int = 0  # lines of which nobody knows what they say
    aside: int = 0  # lines of outputs that nothing reads, or that another capture has as well
    taken: str = ""  # the latest time the text itself states; "" when it states none
    digest: str = ""  # SHA-256 of its bytes, in hex


def accounts(sections: Iterable[Section], gathered: Iterable[tuple[str, Gathered]]) -> tuple[Account, ...]:
    """Return an account of every file, by name; `gathered` has what the lines of each device said."""
    found: dict[str, Account] = {}
    looked_at: set[tuple[str, int]] = set()
    told = [
        (name, text.section, fates) for name, one in gathered for text, fates in zip(one.texts, one.fates, strict=True)
    ]
    for name, section, fates in told:
        one = _with(found, section)
        looked_at.update((section.file, line.number) for line in section.lines)
        several = list(fates.values())
        found[section.file] = replace(
            one,
            devices=tuple(dict.fromkeys((*one.devices, name))),
            read=one.read + several.count(Fate.READ),
            passed_over=one.passed_over + several.count(Fate.PASSED),
            unread=one.unread + several.count(Fate.UNREAD) + several.count(Fate.REFUSED),
        )
    for section in sections:
        one = _with(found, section)
        rest = {line.number for line in section.lines if line.text.strip()}
        aside = sum((section.file, number) not in looked_at for number in rest)
        found[section.file] = replace(one, aside=one.aside + aside)
    return tuple(found[file] for file in sorted(found))


def _with(found: dict[str, Account], section: Section) -> Account:
    one = found.get(section.file, Account(section.file))
    return replace(one, taken=max(one.taken, section.taken), digest=one.digest or section.digest)
