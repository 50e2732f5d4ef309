"""Both surveys in, the sheet of the night itself out: steps, who decides, the budget and the last way back."""

from __future__ import annotations

from vlancheck.moves.worksheets import cautions
from vlancheck.moves.worksheets.cords import Holds, Role, cords
from vlancheck.moves.worksheets.scene import Scene
from vlancheck.moves.worksheets.sheet import Blank, Fill, Row, Worksheet

BEFORE, WORK, CHECK, BACK = "Before anything is touched", "The work", "The check", "The way back"


def run(before: Scene, after: Scene, holds: Holds) -> Worksheet:
    """Return the steps of the night; times and names are filled in by those who answer for them."""
    old, new = cords(before, holds), cords(after, holds)
    held = sum(bool(row.hold) for row in old)
    taken = sum(not row.hold and row.role is not Role.FIXED for row in old)
    boxes = len(after.boxes.devices)
    steps = (
        (BEFORE, f"Agree who decides go or no-go, and who stands in: sheets of {before.name} and {after.name} at hand"),
        (BEFORE, f"Owners of the {held} held cords have answered (sheet holds); without an answer a cord stays"),
        (BEFORE, "The carrier knows of the night, and has answered (sheet carrier)"),
        (BEFORE, "The people of the site have answered (sheet site); what nobody answered stays as it is"),
        (BEFORE, f"Capture every box of {before.name} again, the neighbours that stay too; save what runs"),
        (BEFORE, f"Two people compare the sheet with the {len(old)} cords as they are; photograph each panel"),
        (BEFORE, "Cords are labelled at both ends (sheet labels); spare optics and a console cable are there"),
        (BEFORE, "GO or NO-GO, said aloud by the one who decides"),
        (WORK, f"Take down (sheet removal): {taken} cords in the run, the handoff last"),
        (WORK, "Count what came out against the sheet; what is left over stops the work"),
        (WORK, "LAST POINT OF RETURN: from the time written here, going back no longer fits the budget; GO or BACK"),
        (WORK, f"Bring up {boxes} boxes, from the handoff outward (sheet power-up)"),
        (WORK, "Uplinks, routers and the handoff, both ends read (sheet uplinks)"),
        (WORK, f"Patch {len(new)} cords panel by panel (sheet re-patch)"),
        (CHECK, "Capture every box again, and run `vlancheck verify` with the ticks"),
        (CHECK, "Try each jack, those under `Test first` before all (sheet acceptance)"),
        (CHECK, "Owners of holds test, write down the time out of service, and sign (sheet holds)"),
        (CHECK, "Save what runs on every box; restart nothing after that"),
        (CHECK, "ACCEPTED or GO BACK, said aloud by the one who decides"),
        (BACK, f"Back to {before.name}: boxes and cords as in the sheet back-out, held cords first"),
        (BACK, "Audit after going back: the same tests at the same jacks; tell owners and the carrier"),
    )
    return Worksheet(
        name="run",
        title="The run, and the way back",
        use="Times are filled in beforehand by the crew lead; one person decides, and says so aloud.",
        headings=("Step",),
        rows=tuple(Row(f"step {number}", (words,), part) for number, (part, words) in enumerate(steps, 1)),
        blanks=(
            Blank("Who", Fill.WORDS, "who"),
            Blank("Minutes", Fill.WORDS, "budget"),
            Blank("Latest by", Fill.WORDS, "latest"),
            Blank("Done", Fill.TICK, "done"),
        ),
        cautions=(
            cautions.HOLD,
            cautions.DECIDE,
            cautions.LIFTING,
            cautions.LADDER,
            cautions.POWER,
            cautions.SNAG,
        ),
        signatures=("Decides go or no-go", "Stands in", "Crew lead", "For the site"),
    )
