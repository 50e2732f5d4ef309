"""Statements of a configuration and lines typed at them come in, the statements that are there then go out.

set         a statement more; where there can be one alone, it takes the place of the one before
delete      every statement at the path or below it goes
deactivate  what is at the path or below it has no effect
activate    takes a `deactivate` back
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field

from vlancheck.reader.pathlines import PathLine, squeezed

NOTHING_THERE = "nothing is there for it to act on"  # why a typed line changes nothing
_WORD = re.compile(  # a word in quotes, a bracket of a list, a plain word
    r'"(?:[^"\\]|\\.)*"?|(?<!\S)\[|\](?!\S)|[^\s"]+?(?=\]?(?!\S)|")'
)
_Words = tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Refused:
    """A typed line that changes nothing, or of which it is not known what it changes."""

    line: PathLine  # as it was typed
    why: str  # why, in a few words
    matters: bool  # False: the device itself changes nothing


@dataclass(slots=True)
class Typed:
    """What became of the statements and of the typed lines."""

    lines: list[PathLine]  # all statements, and those that went as passed over
    taken: list[PathLine] = field(default_factory=list)  # typed lines that changed the statements
    refused: list[Refused] = field(default_factory=list)  # typed lines that did not


@dataclass(frozen=True, slots=True)
class Statements:
    """How the lines typed at a family change the tree of its statements."""

    single: tuple[re.Pattern[str], ...] = ()  # statements up to their value, of which there is one
    kept: tuple[re.Pattern[str], ...] = ()  # statements that stay when all that stood below them was deleted

    def printed(self, there: Sequence[PathLine], lines: Iterable[PathLine]) -> Typed:
        """Return the statements `there` with those of a text that the device printed."""
        return Typed([*there, *lines])

    def typed(self, there: Sequence[PathLine], lines: Iterable[PathLine]) -> Typed:
        """Return the statements `there` after `lines` were typed, one after another."""
        tree = _Tree(self, there)
        for line in lines:
            tree.type(line)
        return Typed([one.line for one in tree.all], tree.taken, tree.refused)


@dataclass(slots=True)
class _Statement:
    """A statement and whether it is still there."""

    line: PathLine
    verb: str  # set or deactivate; "" for what is no statement
    path: _Words  # what follows the verb

    def goes(self) -> None:
        """Take the statement away; its line stays as one that is passed over."""
        self.line = self.line._replace(text=f"deleted {self.line.text}", passed=True)
        self.verb = ""


class _Tree:
    """Statements while lines are typed."""

    def __init__(self, family: Statements, there: Iterable[PathLine]) -> None:
        self._family = family
        self.all = [_statement(one) for line in there for one in _items(line)]
        self.taken: list[PathLine] = []
        self.refused: list[Refused] = []

    def type(self, line: PathLine) -> None:
        """Carry out one typed line."""
        verb, _, rest = line.text.partition(" ")
        path = _words(rest)
        if line.passed:
            self.all.append(_statement(line))
        elif verb == "set" and path:
            for one in _items(line):
                self._set(one)
        elif verb in ("delete", "deactivate", "activate") and path and not {"[", "]"} & set(path):
            self._act(verb, path, line)
        else:
            self.refused.append(Refused(line, f"what {verb!r} does is not followed", True))

    def _set(self, line: PathLine) -> None:
        for pattern in self._family.single:
            if found := pattern.match(line.text):
                for one in self.all:
                    other = pattern.match(one.line.text) if one.verb == "set" else None
                    if other and other[0] == found[0]:
                        one.goes()
        self.all.append(_statement(line))

    def _act(self, verb: str, path: _Words, line: PathLine) -> None:
        reached = [one for one in self.all if one.verb == "deactivate" or (one.verb and verb != "activate")]
        hit = [one for one in reached if (one.path if verb == "activate" else one.path[: len(path)]) == path]
        if not hit:
            self.refused.append(_missing(path, line, reached))
            return
        self.taken.append(line)
        if verb == "deactivate":
            self.all.append(_statement(line))
            return
        for one in hit:
            one.goes()
        if verb == "delete" and (above := self._left(path)):
            self.all.append(_statement(PathLine(f"set {' '.join(above)}", line.lines + hit[0].line.lines)))

    def _left(self, path: _Words) -> _Words:
        """Return the statement above `path` that stays with nothing below it; () where there is none."""
        for end in range(len(path) - 1, 0, -1):
            above = path[:end]
            if any(pattern.fullmatch(f"set {' '.join(above)}") for pattern in self._family.kept):
                below = any(one.verb == "set" and one.path[:end] == above for one in self.all)
                return () if below else above
        return ()


def _statement(line: PathLine) -> _Statement:
    verb, _, rest = line.text.partition(" ")
    known = not line.passed and verb in ("set", "deactivate")
    return _Statement(line, verb if known else "", _words(rest) if known else ())


def _words(text: str) -> _Words:
    """Return the words of a path; quotes say nothing but where a word ends."""
    return tuple(word.strip('"') for word in _WORD.findall(text))


def _items(line: PathLine) -> Iterator[PathLine]:
    """Yield a statement that holds a list in brackets as one statement an item."""
    words = _WORD.findall(line.text)
    if line.passed or words.count("[") != 1 or words.count("]") != 1:
        yield line
        return
    opens, closes = words.index("["), words.index("]")
    for item in words[opens + 1 : closes]:
        yield line._replace(text=" ".join([*words[:opens], item, *words[closes + 1 :]]))


def _missing(path: _Words, line: PathLine, reached: Sequence[_Statement]) -> Refused:
    """Return why a line that acts on no statement is not carried out."""
    short = next((one for one in reached if _could_mean(path, one.path)), None)
    if short is not None:
        return Refused(line, f"it may be short for {' '.join(short.path[: len(path)])!r}; write it whole", True)
    if line.text != squeezed(line.lines[0].text):  # a mark within a block, which says it before the statement
        return Refused(line, "a statement that is pasted and has no effect is not followed", True)
    return Refused(line, NOTHING_THERE, False)


def _could_mean(typed: _Words, there: _Words) -> bool:
    """Tell whether a device may take `typed` as short for a statement: words cut short, or `NAME.PART` for a name."""
    if len(typed) > len(there):
        return False
    for short, word in zip(typed, there, strict=False):
        if short.startswith(f"{word}."):
            return True
        if not word.startswith(short):
            return False
    return True
