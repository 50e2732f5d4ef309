"""Cords with the names of their ends in, those out whose label names another end."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence

from vlancheck.site.ends import End, EndSort
from vlancheck.site.sheet import Clash, Contradiction, SheetCord
from vlancheck.site.strands import panel_key

_PORT = r"(?:\s*[:/]\s*|\s+(?:port|p)\.?\s*)(?P<port>[a-z-]*\d+(?:[/.:]\d+)*)"

Labelled = tuple[SheetCord, Sequence[End], tuple[str, ...]]  # a row, its ends, the DEVICE:PORT among them


def mislabelled(cords: Sequence[Labelled], jacks: Mapping[str, str]) -> Iterator[Contradiction]:
    """Yield a contradiction for each cord whose label names a box, with a port, or a jack at neither of its ends.

    `cords` are rows with their ends, the sort of each settled; `jacks` leads from a panel port to its outlet.  A label
    that names no box of the sheet and no jack, such as `C-017`, is a number and nothing is made of it.
    """
    boxes = {end.box.casefold(): end.box for _, ends, _ in cords for end in ends if end.box}
    behind = {panel_key(panel): panel_key(jack) for panel, jack in jacks.items()}
    outlets = {panel_key(jack): jack for jack in jacks.values()}
    outlets |= {panel_key(end.name): end.name for _, ends, _ in cords for end in ends if end.sort is EndSort.JACK}
    names = sorted(boxes, key=len, reverse=True)
    if not cords or not (names or outlets):
        return
    named = re.compile(rf"(?<![\w-])(?P<box>{'|'.join(map(re.escape, names)) or '(?!)'}){_PORT}", re.IGNORECASE)
    for cord, ends, places in cords:
        if not cord.label:
            continue
        mine = {panel_key(end.name) for end in ends}
        mine |= {behind[key] for key in mine if key in behind}
        mine |= {panel_key(cord.jack)} if cord.jack else set()
        other = _other_end(cord.label, named, ends, mine, outlets)
        if other:
            way = " to ".join(end.name for end in ends)
            message = f"the label {cord.label} names {other}, and its row says {way}"
            yield Contradiction(Clash.LABEL_ELSEWHERE, cord.label, message, (cord.origins,), places)


def _other_end(
    label: str, named: re.Pattern[str], ends: Sequence[End], mine: set[str], outlets: Mapping[str, str]
) -> str:
    """Return what a label names that is at neither end; "" when it names nothing else."""
    whole = panel_key(label)
    if whole in outlets and whole not in mine and any(key in outlets for key in mine):
        return outlets[whole]
    for found in named.finditer(label):
        box, port = found["box"].casefold(), found["port"]
        if not any(end.box.casefold() == box and _same_port(port, end.port) for end in ends):
            return f"{found['box']}:{port}"
    return ""


def _same_port(one: str, other: str) -> bool:
    """Tell whether two spellings of a port may be one port: as written, or with the same numbers at the end."""
    mine, theirs = re.findall(r"\d+", one), re.findall(r"\d+", other)
    if not mine or not theirs:
        return panel_key(one) == panel_key(other)
    shorter = min(len(mine), len(theirs))
    return [int(part) for part in mine[-shorter:]] == [int(part) for part in theirs[-shorter:]]
