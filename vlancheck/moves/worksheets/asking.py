"""Both surveys in, the sheets of what somebody else must answer out: the owners of holds, and the carrier."""

from __future__ import annotations

from collections.abc import Iterator

from vlancheck.moves.worksheets import cautions
from vlancheck.moves.worksheets.circuit import asked
from vlancheck.moves.worksheets.cords import CordRow, Holds, cords, told
from vlancheck.moves.worksheets.scene import Scene
from vlancheck.moves.worksheets.sheet import Blank, Fill, Row, Worksheet
from vlancheck.site.placed import PlacedHandoff
from vlancheck.site.strands import panel_key


def holds_sheet(before: Scene, after: Scene, holds: Holds) -> Worksheet:
    """Return a row for each held cord of either survey, and for each hold that no cord of them is on."""
    rows: dict[str, tuple[CordRow | None, CordRow | None]] = {}
    for scene, first in ((before, True), (after, False)):
        for row in cords(scene, holds):
            if row.hold:
                old = rows.get(panel_key(row.key), (None, None))
                rows[panel_key(row.key)] = (row, old[1]) if first else (old[0], row)
    made = [_held(was, now) for was, now in rows.values()]
    known = {panel_key(name) for row in made for name in (row.key, *row.cells)}
    for scene in (before, after):
        for hold in scene.holds:
            on_cord = any({*hold.places} & {*one.places} for pair in rows.values() for one in pair if one is not None)
            if panel_key(hold.name) not in known and not on_cord:
                known.add(panel_key(hold.name))
                cells = (hold.name, hold.why, hold.owner, "no cord is known", "no cord is known")
                made.append(Row(hold.name, cells, "", told(hold)))
    return Worksheet(
        name="holds",
        title="Holds: whom to ask before anything is touched",
        use="Nothing on this sheet moves before its owner, and whoever watches the line, have said when and how. The "
        "owner tests it, and signs.",
        headings=("Jack or port", "What it is", "Owner", "It is in", "It goes to"),
        rows=tuple(made),
        blanks=(
            Blank("Monitoring station told (name, time)", Fill.WORDS, "told"),
            Blank("Who tests", Fill.WORDS, "tester"),
            Blank("Out of service from, until", Fill.WORDS, "out"),
            Blank("Test", Fill.RESULT, "test"),
            Blank("Owner's signature", Fill.WORDS, "signed"),
        ),
        cautions=(cautions.HOLD, cautions.ANALOG, cautions.DECIDE),
        signatures=("Crew lead",),
        wide=True,
    )


def carrier_questions(scene: Scene) -> Worksheet:
    """Return what only the carrier can answer; nothing on it is a command for the carrier's box."""
    rows = [
        Row(f"question {number}", (where, words, why), part)
        for number, (part, where, words, why) in enumerate(_asked(scene), 1)
    ]
    return Worksheet(
        name="carrier",
        title="Questions for the carrier",
        use="Read them out with the circuit's number, and write down who answered. They are questions, never changes: "
        "the carrier alone works on its box.",
        headings=("Where", "Question", "Why it is asked"),
        rows=tuple(rows),
        blanks=(Blank("Answer", Fill.WORDS, "answer"), Blank("Who, when", Fill.WORDS, "who")),
        cautions=(cautions.CARRIER, cautions.FIBRE),
        signatures=("Asked by",),
    )


def _held(was: CordRow | None, now: CordRow | None) -> Row:
    row = now or was
    assert row is not None, "a held cord is in one of the surveys"
    ends = [f"{one.one} to {one.other}" if one else "no cord" for one in (was, now)]
    return Row(row.key, (row.key, row.why or row.serves, row.owner or "nobody is named", *ends), "", row.hold)


def _asked(scene: Scene) -> Iterator[tuple[str, str, str, str]]:
    """Yield part, place, question and reason: what each handoff leaves open, then what the verdicts do."""
    for handoff in scene.boxes.placed.handoffs:
        yield from ((_called(handoff), handoff.spot.name, *pair) for pair in _of_handoff(scene, handoff))
    for verdict in scene.case.verdicts:
        for reason in verdict.questions:
            words = (
                f"Which of your tags reaches us as {verdict.order.tag} ({verdict.order.name}), and does "
                f"{verdict.order.tag} go back as that tag?"
            )
            yield "What the model cannot tell", reason.place, words, f"{reason.words}; settled by: {reason.settled_by}"


def _called(handoff: PlacedHandoff) -> str:
    declared = handoff.declared
    names = [
        declared.carrier,
        f"circuit {declared.circuit}" if declared.circuit else "",
        declared.owner,
        declared.phone,
    ]
    return "Handoff " + (", ".join(name for name in names if name) or handoff.spot.name)


def _of_handoff(scene: Scene, handoff: PlacedHandoff) -> Iterator[tuple[str, str]]:
    services = [one for one in scene.boxes.placed.services if any(handoff.spot.places == s.places for s in one.enters)]
    return asked(scene.case, handoff, services)
