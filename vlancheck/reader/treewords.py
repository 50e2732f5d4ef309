"""The word `tree` of a row of meaning: what a bridge or port says of its spanning tree, from facts and constants.

Numbers come as rows of facts, each with the VLANs or instances it is for; a row without a number takes back what rows
before it gave to the same ones.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace

from vlancheck.dot1q.macs import mac_address
from vlancheck.dot1q.tree import OWN_REGION, BridgeTree, Given, PortTree
from vlancheck.evidence import Cover, Fact, Origins, join
from vlancheck.reader.facts import Row
from vlancheck.reader.params import Parameters
from vlancheck.reader.terms import Names, Scopes, origins_of, value_of
from vlancheck.vids import EVERY, span

BRIDGE_TREE_WORDS = (
    "address",
    "priority",
    "priorities",
    "table",
    "region",
    "instances",
    "without",
    "words",
    "times",
    "alone",
)
PORT_TREE_WORDS = ("priority", "priorities", "costs", "shown-costs", "number", "words", "times", "alone")
TABLES = ("short", "long")


@dataclass(slots=True)
class TreeFields:
    """What the rows said of the tree of one bridge or port so far."""

    bridge: BridgeTree = field(default_factory=BridgeTree)  # of a bridge, numbers apart
    port: PortTree = field(default_factory=PortTree)  # of a port, numbers apart
    numbers: dict[str, tuple[Given, ...]] = field(default_factory=dict)  # word -> what lines give
    usual: tuple[Given, ...] = ()  # priority without a line

    def of_bridge(self) -> BridgeTree:
        """Return what was said of a bridge."""
        given = self.numbers
        priorities = (*self.usual, *given.get("priorities", ()))
        return replace(self.bridge, priorities=priorities, instances=given.get("instances", ()))

    def of_port(self) -> PortTree:
        """Return what was said of a port."""
        given = self.numbers
        priorities = (*self.usual, *given.get("priorities", ()))
        costs, shown = given.get("costs", ()), given.get("shown-costs", ())
        return replace(self.port, priorities=priorities, costs=costs, shown_costs=shown)


TreeSetter = Callable[[TreeFields, Scopes, Origins, Origins], None]  # fields, facts, the row's sentence, why it holds


def make_tree(params: Parameters, names: Names, known: Sequence[str]) -> tuple[TreeSetter, bool]:
    """Return what the word `tree` of a row sets, and whether a constant is among it."""
    inner = params.below("tree")
    words = {str(word): _count(inner, str(number)) for word, number in inner.mapping("words").items()}
    times = _count(inner, inner.word("times", "1"))
    alone = 1 << _count(inner, inner.word("alone")) if inner.has("alone") else EVERY
    setters: list[TreeSetter] = []
    for word in known:
        if not inner.has(word):
            continue
        match word:
            case "priorities" | "costs" | "shown-costs" | "instances":
                steps = times if word == "priorities" else 1
                setters.append(_rows(word, names.split(inner.word(word), inner), words, steps, alone))
            case "priority":
                setters.append(_usual(_count(inner, inner.word(word))))
            case "table":
                setters.append(_table(inner.choice(word, TABLES)))
            case "address" | "number":
                setters.append(_fact(word, names.split(inner.word(word), inner)))
            case "without":
                setters.append(_bare(names.split(inner.word(word), inner)))
            case "region":
                setters.append(_region(inner, names))
    inner.done()

    def tree(fields: TreeFields, scopes: Scopes, because: Origins, why: Origins) -> None:
        for setter in setters:
            setter(fields, scopes, because, why)

    return tree, inner.has("priority") or inner.has("table")


def _rows(word: str, name: tuple[str, str], words: Mapping[str, int], times: int, alone: int) -> TreeSetter:
    def rows(fields: TreeFields, scopes: Scopes, because: Origins, why: Origins) -> None:
        value = value_of(scopes, name)
        found = _givens(value if isinstance(value, tuple) else (), words, times, alone)
        fields.numbers[word] = (*fields.numbers.get(word, ()), *found)

    return rows


def _usual(number: int) -> TreeSetter:
    def usual(fields: TreeFields, scopes: Scopes, because: Origins, why: Origins) -> None:
        fields.usual = (Given(number, origins=join(because, why)),)

    return usual


def _table(table: str) -> TreeSetter:
    def costs(fields: TreeFields, scopes: Scopes, because: Origins, why: Origins) -> None:
        fields.bridge = replace(fields.bridge, costs=Fact(table, join(because, why)))

    return costs


def _fact(word: str, name: tuple[str, str]) -> TreeSetter:
    def fact(fields: TreeFields, scopes: Scopes, because: Origins, why: Origins) -> None:
        value = value_of(scopes, name)
        if not isinstance(value, Fact) or not isinstance(value.value, str):
            return
        if word == "number" and (number := _whole(value.value)) is not None:
            fields.port = replace(fields.port, number=Fact(number, join(value.origins, why)))
        elif word == "address" and (address := mac_address(value.value)):
            fields.bridge = replace(fields.bridge, address=Fact(address, join(value.origins, why)))

    return fact


def _bare(name: tuple[str, str]) -> TreeSetter:
    def without(fields: TreeFields, scopes: Scopes, because: Origins, why: Origins) -> None:
        if isinstance(value := value_of(scopes, name), Cover):
            fields.bridge = replace(fields.bridge, without=value)

    return without


def _region(params: Parameters, names: Names) -> TreeSetter:
    inner = params.below("region")
    name, revision = (names.split(inner.word(word), inner) for word in ("name", "revision"))
    own = inner.flag("own", default=False)  # a bridge that is given no name has its own address for one
    inner.done()

    def region(fields: TreeFields, scopes: Scopes, because: Origins, why: Origins) -> None:
        values = [value_of(scopes, one) for one in (name, revision)]
        said = [value.value if isinstance(value, Fact) and value.value is not None else "" for value in values]
        made: Fact[str | None] = Fact(
            OWN_REGION if own and not said[0] else f"{said[0]}/{said[1] or 0}",
            join(because, *(origins_of(value) for value in values), why),
        )
        fields.bridge = replace(fields.bridge, region=made)

    return region


def _givens(rows: Iterable[Row], words: Mapping[str, int], times: int, alone: int) -> tuple[Given, ...]:
    found: list[Given] = []
    for row in rows:
        instances, number = _instances(row.columns.get("instances", ""), alone), str(row.columns.get("number", ""))
        if instances is None:
            continue
        if not number:
            found = [one for one in (_without(one, instances) for one in found) if one is not None]
        elif number in words:
            found.append(Given(words[number], instances, row.origins))
        elif (whole := _whole(number)) is not None:
            found.append(Given(whole * times, instances, row.origins))
    return tuple(found)


def _without(one: Given, instances: int) -> Given | None:
    """Return what is left of something given when it is taken back from some instances, or from all alike."""
    if EVERY in (one.instances, instances):
        return None if one.instances == instances else one
    left = one.instances & ~instances
    return replace(one, instances=left) if left else None


def _instances(said: int | str, alone: int) -> int | None:
    """Return the instances that a row is for: VLANs, or a list of instance numbers; `alone` when it names none."""
    if isinstance(said, int):
        return said
    bits = 0
    for item in re.split(r"[,\s]+", said.replace(" to ", "-").strip()) if said.strip() else ():
        low, dash, high = item.partition("-")
        first, last = _whole(low), _whole(high if dash else low)
        if first is None or last is None:
            return None
        bits |= span(first, last)
    return bits or alone


def _count(params: Parameters, text: str) -> int:
    number = _whole(text)
    if number is None:
        raise params.error(f"{text!r} is not a number")
    return number


def _whole(text: str) -> int | None:
    return int(text) if text.isascii() and text.isdecimal() and len(text) < 10 else None
