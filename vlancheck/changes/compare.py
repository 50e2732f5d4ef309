"""Two surveys in, their comparison out: changed carriage by cause, moved cords, meant changes ticked off."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace

from vlancheck.changes.causes import Causes
from vlancheck.changes.change import Cause, Change, Comparison, Kind, Move
from vlancheck.changes.difference import differences, undecided
from vlancheck.changes.side import Side, same_port
from vlancheck.evidence import Origins
from vlancheck.site.anchors import Anchor, AnchorKind


@dataclass(frozen=True, slots=True)
class Meant:
    """A change that site.yaml says is meant."""

    name: str  # the place as declared
    places: frozenset[str]  # boundary ports DEVICE:PORT of the later survey
    gains: Callable[[str], bool] | None  # whether a frame (as text) is among those that are gained; None: not said
    loses: Callable[[str], bool] | None  # whether a frame is among those that are lost; None: not said
    what: str  # in words
    origins: Origins = ()  # where it is declared


def compare(
    before: Side,
    after: Side,
    meant: Iterable[Meant] = (),
    repaired: frozenset[Anchor] = frozenset(),
    sign: Callable[[str], str] = lambda place: "",
) -> Comparison:
    """Return everything that is different between two surveys.

    `repaired` are anchors of endings that were not carried and are now; `sign` tells why somebody must sign when the
    cord at a port of the earlier survey was moved away, "" when nobody must.
    """
    causes = Causes(before, after).grouped(differences(before, after))
    expected = tuple(meant)
    met: set[int] = set()
    marked = tuple(_marked(cause, after, expected, met, repaired) for cause in causes)
    missing = tuple((one.name, one.what, one.origins) for number, one in enumerate(expected) if number not in met)
    moves = tuple(_moves(before, after, marked, sign))
    return Comparison(marked, moves, tuple(undecided(before, after)), missing)


def _marked(
    cause: Cause, after: Side, expected: tuple[Meant, ...], met: set[int], repaired: frozenset[Anchor]
) -> Cause:
    rows = []
    for row in cause.changes:
        number = next((n for n, one in enumerate(expected) if _meets(row, after, one)), None)
        if number is not None:
            met.add(number)
            row = replace(row, expected=True)
        elif row.kind is Kind.GAINED and row.anchor in repaired:
            row = replace(row, kind=Kind.REPAIRED)
        rows.append(row)
    needed = any(row.needed and not row.expected and row.kind is not Kind.REPAIRED for row in rows)
    return replace(cause, changes=tuple(rows), needed=needed)


def _meets(row: Change, after: Side, one: Meant) -> bool:
    place = after.place.get(row.anchor, "")
    if place not in one.places and row.anchor.name != one.name and one.name not in row.anchor.also:
        return False
    said = one.gains if row.kind is Kind.GAINED else one.loses if row.kind is Kind.LOST else one.gains
    return said is not None and all(said(frame) for frame in row.frame.split(", "))


def _moves(before: Side, after: Side, causes: tuple[Cause, ...], sign: Callable[[str], str]) -> Iterator[Move]:
    """Yield every cord that is in another port than before, renamings apart."""
    changed = {row.anchor for cause in causes for row in cause.changes if row.needed}
    for anchor, place in after.place.items():
        old = before.place.get(anchor)
        if old is None or anchor.kind is AnchorKind.PORT:
            continue
        if not same_port(before.was(old), after.was(place)):
            yield Move(anchor, old, place, anchor not in changed, sign(old), after.named_at(place))
