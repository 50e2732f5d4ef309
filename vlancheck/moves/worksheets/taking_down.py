"""The survey as found in, the sheet of what comes out and the old order to go back to out."""

from __future__ import annotations

from collections.abc import Iterator

from vlancheck.moves.worksheets import cautions, order
from vlancheck.moves.worksheets.cords import Holds, Role, cords, told
from vlancheck.moves.worksheets.scene import Scene
from vlancheck.moves.worksheets.sheet import Blank, Fill, Row, Worksheet

UNCLEAR = "Not clear from the sheet: trace before anything near it is pulled"
_PULLED = (
    Blank("Called and found", Fill.TICK, "called"),
    Blank("Pulled, second person saw it", Fill.TICK, "pulled"),
)


def removal(scene: Scene, holds: Holds) -> Worksheet:
    """Return the sheet from which one person calls and another pulls."""
    rows = order.removal(scene, cords(scene, holds))
    return Worksheet(
        name="removal",
        title="Removal call-out",
        use="One reads the row aloud, the other finds both ends and the label, says them back, and only then pulls. "
        "Each ticks a box. What is not as written is not pulled; a row without boxes is not pulled at all.",
        headings=("Cord", "At this end", "At the other end", "Serves"),
        rows=(
            *(
                Row(
                    row.key,
                    (row.cord, row.one, row.other, row.remark),
                    order.part(row),
                    row.hold,
                    asked=not row.hold and row.role is not Role.FIXED,
                )
                for row in rows
            ),
            *unclear(scene, holds, 4),
        ),
        blanks=_PULLED,
        cautions=(*cautions.of_cords(rows), cautions.SNAG),
        signatures=("First person", "Second person"),
    )


def back_out(scene: Scene, holds: Holds) -> Worksheet:
    """Return the old patch order, from which everything goes back in where it was."""
    rows = order.by_panel(cords(scene, holds))
    return Worksheet(
        name="back-out",
        title=f"Back-out: the patch order of {scene.name}",
        use="Only when the run sheet says go back: every cord where it was, in the order of the panels. Held cords go "
        "back first, with their owners.",
        headings=("Cord", "At this end", "At the other end", "Serves"),
        rows=(
            *(Row(row.key, (row.cord, row.one, row.other, row.remark), order.at(row), row.hold) for row in rows),
            *unclear(scene, holds, 4),
        ),
        blanks=(Blank("Back in", Fill.TICK, "back"),),
        cautions=cautions.of_cords(rows),
        signatures=("Put back by", "Checked by"),
    )


def unclear(scene: Scene, holds: Holds, cells: int) -> Iterator[Row]:
    """Yield the rows of the patch sheet that nothing was made of; each says why in the last of its cells."""
    for number, doubt in enumerate(scene.boxes.sheet.doubts if scene.boxes.sheet else (), 1):
        names = [end.name for end in doubt.ends] or list(doubt.boxes)
        hold = told(holds.at(scene, names, ()))
        first = doubt.origins[0]
        written = (*names, "", "")[:2]
        said = f"{first.place}: {first.text.strip()} ({doubt.why})"
        empty = ("",) * (cells - 4)
        yield Row(names[0] if names else f"unclear {number}", ("", *written, *empty, said), UNCLEAR, hold, asked=False)
