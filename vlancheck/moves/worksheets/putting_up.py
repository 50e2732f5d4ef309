"""The planned survey in, the sheet of what goes in at which panel and the labels of its cords out."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from vlancheck.moves.worksheets import cautions, order
from vlancheck.moves.worksheets.cords import CordRow, Holds, Role, cords
from vlancheck.moves.worksheets.scene import Scene
from vlancheck.moves.worksheets.sheet import Blank, Fill, Row, Worksheet
from vlancheck.moves.worksheets.taking_down import unclear
from vlancheck.site.strands import panel_key

REPATCH = "re-patch"


def repatch(before: Scene, after: Scene, holds: Holds) -> Worksheet:
    """Return the sheet from which the cords go in, panel by panel, with what is not as it was marked."""
    rows = order.by_panel(cords(after, holds))
    was: dict[str, CordRow] = {}
    for row in cords(before, holds):
        if row.role is not Role.FIXED:
            was.setdefault(panel_key(row.key), row)
    return Worksheet(
        name=REPATCH,
        title=f"Re-patch by panel: {after.name}",
        use="Panel by panel. Read both ends off the label, plug, look for the link, tick. A tick says that the cord "
        "is in as written; `vlancheck verify --ticks` counts rows without one as not yet done.",
        headings=("Cord", "Panel or this end", "Into", "Serves", "Changed"),
        rows=(
            *(
                Row(
                    row.key,
                    (row.cord, row.one, row.other, row.remark, _changed(row, was)),
                    order.at(row),
                    row.hold,
                    cord=row.label,
                )
                for row in rows
            ),
            *unclear(after, holds, 5),
        ),
        blanks=(Blank("In, link seen", Fill.RESULT, "patched"),),
        cautions=cautions.of_cords(rows),
        signatures=("Patched by", "Checked by"),
    )


def labels(after: Scene, holds: Holds) -> Worksheet:
    """Return two labels a cord, one for each of its ends, for a label printer."""
    rows = order.by_panel(cords(after, holds))
    return Worksheet(
        name="labels",
        title="Cord labels",
        use="Two labels a cord, one for each end: what this end goes into stands first. The file labels.csv is for the "
        "label printer.",
        headings=("Label", "This end", "Far end", "Text"),
        rows=tuple(label for row in rows for label in _labels(row)),
        blanks=(Blank("On the cord", Fill.TICK, "labelled"),),
    )


def _labels(row: CordRow) -> Iterator[Row]:
    mark = "HOLD " if row.hold else ""
    for this, far in ((row.one, row.other), (row.other, row.one)):
        text = f"{mark}{row.label + ' ' if row.label else ''}{this} > {far}"
        yield Row(row.key, (row.label, this, far, text), order.at(row), row.hold)


def _changed(row: CordRow, was: Mapping[str, CordRow]) -> str:
    old = was.get(panel_key(row.key))
    if row.role is Role.FIXED:
        return ""
    if old is None:
        return "new"
    ends = [{panel_key(one) for one in (cord.one, cord.other)} for cord in (old, row)]
    if ends[0] == ends[1]:
        return ""
    return f"was {old.other}" if panel_key(old.one) == panel_key(row.one) else f"was {old.one} to {old.other}"
