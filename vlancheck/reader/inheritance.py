"""Statements with named groups come in; what is inherited where a group is applied goes out before the statements."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from fnmatch import fnmatchcase

from vlancheck.reader.pathlines import PathLine

_APPLY, _EXCEPT = "apply-groups", "apply-groups-except"
Words = tuple[str, ...]
Statements = list[tuple[Words, PathLine]]


@dataclass(frozen=True, slots=True)
class _Use:
    """A group that is applied somewhere."""

    at: Words  # path of the statement
    group: str  # name
    line: PathLine  # the line that says so


@dataclass(frozen=True, slots=True)
class _Inherited:
    """One statement that a use brings."""

    use: _Use  # which
    words: Words  # the statement
    line: PathLine  # the line of the group


@dataclass(frozen=True, slots=True)
class Groups:
    """`set groups G PATH` is inherited wherever `apply-groups G` stands at or above PATH.

    What a statement says itself comes behind what it inherits, and of groups the nearest and first named comes last, so
    that the last writer is the one that holds.  A name in angle brackets is every name that is there.  Where a list
    has items of its own and inherits others, or inherits from two groups, how they go together is not documented: such
    a line is marked, and no pattern takes it.  A group that is not understood, or not there, is handed on as it stands.
    """

    names: tuple[re.Pattern[str], ...]  # whole beginnings of statements that end in a name brackets may stand for
    lists: tuple[re.Pattern[str], ...]  # beginnings of statements that hold a list, up to an item
    apart: re.Pattern[str]  # names of groups that hold for a part of the device only
    unless: re.Pattern[str]  # a line beside which it is not documented for what brackets stand

    def __call__(self, lines: Iterable[PathLine]) -> Iterable[PathLine]:
        """Return the path lines rewritten."""
        lines = list(lines)
        groups = self._groups(lines)
        uses = [_Use(at, name, line) for at, name, line in _applied(lines, _APPLY) if name in groups]
        barred = {(at, name) for at, name, _ in _applied(lines, _EXCEPT)}
        own = {words: line for line in lines if (words := _statement(line)) and words[0] != "groups"}
        made = self._inherited(groups, uses, barred, own)
        return [*self._in_order(made, uses, own), *self._rest(lines, groups)]

    def _groups(self, lines: Sequence[PathLine]) -> dict[str, Statements]:
        """Return the groups that are understood whole, without `set groups NAME`."""
        bare = any(not line.passed and self.unless.match(line.text) for line in lines)
        found: dict[str, Statements] = {}
        odd: set[str] = set()
        for line in lines:
            if len(words := _statement(line)) < 3 or words[0] != "groups" or self.apart.fullmatch(words[1]):
                continue
            found.setdefault(words[1], []).append((words[2:], line))
            wild = [place for place, word in enumerate(words[2:]) if _is_wild(word)]
            if words[2] == "when" or (wild and bare) or not all(self._is_name(words[2 : 3 + place]) for place in wild):
                odd.add(words[1])
        return {name: group for name, group in found.items() if name not in odd}

    def _is_name(self, path: Words) -> bool:
        return any(one.fullmatch(" ".join(("set", *path))) for one in self.names)

    def _inherited(
        self,
        groups: dict[str, Statements],
        uses: Sequence[_Use],
        barred: set[tuple[Words, str]],
        own: Iterable[Words],
    ) -> list[_Inherited]:
        below: dict[Words, dict[str, None]] = {}  # the names below each path
        for words in own:
            _grow(below, words)
        made: dict[tuple[str, Words], _Inherited] = {}
        before = -1
        while before < len(made):  # a name in brackets may be there by another group only
            before = len(made)
            for use in uses:
                for words, line in groups[use.group]:
                    for path in self._paths(words, use.at, below):
                        if not any((path[:end], use.group) in barred for end in range(len(path) + 1)):
                            made.setdefault((use.group, path), _Inherited(use, path, line))
                            _grow(below, path)
        return list(made.values())

    def _paths(self, words: Words, at: Words, below: dict[Words, dict[str, None]]) -> list[Words]:
        """Return the statements that `words` of a group become at or below the path `at`."""
        if len(words) <= len(at):
            return []
        if not all(self._stands_for(word, at[: place + 1]) for place, word in enumerate(words[: len(at)])):
            return []
        found: list[Words] = [at]
        for word in words[len(at) :]:
            names = {path: below.get(path, {}) if _is_wild(word) else {word: None} for path in found}
            found = [(*path, name) for path in found for name in names[path] if self._stands_for(word, (*path, name))]
        return found

    def _stands_for(self, word: str, path: Words) -> bool:
        """Tell whether a word of a group is the last name of a path, or brackets that stand for it."""
        return fnmatchcase(path[-1], _pattern(word)) and self._is_name(path) if _is_wild(word) else word == path[-1]

    def _in_order(
        self, made: Sequence[_Inherited], uses: Sequence[_Use], own: dict[Words, PathLine]
    ) -> Iterator[PathLine]:
        """Yield what is inherited, what holds least first; leave out what the statements say themselves."""
        made = [one for one in made if one.words not in own]
        givers: dict[str, set[str]] = {}
        for words, group in [*((words, "") for words in own), *((one.words, one.use.group) for one in made)]:
            givers.setdefault(self._list(words), set()).add(group)
        order = {id(use): place for place, use in enumerate(uses)}
        begins = {use.at: place for place, use in reversed(list(enumerate(uses)))}
        for one in sorted(made, key=lambda one: (len(one.use.at), begins[one.use.at], -order[id(one.use)])):
            stem = self._list(one.words)
            mark = " (inherited)" if stem and len(givers[stem]) > 1 else ""
            text = f"{' '.join(('set', *one.words))}{mark}"
            yield one.line._replace(text=text, lines=one.line.lines + one.use.line.lines)

    def _list(self, words: Words) -> str:
        """Return the beginning of a statement that holds a list; "" of any other."""
        text = " ".join(("set", *words))
        return next((found[0] for one in self.lists if (found := one.match(text))), "")

    def _rest(self, lines: Sequence[PathLine], groups: dict[str, Statements]) -> Iterator[PathLine]:
        """Yield the lines that came in; what is carried out is passed over."""
        for line in lines:
            words = _statement(line)
            if words[:1] == ("groups",):
                yield line._replace(passed=words[1] in groups if len(words) > 2 else line.passed)
            elif found := _names(words):
                done = all(name in groups or self.apart.fullmatch(name) for name in found[1])
                yield line._replace(passed=done)
            else:
                yield line


def _statement(line: PathLine) -> Words:
    """Return the words of a statement behind `set`; none of any other line."""
    return () if line.passed or not line.text.startswith("set ") else tuple(line.text.split()[1:])


def _applied(lines: Sequence[PathLine], verb: str) -> Iterator[tuple[Words, str, PathLine]]:
    """Yield the places where a line says `verb`, and of which groups."""
    for line in lines:
        if (words := _statement(line))[:1] != ("groups",) and (found := _names(words)) and verb in words:
            yield from ((found[0], name, line) for name in found[1])


def _names(words: Words) -> tuple[Words, list[str]] | None:
    """Return where a statement applies groups, or does not want them, and their names."""
    place = next((place for place, word in enumerate(words) if word in (_APPLY, _EXCEPT)), None)
    return (
        None
        if place is None
        else (words[:place], [word.strip('[]"') for word in words[place + 1 :] if word not in "[]"])
    )


def _grow(below: dict[Words, dict[str, None]], words: Words) -> None:
    for place, word in enumerate(words):
        below.setdefault(words[:place], {})[word] = None


def _is_wild(word: str) -> bool:
    return word.startswith(("<", '"<'))


def _pattern(word: str) -> str:
    return word.strip('"').removeprefix("<").removesuffix(">")
