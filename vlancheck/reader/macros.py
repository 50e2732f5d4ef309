"""Macros: path lines come in, rewritten path lines go out; both lines stay as evidence.

deactivate    what stands under a `deactivate` line has no effect
port-groups   lines written for a named group of ports are written again for each member
groups        statements of a named group are written again where the group is applied (`inheritance`)
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Protocol

from vlancheck.reader.inheritance import Groups
from vlancheck.reader.lists import Punctuation
from vlancheck.reader.params import Parameters
from vlancheck.reader.pathlines import PathLine


class Macro(Protocol):
    """What every macro does."""

    def __call__(self, lines: Iterable[PathLine]) -> Iterable[PathLine]:
        """Return the path lines rewritten."""


def make_macro(name: str, params: Parameters, ports: Punctuation) -> Macro:
    """Return the macro called `name`; raise DialectError for a name or a parameter that is not known."""
    match name:
        case "deactivate":
            return Deactivate()
        case "port-groups":
            define = params.patterns("define")
            use = params.compiled(params.word("use"))
            for pattern, needed in (*((one, {"group", "ports"}) for one in define), (use, {"group", "whole"})):
                if missing := needed - set(pattern.groupindex):
                    raise params.error(f"{pattern.pattern!r} needs the named group {min(missing)!r}")
            return PortGroups(define, use, ports)
        case "groups":
            apart, unless = (params.compiled(params.word(word)) for word in ("apart", "unless"))
            return Groups(params.patterns("names"), params.patterns("lists"), apart, unless)
    raise params.unknown("macro", name, MACROS)


MACROS = ("deactivate", "groups", "port-groups")


@dataclass(frozen=True, slots=True)
class Deactivate:
    """`deactivate a b` takes every `set a b ...` out of effect, wherever the two stand.

    What is taken out is handed on as passed over, with `inactive` before it and the line that did so behind it.
    """

    def __call__(self, lines: Iterable[PathLine]) -> Iterator[PathLine]:
        """Return the path lines rewritten."""
        lines = list(lines)
        off = {tuple(line.text.split()[1:]): line for line in lines if line.text.startswith("deactivate ")}
        longest = max(map(len, off), default=0)
        for line in lines:
            if line.text.startswith("deactivate "):
                yield line._replace(passed=True)
                continue
            words = line.text.split()[1:] if off else []
            cut = next(
                (off[path] for end in range(1, min(longest, len(words)) + 1) if (path := tuple(words[:end])) in off),
                None,
            )
            if cut is None:
                yield line
            else:
                yield line._replace(text=f"inactive {line.text}", lines=line.lines + cut.lines, passed=True)


@dataclass(frozen=True, slots=True)
class PortGroups:
    """Lines for a named group of ports become lines for each of its members."""

    define: tuple[re.Pattern[str], ...]  # whole lines that name `ports` as members of `group`
    use: re.Pattern[str]  # beginning of a line written for `group`; `whole` is the part a port's name replaces
    ports: Punctuation  # how the family writes lists of ports

    def __call__(self, lines: Iterable[PathLine]) -> Iterator[PathLine]:
        """Return the path lines rewritten; the members' own lines follow those of their group."""
        lines = list(lines)
        members: dict[str, list[tuple[str, PathLine]]] = {}
        definitions: set[int] = set()
        for place, line in enumerate(lines):
            for pattern in self.define:
                if not line.passed and (found := pattern.fullmatch(line.text)):
                    try:
                        names = self.ports.ports(found["ports"])
                    except ValueError:
                        continue  # handed on as it is: no pattern will take it
                    definitions.add(place)
                    members.setdefault(found["group"], []).extend((name, line) for name in names)
        own: list[PathLine] = []
        for place, line in enumerate(lines):
            if place in definitions:
                yield line._replace(passed=True)
            elif line.passed or not (found := self.use.match(line.text)) or found["group"] not in members:
                own.append(line)
            else:
                for name, by in members[found["group"]]:
                    text = f"{line.text[: found.start('whole')]}{name}{line.text[found.end('whole') :]}"
                    yield line._replace(text=text, lines=line.lines + by.lines)
        yield from own
