"""What captures became and the models that they must become in, what differs out, place by place."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import yaml

from vlancheck.yamltext import Items, Node, Table

WIDTH = 118  # of a line of a model's file


@dataclass(frozen=True, slots=True)
class Case:
    """One fixture of a dialect."""

    name: str  # of its files, without what comes after the point
    became: Mapping[str, Any]  # what was read
    wanted: Node | None  # what its file says that it must become; None where there is none
    unread: int  # lines that nobody read


def text(dialect: str, cases: Sequence[Case]) -> str:
    """Return a line for each fixture, and below it every place that differs, or the model where none is written."""
    out: list[str] = []
    for case in cases:
        unread = f", {case.unread} lines unread" if case.unread else ""
        if case.wanted is None:
            out += [f"{dialect} {case.name}: no model beside it{unread}; what it becomes, to be checked by hand:", ""]
            out.append(model(case.became))
        elif told := list(differences(case.became, case.wanted)):
            out += [
                f"{dialect} {case.name}: {len(told)} {'place differs' if len(told) == 1 else 'places differ'}{unread}",
                *(f"  {line}" for line in told),
            ]
        else:
            out.append(f"{dialect} {case.name}: as its model says{unread}")
    good = sum(1 for case in cases if good_case(case))
    return "\n".join([*out, f"{good} of {len(cases)} fixtures become what they must"])


def good_case(case: Case) -> bool:
    """Tell whether a fixture became what its model says."""
    return case.wanted is not None and not any(differences(case.became, case.wanted))


def model(became: Mapping[str, Any]) -> str:
    """Return a description as the text of a model's file."""
    return yaml.safe_dump(dict(became), sort_keys=False, width=WIDTH, allow_unicode=True).rstrip()


def differences(became: Any, wanted: Node | None, place: str = "") -> Iterator[str]:
    """Yield what differs between a description and a model, with the line of the model where it has one."""
    if isinstance(became, Mapping) and isinstance(wanted, Table):
        for key in dict.fromkeys([*map(str, wanted), *map(str, became)]):
            node = next((node for name, node in wanted.items() if name == key), None)
            yield from differences(became.get(key), node, f"{place} / {key}" if place else key)
    elif isinstance(became, list) and isinstance(wanted, Items):
        for number in range(max(len(became), len(wanted))):
            mine = became[number] if number < len(became) else None
            node = wanted[number] if number < len(wanted) else None
            yield from differences(mine, node, f"{place} {number + 1}")
    elif became is None or wanted is None or _plain(became) != _plain(wanted):
        line = f"line {getattr(wanted, 'line', 0)}: " if wanted is not None else ""
        yield f"{line}{place}: is {_shown(became)}, must be {_shown(wanted)}"


def _plain(value: Any) -> object:
    if isinstance(value, Mapping):
        return {str(key): _plain(item) for key, item in value.items()}
    if isinstance(value, list):
        return [_plain(item) for item in value]
    return str(value)


def _shown(value: Any) -> str:
    return "not there" if value is None else str(_plain(value))
