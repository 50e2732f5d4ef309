"""The two kinds of expression a dialect's meaning knows: conditions on facts, and sets of VIDs.

    condition   FACT: value | [values] | present | absent | empty | filled, or any: [FACTS]
    set         FACT | VID or list of VIDs | all | none | every | [union] | {minus: [a, b]} | {both: [a, b]}
                | {at-least: a} | {where-said: a} | {unknown: sentence}

`present` and `absent` ask whether a line wrote the fact; values are compared with what holds, default or not.
A constant has for evidence the sentence of its row (`because`, `source`).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from functools import cache
from typing import NamedTuple, TypeAlias

from vlancheck.evidence import Cover, Fact, Kind, Origin, Origins, State, assumed, join
from vlancheck.reader.facts import Value
from vlancheck.reader.lists import Punctuation
from vlancheck.reader.params import Parameters
from vlancheck.vids import EVERY, WIRE
from vlancheck.yamltext import Items, Node, Table, Text


class Scope(NamedTuple):
    """The facts of one thing."""

    written: Mapping[str, Value]  # those a line wrote, or a join put there
    all: Mapping[str, Value]  # with the dialect's defaults


Scopes: TypeAlias = Mapping[str, Scope]  # "" is the thing itself, `device`, and what a join reads under a prefix
Term: TypeAlias = Callable[[Scopes, Origins], Cover]
NOTHING = Scope({}, {})


def value_of(scopes: Scopes, name: tuple[str, str]) -> Value | None:
    """Return the fact `name`, a pair of prefix and word, or None."""
    return scopes.get(name[0], NOTHING).all.get(name[1])


def origins_of(value: Value | None) -> Origins:
    """Return everything behind a value."""
    if isinstance(value, Fact):
        return value.origins
    if isinstance(value, Cover):
        return join(*(by for _, state, by in value.parts if state is not State.OUT)) or join(
            *(by for _, _, by in value.parts)
        )
    return join(*(row.origins for row in value)) if value else ()


# ---- conditions --------------------------------------------------------------------------------------------------


class Asks(StrEnum):
    """What a condition asks of a fact."""

    VALUE = "value"  # whether it is one of some values
    PRESENT = "present"  # whether a line wrote it
    ABSENT = "absent"  # whether none did
    EMPTY = "empty"  # whether it is a set without any VID
    FILLED = "filled"  # whether it is a set with some VID


_WORDS = frozenset(Asks) - {Asks.VALUE}
_VALUE, _PRESENT, _ABSENT = Asks.VALUE, Asks.PRESENT, Asks.ABSENT  # looked up once; conditions are asked very often


@dataclass(frozen=True, slots=True)
class Test:
    """One condition on one fact."""

    name: tuple[str, str]  # prefix and word
    asks: Asks  # what is asked
    wanted: frozenset[str]  # for VALUE: the values


@dataclass(frozen=True, slots=True)
class When:
    """Conditions that must all hold; none always do."""

    tests: tuple[Test, ...] = ()  # in the order written
    any: tuple[tuple[str, str], ...] = ()  # facts, as prefix and word, of which a line wrote at least one; () nothing

    def holds(self, scopes: Scopes) -> Origins | None:
        """Return the evidence that they hold, or None when one does not."""
        why: Origins = ()
        if self.any:
            found = [
                scope.written[word]
                for prefix, word in self.any
                if word in (scope := scopes.get(prefix, NOTHING)).written
            ]
            if not found:
                return None
            why = join(*(value.origins for value in found if isinstance(value, Fact)))
        for test in self.tests:
            prefix, name = test.name
            scope = scopes.get(prefix, NOTHING)
            asks = test.asks
            if asks is _ABSENT:
                if name in scope.written:
                    return None
                continue
            value = scope.all.get(name)
            if asks is _VALUE:
                if not isinstance(value, Fact):
                    return None
                word = value.value
                if (word if isinstance(word, str) else _word(value)) not in test.wanted:
                    return None
            elif asks is _PRESENT:
                if name not in scope.written:
                    return None
            else:
                filled = bool(value.possible if isinstance(value, Cover) else value)
                if filled is (asks is Asks.EMPTY):
                    return None
            if isinstance(value, Fact):  # a set or a list has its evidence with each item
                why = join(why, value.origins) if why else value.origins
        return why

    def may_hold(self, written: frozenset[str], device: frozenset[str], sort: str | None) -> bool:
        """Tell whether they can hold for a port of which lines wrote the facts `written`, named in class `sort`.

        `device` are the facts that lines wrote of its device.
        """
        if self.any and not any(
            prefix not in ("", "device") or word in (device if prefix else written) for prefix, word in self.any
        ):
            return False
        for test in self.tests:
            prefix, name = test.name
            if prefix in ("", "device") and test.asks in (Asks.PRESENT, Asks.ABSENT):
                if (name in (device if prefix else written)) is (test.asks is Asks.ABSENT):
                    return False
            elif test.name == ("name", "class") and test.asks is Asks.VALUE and sort not in test.wanted:
                return False
        return True


def _word(fact: Fact[str] | Fact[int | None]) -> str:
    return "none" if fact.value is None else str(fact.value)


class Names:
    """The fact names a dialect knows, by prefix, so that a misspelt one is refused."""

    def __init__(self, known: Mapping[str, frozenset[str]]) -> None:
        """Take the names known under each prefix."""
        self.known = known

    def split(self, word: str, params: Parameters) -> tuple[str, str]:
        """Return prefix and name of `word`; raise DialectError when there is no such fact."""
        prefix, dot, name = word.partition(".")
        found = (prefix, name) if dot and prefix in self.known else ("", word)
        if found[1] not in self.known.get(found[0], ()):
            everything = [f"{one}.{name}" if one else name for one, names in self.known.items() for name in names]
            raise params.unknown("fact", word, everything)
        return found


def make_when(params: Parameters, names: Names) -> When:
    """Return the conditions in the mapping `when` of a row."""
    inner = params.below("when")
    tests = []
    one_of = tuple(names.split(word, inner) for word in inner.words("any"))
    if inner.has("any") and len(one_of) < 2:
        raise inner.error("`any` asks for one of several facts", hint="write FACT: present for one alone")
    for key in inner.written():
        if key == "any":
            continue
        wanted = frozenset(map(str, inner.words(key)))
        if not wanted:
            raise inner.error(f"{str(key)!r} asks for no value", key)
        if len(wanted) > 1 and (word := wanted & _WORDS):
            raise inner.error(f"{min(word)!r} stands alone, not in a list", key)
        asks = Asks(min(wanted)) if wanted & _WORDS else Asks.VALUE
        tests.append(Test(names.split(key, inner), asks, wanted))
    return When(tuple(tests), one_of)


# ---- sets --------------------------------------------------------------------------------------------------------


@dataclass(slots=True)
class TermMaker:
    """Makes set terms of YAML."""

    names: Names  # fact names known
    params: Parameters  # where errors are said to be
    constant: bool = False  # a constant was met, so that the row needs a sentence
    columns: frozenset[str] = field(default_factory=frozenset)  # columns of the rows walked, which hide facts

    def make(self, node: Node) -> Term:
        """Return the term written in `node`."""
        if isinstance(node, Text):
            return self._word(node)
        if isinstance(node, Items):
            terms = [self.make(item) for item in node]
            if not terms:
                raise self.params.error("an empty list is no set; write none", node)
            return terms[0] if len(terms) == 1 else _union(terms)
        return self._operation(node)

    def _word(self, word: Text) -> Term:
        if word in _CONSTANTS or word[0].isdigit():
            self.constant = True
            try:
                bits = _CONSTANTS[word] if word in _CONSTANTS else _NUMBERS.vids(word, {})
            except ValueError as error:
                raise self.params.error(str(error), word) from error
            return _constant(bits)
        name = self.names.split(word, self.params)

        def fact(scopes: Scopes, because: Origins) -> Cover:
            return as_cover(value_of(scopes, name), word)

        return fact

    def _operation(self, node: Table) -> Term:
        if len(node) != 1:
            raise self.params.error("a set operation is one word with its operands", node)
        ((word, operands),) = node.items()
        if word in ("minus", "both"):
            if not isinstance(operands, Items) or len(operands) != 2:
                raise self.params.error(f"{str(word)!r} takes a list of two sets", operands)
            one, other = self.make(operands[0]), self.make(operands[1])
            if word == "minus":
                return lambda scopes, because: one(scopes, because).minus(other(scopes, because))
            return lambda scopes, because: one(scopes, because) & other(scopes, because)
        if word == "at-least":
            self.constant = True
            least = self.make(operands)
            return lambda scopes, because: _at_least(least(scopes, because), because)
        if word == "where-said":
            self.constant = True
            told = self.make(operands)
            return lambda scopes, because: _where_said(told(scopes, because), because)
        if word == "unknown":
            if not isinstance(operands, Text):
                raise self.params.error("'unknown' takes a sentence", operands)
            unknown = Cover.unknown(assumed(operands))
            return lambda scopes, because: unknown
        raise self.params.unknown("set operation", word, ("minus", "both", "at-least", "where-said", "unknown"))


_CONSTANTS = {"all": WIRE, "none": 0, "every": EVERY}
_NUMBERS = Punctuation()


def as_cover(value: Value | None, name: str) -> Cover:
    """Return a fact as a set of VIDs."""
    if isinstance(value, Cover):
        return value
    if isinstance(value, Fact):
        if isinstance(value.value, int):
            return Cover.of(1 << value.value, value.origins)
        if value.value is None:
            return Cover.of(0, value.origins)
    return _unset(name)


@cache
def _unset(name: str) -> Cover:
    return Cover.of(0, (Origin(Kind.DEFAULT, f"no line sets {name}"),))


def _constant(bits: int) -> Term:
    made: dict[Origins, Cover] = {}

    def constant(scopes: Scopes, because: Origins) -> Cover:
        if because not in made:
            made[because] = Cover.of(bits, because)
        return made[because]

    return constant


def _union(terms: list[Term]) -> Term:
    def union(scopes: Scopes, because: Origins) -> Cover:
        made = terms[0](scopes, because)
        for term in terms[1:]:
            made = made | term(scopes, because)
        return made

    return union


def _at_least(cover: Cover, because: Origins) -> Cover:
    return Cover(
        tuple(
            (bits, state, by) if state is State.IN else (bits, State.UNKNOWN, because)
            for bits, state, by in cover.parts
        )
    )


def _where_said(cover: Cover, because: Origins) -> Cover:
    """Return the cover with all that no captured line decides unknown."""
    parts = []
    for bits, state, by in cover.parts:
        lines = tuple(one for one in by if one.file) if state is State.OUT else by
        known = bool(lines) and state is not State.UNKNOWN
        parts.append((bits, state, lines) if known else (bits, State.UNKNOWN, because))
    return Cover(tuple(parts))
