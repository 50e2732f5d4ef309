"""Words about a fibre cord in, what they say of it out: glass, connectors, polish, and whether its pair is crossed."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache

from vlancheck.site.cordkinds import CordKind, cord_kind, names_kind

LASER = "laser light cannot be seen: never look into a connector or a cord's end, and cap both ends at once"

# Common practice, no source.
GLASS = {
    "single-mode": "sm|smf|singlemode|single-mode|single mode|os1|os2|9/125",
    "multimode": "mm|mmf|multimode|multi-mode|multi mode|om1|om2|om3|om4|om5|50/125|62.5/125",
}
_GLASS = {
    glass: re.compile(rf"(?<![a-z0-9])(?:{'|'.join(map(re.escape, words.split('|')))})(?![a-z0-9])", re.IGNORECASE)
    for glass, words in GLASS.items()
}
_END = re.compile(
    r"(?<![a-z0-9])(LC|SC|ST|FC|MTP|MPO|E2000)(?![a-z0-9])(?:[ /]?(APC|UPC|PC)(?![a-z0-9]))?", re.IGNORECASE
)
_POLISH = re.compile(r"(?<![a-z0-9])(APC|UPC|PC)(?![a-z0-9])", re.IGNORECASE)
_PAIR = re.compile(r"(?<![a-z0-9])A ?(?:-|/|to|-to-) ?([AB])(?![a-z0-9])", re.IGNORECASE)
_ALONE = re.compile(r"(?<![a-z])(?:simplex|bidi|bi-di|single fib(?:re|er))(?![a-z])", re.IGNORECASE)  # no pair to cross
_SAME = {"PC": "UPC", "MTP": "MPO"}  # goes together with


@dataclass(frozen=True, slots=True)
class Fibre:
    """What the words about a cord say of it."""

    glass: str  # `single-mode`, `multimode`, or "" when they do not say, or say both
    ends: frozenset[tuple[str, str]]  # connector and polish of its ends, either "" when not said; empty: nothing said
    crossed: bool | None  # its pair goes from A to B; None when they do not say


@cache
def fibre(kind: str) -> Fibre | None:
    """Return what words (`LC/UPC-SC/APC OS2 A-to-B`) say of a fibre cord; None where they name none, or copper too."""
    glasses = [glass for glass, words in _GLASS.items() if words.search(kind)]
    known = cord_kind(kind) or (CordKind.FIBRE_PAIR if glasses else None)
    if known is not CordKind.FIBRE_PAIR or names_kind(kind, CordKind.COPPER):
        return None
    ends = {(_one(end), _one(polish or "")) for end, polish in _END.findall(kind)}
    told = {_one(polish) for polish in _POLISH.findall(kind)}
    if len(told) == 1:  # said once, it is said of both ends
        ends = {(end, next(iter(told))) for end, _ in ends} or {("", next(iter(told)))}
    pairs = set() if _ALONE.search(kind) else {other.upper() for other in _PAIR.findall(kind)}
    return Fibre(glasses[0] if len(glasses) == 1 else "", frozenset(ends), pairs == {"B"} if len(pairs) == 1 else None)


def fit(one: Fibre, other: Fibre) -> tuple[str, str] | None:
    """Return how the ends of two cords that meet cannot fit: the words for either; None where they may."""
    pairs = [(a, b) for a in one.ends for b in other.ends]
    if not pairs:
        return None
    joined = [(a, b) for a, b in pairs if not a[0] or not b[0] or a[0] == b[0]]
    if not joined:
        return _listed(one, 0), _listed(other, 0)
    if any(not a[1] or not b[1] or a[1] == b[1] for a, b in joined):
        return None
    return _listed(one, 1), _listed(other, 1)


def _one(word: str) -> str:
    return _SAME.get(word.upper(), word.upper())


def _listed(told: Fibre, part: int) -> str:
    return " or ".join(sorted({end[part] for end in told.ends}))
