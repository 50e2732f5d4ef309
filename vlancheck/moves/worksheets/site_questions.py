"""Both surveys in, the sheet of what only people of the site can answer out: no text that is captured says it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from vlancheck.dot1q.model import DeviceKind
from vlancheck.dot1q.properties import Property
from vlancheck.findings.settings import is_on
from vlancheck.moves.worksheets import cautions
from vlancheck.moves.worksheets.cords import CordRow, Holds, Role, cords
from vlancheck.moves.worksheets.scene import Scene
from vlancheck.moves.worksheets.sheet import Blank, Fill, Row, Worksheet
from vlancheck.places import natural, split_place
from vlancheck.site.cordkinds import CordKind
from vlancheck.site.endpoints import EndpointKind, endpoint_kinds

_JUDGED = (Role.DESK, Role.SERVER)
_WIRES = (DeviceKind.PANEL,)


class Question(NamedTuple):
    """What is asked, about what, and why."""

    part: str  # heading of the questions of its sort
    where: str  # the box, the jack or the sheet
    words: str  # the question
    why: str  # what nobody can read anywhere
    hold: str = ""  # what must be asked before its cord is touched; "" when nobody must


def site_questions(before: Scene, after: Scene, holds: Holds) -> Worksheet:
    """Return what the people of the site are asked before the night; common practice, no source."""
    asked = [
        *_seldom_seen(before, holds),
        *_dark_boxes(before, holds),
        *_alarm_lines(before, after, holds),
        *_logins(after),
        *_boxes_from_elsewhere(before, after),
        Question(
            "Ports",
            "the patch sheet",
            "Which ports, jacks and cords are known to be bad, and were given up for that?",
            "a port that was left for a reason looks free; close it with a plug that says so",
        ),
    ]
    return Worksheet(
        name="site",
        title="Questions for the people of the site",
        use="Ask before the night, and write down who answered. What nobody answers stays as it is: a cord stays in, "
        "and a box stays where it is.",
        headings=("Where", "Question", "Why it is asked"),
        rows=tuple(
            Row(f"question {number}", (one.where, one.words, one.why), one.part, one.hold)
            for number, one in enumerate(asked, 1)
        ),
        blanks=(Blank("Answer", Fill.WORDS, "answer"), Blank("Who, when", Fill.WORDS, "who")),
        cautions=(cautions.HOLD, cautions.ANALOG, cautions.DECIDE),
        signatures=("Asked by",),
    )


def _seldom_seen(scene: Scene, holds: Holds) -> Iterator[Question]:
    """Yield, for each box, the cords of which its captures show nothing."""
    dark: dict[str, list[str]] = {}
    quiet: dict[str, list[str]] = {}
    for row in cords(scene, holds):
        for place in row.places if row.role in _JUDGED and not row.hold else ():
            device = split_place(place)[0]
            if place in scene.boxes.not_seen:
                dark.setdefault(device, []).append(row.key)
            elif _keeps_a_table(scene, device) and (port := scene.case.port(place)) and not port.seen:
                quiet.setdefault(device, []).append(row.key)
    for found, what in ((dark, "no link when it was captured"), (quiet, "link, and no address was learned")):
        for device, jacks in sorted(found.items(), key=lambda item: natural(item[0])):
            yield Question(
                "Cords of which nothing was seen",
                device,
                f"What hangs at the other end of these, and who would miss it: {', '.join(jacks)}?",
                f"{what}; one capture is no proof that a cord is dead: a desk is off at night, a printer, a door or a "
                "panel speaks seldom",
            )


def _keeps_a_table(scene: Scene, device: str) -> bool:
    """Tell whether captures show addresses that a box learned."""
    box = scene.case.devices.get(device)
    return box is not None and any(one.mac for port in box.ports.values() for one in port.seen)


def _dark_boxes(scene: Scene, holds: Holds) -> Iterator[Question]:
    """Yield the boxes with two data cords and no power cord, where the sheet has power cords at all."""
    rows = cords(scene, holds)
    fed = {split_place(end)[0].casefold() for row in rows if row.kind is CordKind.POWER for end in (row.one, row.other)}
    for name in sorted(scene.boxes.devices, key=natural) if fed else ():
        mine = [row for row in rows if row.kind is not CordKind.POWER and _leads_to(row, name)]
        if scene.boxes.devices[name].kind not in _WIRES and name.casefold() not in fed and len(mine) > 1:
            yield Question(
                "Boxes without a power cord",
                name,
                f"Where does {name} get its power, and what passes through it when it has none?",
                f"{len(mine)} cords lead to it and the sheet has no power cord: it may be fed over one of them, or "
                "pass a line without power. It is not taken out until somebody answers",
            )


def _leads_to(row: CordRow, device: str) -> bool:
    return any(split_place(place)[0] == device for place in row.places)


def _alarm_lines(before: Scene, after: Scene, holds: Holds) -> Iterator[Question]:
    """Yield each line of an alarm dialler, by its jack."""
    rows = {row.key: row for scene in (before, after) for row in cords(scene, holds)}
    for row in rows.values():
        if EndpointKind.ALARM in {*row.kinds, *endpoint_kinds(row.why)}:
            yield Question(
                "Alarm lines",
                row.key,
                "Does the telephone line come to the dialler first and go on from there to everything else, and are "
                "both cords, in and out, on the sheets?",
                "with one of the two missing, calls work and the alarm cannot take the line; a dial tone is no test. "
                "Its owner, or whoever is licensed for it, looks and tests",
                row.hold,
            )


def _logins(scene: Scene) -> Iterator[Question]:
    """Yield the boxes with ports at which a server decides who gets in, and into which VLAN."""
    for name in sorted(scene.case.devices, key=natural):
        ports = [port for port in scene.case.devices[name].ports.values() if is_on(port, Property.AUTHENTICATION)]
        if ports:
            yield Question(
                "Ports where somebody must log in",
                name,
                "Which VLANs, by number and by name as spelled, does the RADIUS server answer with; is each of them "
                f"on {name}; and does the server know {name} by the address it will have?",
                f"{len(ports)} of its ports ask the server, such as {ports[0].name}; its answers are in no capture, "
                "and one that names a VLAN the box lacks counts as refused",
            )


def _boxes_from_elsewhere(before: Scene, after: Scene) -> Iterator[Question]:
    """Yield the boxes that only the later survey has."""
    for name in sorted({*after.boxes.devices} - {*before.boxes.devices}, key=natural):
        if after.boxes.devices[name].kind is DeviceKind.BRIDGE:
            yield Question(
                "Boxes that come in",
                name,
                f"Where was {name} used before, and has it been emptied, its table of VLANs and the domain it shares "
                "it in too, before a cord joins it to the others?",
                "a switch that shares its table of VLANs (VTP) can overwrite that of all the others within seconds",
            )
