"""Two surveys in, their comparison out: changed carriage by cause, moved cords, meant changes ticked off."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace

from vlancheck.changes.causes import Causes, frames_at
from vlancheck.changes.change import Cause, Change, Comparison, Difference, Kind, Move
from vlancheck.changes.difference import differences, undecided
from vlancheck.changes.side import Side, same_port
from vlancheck.evidence import Origins
from vlancheck.site.anchors import Anchor, AnchorKind
from vlancheck.vids import WIRE, members


@dataclass(frozen=True, slots=True)
class Meant:
    """A change that site.yaml says is meant."""

    name: str  # the place as declared
    places: frozenset[str]  # boundary ports DEVICE:PORT of the later survey
    gains: Callable[[str], bool] | None  # whether a frame (as text) is among those that are gained; None: not said
    loses: Callable[[str], bool] | None  # whether a frame is among those that are lost; None: not said
    what: str  # in words
    origins: Origins = ()  # where it is declared
    both: bool = True  # of frames gained and frames lost, each that is said is due; False: either will do

    def happened(self, ways: set[Kind]) -> bool:
        """Tell whether it happened, from the kinds of the changes that are among it."""
        due = {Kind.GAINED: self.gains, Kind.LOST: self.loses}
        said = {kind for kind, frames in due.items() if frames is not None}
        return bool(ways) and (not self.both or Kind.RETAGGED in ways or said <= ways)


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
    found = tuple(differences(before, after))
    causes = Causes(before, after).grouped(found)
    expected = tuple(meant)
    met: dict[int, set[Kind]] = {}
    marked = tuple(_marked(cause, after, expected, met, repaired) for cause in causes)
    missing = tuple(
        (one.name, one.what, one.origins)
        for number, one in enumerate(expected)
        if not one.happened(met.get(number, set()) | (_ways(found, after, one) if one.both else set()))
    )
    moves = tuple(_moves(before, after, marked, sign))
    return Comparison(marked, moves, tuple(undecided(before, after)), missing)


def _marked(
    cause: Cause, after: Side, expected: tuple[Meant, ...], met: dict[int, set[Kind]], repaired: frozenset[Anchor]
) -> Cause:
    rows = []
    for row in cause.changes:
        frames = frozenset(_frames(row.frame))
        said: set[str] = set()
        for number, one in enumerate(expected):
            if _is_at(row.anchor, after, one) and (among := _among(row, frames, one)):
                met.setdefault(number, set()).add(row.kind)
                said |= among
        if said >= frames:
            row = replace(row, expected=True)
        elif row.kind is Kind.GAINED and row.anchor in repaired:
            row = replace(row, kind=Kind.REPAIRED)
        rows.append(row)
    needed = any(row.needed and not row.expected and row.kind is not Kind.REPAIRED for row in rows)
    return replace(cause, changes=tuple(rows), needed=needed)


def _ways(found: Iterable[Difference], after: Side, one: Meant) -> set[Kind]:
    """Return how frames that a meant change names were gained or lost at its place, in whichever row that is told."""
    ways: set[Kind] = set()
    for difference in found:
        said = {Kind.GAINED: one.gains, Kind.LOST: one.loses}.get(difference.kind)
        if said is None or difference.kind in ways:
            continue
        for anchor in (difference.sender, difference.receiver):
            if _is_at(anchor, after, one) and any(map(said, _frames(frames_at(anchor, [difference], 0)))):
                ways.add(difference.kind)
    return ways


def _is_at(anchor: Anchor, after: Side, one: Meant) -> bool:
    place = after.place.get(anchor, "")
    return place in one.places or anchor.name == one.name or one.name in anchor.also


def _among(row: Change, frames: frozenset[str], one: Meant) -> frozenset[str]:
    """Return which frames of a row are among those that change as it says."""
    if row.kind is Kind.RETAGGED:
        if one.gains is None or one.loses is None:
            return frozenset()
        return frames if all(map(one.loses, frames)) and all(map(one.gains, _frames(row.becomes))) else frozenset()
    said = one.gains if row.kind is Kind.GAINED else one.loses
    return frozenset(frame for frame in frames if said is not None and said(frame))


def _frames(written: str) -> Iterator[str]:
    """Yield the frames of a row one by one: it has them as `untagged, 10,20-39, s100.310`, or `any tag`."""
    for part in written.split(", "):
        if part == "any tag":
            yield from map(str, members(WIRE))
        elif re.fullmatch(r"[0-9]+(?:[-,][0-9]+)+", part):
            for run in part.split(","):
                low, _, high = run.partition("-")
                yield from map(str, range(int(low), int(high or low) + 1))
        else:
            yield part


def _moves(before: Side, after: Side, causes: tuple[Cause, ...], sign: Callable[[str], str]) -> Iterator[Move]:
    """Yield every cord that is in another port than before, renamings apart."""
    changed = {row.anchor for cause in causes for row in cause.changes if row.needed}
    for anchor, place in after.place.items():
        old = before.place.get(anchor)
        if old is None or anchor.kind is AnchorKind.PORT:
            continue
        if not same_port(before.was(old), after.was(place)):
            yield Move(anchor, old, place, anchor not in changed, sign(old), after.named_at(place))
