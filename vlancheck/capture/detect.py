"""A section and the signatures of the dialects come in; the dialects it may be written in go out, best first."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import chain

from vlancheck.capture.console import Section

_PATTERN = 10  # points for a pattern that fits a line
_COMMAND = 5  # points for a command pattern that fits the command
_TOKENS = re.compile(  # a character that stands for itself, or anything else, and how often it may come
    r"(?P<one>\\[^A-Za-z0-9]|[A-Za-z0-9 _/:;,=<>@%&\"'#!~`-])?(?(one)|(?:\\.|.))(?P<times>[?*+]\??|\{[\d,]+\})?"
)
_CLASS = re.compile(r"(?<!\\)\[\^?\]?(?:\\.|[^\]\\])*\]")
_BAR = re.compile(r"(?<!\\)\|")
# A group without a group in it, that is there once.
_CHOICE = re.compile(r"(?<!\\)\((?:\?:)?((?:\\.|[^()\\?])(?:\\.|[^()\\])*)\)(?![?*+{])")
_TELLING = 4  # letters; a shorter text is in too many lines to spare anything
_IGNORES_CASE = re.compile(r"\(\?[a-z]*i[a-z]*\)")
_DIGITS = str.maketrans("123456789", "000000000")
_MOST = 1000  # different lines looked at: all of most texts, an even choice of a very long one


@dataclass(frozen=True, slots=True)
class Signature:
    """How to know a dialect by its text."""

    dialect: str  # name of the dialect
    patterns: tuple[str, ...]  # regular expressions searched in each line; each counts once
    commands: tuple[re.Pattern[str], ...]  # matched at the start of the typed command; the best counts once


def detect(section: Section, signatures: Sequence[Signature]) -> list[tuple[str, int]]:
    """Return (dialect, score) of every dialect with a sign in the section: best first, then by name."""
    texts = _sample(section)
    alike: dict[str, list[str]] = {}  # lines that differ in their digits alone, by what they have in common
    for shape, line in zip("\n".join(texts).translate(_DIGITS).split("\n"), texts, strict=False):
        alike.setdefault(shape, []).append(line)
    text = "\n".join(alike)
    index = _by_literal(tuple(signature.patterns for signature in signatures))
    likely = {pattern for literal, patterns in index.items() if literal in text for pattern in patterns}
    there = {pattern for pattern in likely if _in_a_line(pattern, alike)}
    scores = []
    for signature in signatures:
        score = _PATTERN * sum(pattern in there for pattern in signature.patterns)
        if section.command and any(pattern.match(section.command) for pattern in signature.commands):
            score += _COMMAND
        if score:
            scores.append((signature.dialect, score))
    return sorted(scores, key=lambda pair: (-pair[1], pair[0]))


def _in_a_line(pattern: str, alike: Mapping[str, Sequence[str]]) -> bool:
    """Tell whether a pattern is found in a line; it is tried on lines that hold one of its literal texts alone."""
    search, literals = _compiled(pattern).search, _literals(pattern)
    return any(
        any(map(search, lines)) for shape, lines in alike.items() if any(literal in shape for literal in literals)
    )


@cache
def _by_literal(several: tuple[tuple[str, ...], ...]) -> dict[str, list[str]]:
    """Return the different patterns by the literal texts of which one is there where the pattern is found."""
    found: dict[str, list[str]] = {}
    for pattern in dict.fromkeys(chain.from_iterable(several)):  # families share signs
        for literal in _literals(pattern):
            found.setdefault(literal, []).append(pattern)
    return found


_compiled = cache(re.compile)  # most signs are in none of the texts, and are never compiled


@cache
def _literals(pattern: str) -> tuple[str, ...]:
    """Return shapes of texts of which one is in whatever the pattern matches; "" for a branch that says none."""
    if _IGNORES_CASE.search(pattern):
        return ("",)
    plain = _CLASS.sub(".", pattern)
    found = tuple(map(_longest, _BAR.split(_without_groups(plain))))
    if min(map(len, found)) < _TELLING and (group := _CHOICE.search(plain)):
        branches = (plain[: group.start()] + branch + plain[group.end() :] for branch in _BAR.split(group[1]))
        return tuple(dict.fromkeys(literal for branch in branches for literal in _literals(branch)))
    return found


def _longest(flat: str) -> str:
    """Return the longest text that a pattern without groups and alternatives spells out, with every digit as 0."""
    found, run = "", ""
    for token in _TOKENS.finditer(flat):
        kept = token["one"][-1] if token["one"] and not token["times"] else ""
        run = run + kept if kept else ""
        found = max(found, run, key=len)
    return found.translate(_DIGITS)


def _without_groups(text: str) -> str:
    """Return a pattern with each group as a `.`: what it matches is not looked into."""
    changed = 1
    while changed:
        text, changed = re.subn(r"(?<!\\)\((?:\\.|[^()\\])*\)", ".", text)
    return text


def _sample(section: Section) -> list[str]:
    texts = list(dict.fromkeys(line.text for line in section.lines))
    if len(texts) <= _MOST:
        return texts
    head, rest = texts[: _MOST // 2], texts[_MOST // 2 :]
    step = -(-len(rest) // (_MOST // 2))
    return head + rest[::step]
