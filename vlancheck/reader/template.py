"""A TextFSM template and path lines come in; for each line, the rule that took it and its values go out.

A match depends on the path line alone, so it is remembered; and a line is tried only against the rules
whose literal words fit, which finds what trying every rule in order would find.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import NamedTuple

from vlancheck.errors import DialectError
from vlancheck.reader.pathlines import SEP, leaf
from vlancheck.reader.ruletext import rules_of

_LONGEST = 16_384  # characters; no line of a configuration comes near, and a longer one is not worth the time
_REMEMBERED = 100_000  # matches kept for a template; then the memory starts anew


@dataclass(frozen=True, eq=False)
class Rule:
    """One rule of a template."""

    number: int  # place in the order of trying
    file: str  # path of the template, for messages
    line: int  # 1-based line in the template
    regex: str  # what it matches, from the start of a path line
    takes: frozenset[str]  # VALUEs it may set
    reads: bool  # False: it takes nothing, a line that it matches is passed over
    anchored: bool  # whether it ends in `$$`
    opens: bool  # whether it passes lines over and holds parts that match anything: the groups of its pattern

    @cached_property
    def pattern(self) -> re.Pattern[str]:
        """The regular expression, compiled when the first line is tried; DialectError when it is none."""
        try:
            return re.compile(self.regex)
        except re.error as error:
            message = f"{self.regex!r} is no regular expression: {error}"
            raise DialectError(message, file=self.file, line=self.line) from error


class Hit(NamedTuple):
    """What became of a line."""

    rule: Rule  # the rule that took it
    values: dict[str, str]  # VALUE -> text; shared, never changed


@dataclass(slots=True)
class Template:
    """The rules of one source, ready to match."""

    file: str  # path of the template, for messages
    values: frozenset[str]  # VALUE names declared
    rules: tuple[Rule, ...]  # in the order of the file
    guard: re.Pattern[str]  # sensitive words
    _index: _Index = field(init=False, repr=False)
    _memory: dict[str, Hit | None] = field(default_factory=dict, repr=False)

    def __post_init__(self) -> None:
        self._index = _Index(self.rules)

    def match(self, text: str) -> Hit | None:
        """Return the first rule that takes the path line, or None: nobody reads it.

        What a rule that passes over does not spell out must hold no sensitive word.
        """
        if len(text) > _LONGEST:
            return None
        try:
            return self._memory[text]
        except KeyError:
            pass
        hit = self.first(text, self._index.candidates(text))
        if len(self._memory) >= _REMEMBERED:
            self._memory.clear()
        self._memory[text] = hit
        return hit

    def compile(self) -> None:
        """Compile every rule, whether a line needs it or not; raise DialectError for one that is not right."""
        for rule in self.rules:
            assert rule.pattern.pattern == rule.regex

    def forget(self) -> None:
        """Forget the matches of earlier lines; they are found again."""
        self._memory.clear()

    def first(self, text: str, rules: Sequence[Rule]) -> Hit | None:
        """Return the first of `rules` that takes the path line."""
        for rule in rules:
            if found := rule.pattern.match(text):
                if not rule.anchored and self.guard.search(leaf(text)):
                    continue
                if rule.opens and self._guarded(text, found):
                    continue
                return Hit(rule, {name: value for name, value in found.groupdict().items() if value is not None})
        return None

    def _guarded(self, text: str, found: re.Match[str]) -> bool:
        """Tell whether a part that matches anything took a sensitive word of the last segment."""
        begins = len(text) - len(leaf(text))
        return any(end > begins and self.guard.search(text, max(start, begins), end) for start, end in found.regs[1:])


def load_template(text: str, file: str, guard: re.Pattern[str]) -> Template:
    """Return the template in `text`; raise DialectError when it is not one, or not of the closed form.

    The closed form: one state, `Start`; rules that take values end in `$$` and in `-> Record`; no
    `Continue`, no `Filldown`, no `List`: a value never outlives its line.
    """
    values, written = rules_of(text, file)
    rules = []
    for number, rule in enumerate(written):
        anchored = rule.match.endswith("$$")
        if rule.takes and not anchored:
            raise DialectError(
                "a rule that takes values must end in $$", file=file, line=rule.line, hint="write the whole line"
            )
        if rule.takes and not rule.reads:
            raise DialectError("a rule that takes values must end in `-> Record`", file=file, line=rule.line)
        opens = not rule.reads and any(found["any"] for found in _ANYTHING.finditer(rule.regex))
        regex = _ANYTHING.sub(_grouped, rule.regex) if opens else rule.regex
        rules.append(Rule(number, file, rule.line, regex, frozenset(rule.takes), rule.reads, anchored, opens))
    return Template(file, values, tuple(rules), guard)


# What matches anything: `.*`, `.+`, and `[^|]*` or `[^|]+` at the end; not what is escaped, and not behind `(?#free)`.
_ANYTHING = re.compile(
    r"(?P<any>\.[*+]|\[\^\|\][*+](?=\)*\??\$))|(?P<plain>\\.|\[\^?\]?(?:\\.|[^\]\\])*\]|\(\?#free\)(?:\.|\[\^\|\])[*+])"
)


def _grouped(found: re.Match[str]) -> str:
    return f"({found['any']})" if found["any"] else found[0]


# ---- which rules to try ------------------------------------------------------------------------------------------

_SPECIAL = set("\\.^$*+?{}[]|()")
_CLASS = re.compile(r"\[[^^\]](?:[^\]\\]|\\.)*\]")  # a class of named characters; none of ours names the bar
_GROUP = re.compile(r"\(\?(?::|P<\w+>)")
_PLAIN = re.compile(r"[A-Za-z0-9_/-]+ (?![?*{])")  # a literal word and the blank behind it
_LOOSE = re.compile(r"(?<!\\)\.|\[\^|\\[WD]|\\S.*\\S.*\\S")  # could match a separator bar


class _Index:
    """Rules by literal words: of the line's first segment the first and the second, of its second segment the first."""

    __slots__ = ("_one", "_rest", "_seen")

    def __init__(self, rules: Sequence[Rule]) -> None:
        self._rest: list[Rule] = []  # rules of which no literal word is known
        self._one: dict[str, list[tuple[Rule, frozenset[str] | None, frozenset[str] | None]]] = {}
        self._seen: dict[tuple[str, str, str], tuple[Rule, ...]] = {}
        for rule in rules:
            first, after, second = _words(rule.regex)
            if first is None:
                self._rest.append(rule)
            else:
                for word in first:
                    self._one.setdefault(word, []).append((rule, after, second))

    def candidates(self, text: str) -> tuple[Rule, ...]:
        """Return the rules that could take the path line, in the order of the template."""
        head, _, tail = text.partition(SEP)
        first, _, rest = head.partition(" ")
        key = (first, rest.partition(" ")[0], tail.partition(" ")[0])
        found = self._seen.get(key)
        if found is None:
            fitting = [
                rule
                for rule, after, second in self._one.get(first, ())
                if (after is None or key[1] in after) and (second is None or key[2] in second)
            ]
            found = tuple(sorted({*fitting, *self._rest}, key=lambda rule: rule.number))
            if len(self._seen) < _REMEMBERED:
                self._seen[key] = found
        return found


