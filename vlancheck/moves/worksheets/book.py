"""Two surveys in, all sheets of the night between them out."""

from __future__ import annotations

from collections.abc import Iterable

from vlancheck.moves.worksheets.acceptance import acceptance
from vlancheck.moves.worksheets.asking import carrier_questions, holds_sheet
from vlancheck.moves.worksheets.cords import Holds
from vlancheck.moves.worksheets.night import run
from vlancheck.moves.worksheets.power_up import power_up
from vlancheck.moves.worksheets.putting_up import labels, repatch
from vlancheck.moves.worksheets.scene import Scene
from vlancheck.moves.worksheets.sheet import Book
from vlancheck.moves.worksheets.site_questions import site_questions
from vlancheck.moves.worksheets.taking_down import back_out, removal
from vlancheck.moves.worksheets.uplinks import uplinks


def book(site: str, before: Scene, after: Scene, first: Iterable[str] = ()) -> Book:
    """Return the sheets in the order in which they are used; `first` names the rows that are tested before others."""
    holds = Holds(before, after)
    sheets = (
        run(before, after, holds),
        holds_sheet(before, after, holds),
        carrier_questions(after),
        site_questions(before, after, holds),
        labels(after, holds),
        removal(before, holds),
        power_up(after, holds),
        uplinks(after, holds),
        repatch(before, after, holds),
        acceptance(after, holds, first),
        back_out(before, holds),
    )
    return Book(site, before.name, after.name, sheets)
