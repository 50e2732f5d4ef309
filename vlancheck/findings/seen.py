"""A cause of moves in, the lines behind it as the evidence of a finding out."""

from __future__ import annotations

from collections.abc import Iterable

from vlancheck.findings.finding import Where
from vlancheck.reconciliation.moved import MoveCause, Shown

_SHOWN = 4  # lines of each sort that a finding lists


def lines_of(cause: MoveCause, now: str) -> tuple[Where, ...]:
    """Return what was seen, labelled `now`, the rows of the sheet, and what was seen before; at most four of each."""
    after = _where(cause.after, now)
    rows = _where(cause.rows, "the sheet")
    first = after or rows
    marked = tuple(Where(one.place, one.origin, one.label, number == 0) for number, one in enumerate(first))
    return (*marked, *(rows if after else ()), *_where(cause.before, "before"))


def _where(several: Iterable[Shown], label: str) -> tuple[Where, ...]:
    captured = [one for one in several if one.origin.file]
    return tuple(Where(one.place, one.origin, label) for one in (captured or [*several])[:_SHOWN])