def _words(pattern: str) -> tuple[frozenset[str] | None, frozenset[str] | None, frozenset[str] | None]:
    """Return the words that can begin the first segment, follow there, and begin the second one; None for any."""
    if not pattern.startswith("^") or len(_branches(pattern)) > 1:
        return None, None, None
    head, bar, tail = pattern[1:].partition(r" \| ")
    first = _openings(head, ends=bool(bar))
    plain = _PLAIN.match(head)
    after = _openings(head[plain.end() :], ends=bool(bar)) if plain else None
    if not bar or _LOOSE.search(_CLASS.sub("", head)):
        return first, after, None  # the first bar of the pattern need not be the first of the line
    return first, after, _openings(tail, ends=False)


def _openings(pattern: str, *, ends: bool) -> frozenset[str] | None:
    """Return the literal words that text matched by `pattern` begins with, or None; `ends`: a segment ends there."""
    if group := _GROUP.match(pattern):
        close = _closing(pattern)
        inside, rest = pattern[group.end() : close], pattern[close + 1 :]
        if rest[:1] in ("?", "*", "+", "{"):
            return None
        found: set[str] = set()
        for branch in _branches(inside):
            words = _openings(branch + rest, ends=ends)
            if words is None:
                return None
            found |= words
        return frozenset(found)
    literal = ""
    for at, char in enumerate(pattern):
        if char == " " and pattern[at + 1 : at + 2] not in ("?", "*", "{"):
            return frozenset((literal,)) if literal else None
        if char == "$" and at == len(pattern) - 1:
            return frozenset((literal,)) if literal else None
        if char in _SPECIAL or char == " ":
            return None
        literal += char
    return frozenset((literal,)) if ends and literal else None


def _closing(pattern: str) -> int:
    """Return where the group that opens at 0 closes."""
    depth, at = 0, 0
    while at < len(pattern):
        if pattern[at] == "\\":
            at += 1
        elif pattern[at] in "()":
            depth += 1 if pattern[at] == "(" else -1
            if not depth:
                return at
        at += 1
    return len(pattern)


def _branches(pattern: str) -> list[str]:
    """Return the alternatives of `pattern` outside its groups."""
    found, depth, start, at = [], 0, 0, 0
    while at < len(pattern):
        if pattern[at] == "\\":
            at += 1
        elif pattern[at] in "()":
            depth += 1 if pattern[at] == "(" else -1
        elif pattern[at] == "|" and not depth:
            found.append(pattern[start:at])
            start = at + 1
        at += 1
    return [*found, pattern[start:]]
