"""Surveys in; which cords may be exchanged, a proven re-patching, outages and the worksheets of a night out."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from vlancheck.answering import Judged, verified
from vlancheck.dot1q.model import DeviceKind
from vlancheck.moves.alike import Alikeness, alike
from vlancheck.moves.mistakes import Mistakes, mistakes
from vlancheck.moves.plan import Plan, plan
from vlancheck.moves.worksheets.book import book
from vlancheck.moves.worksheets.scene import Scene
from vlancheck.moves.worksheets.sheet import Book
from vlancheck.outcome import Report
from vlancheck.pipeline import Site, Survey
from vlancheck.site.places import nearest
from vlancheck.site.repatched import repatched
from vlancheck.site.sheet import Sheet
from vlancheck.site.withdrawn import links
from vlancheck.verdicts.verdict import State

_OURS = frozenset({DeviceKind.BRIDGE, DeviceKind.ROUTER, DeviceKind.FIREWALL})


def worksheets(site: Site, before: Survey, after: Survey, first: Iterable[str] = ()) -> Book:
    """Return the worksheets of the night between two surveys; UsageError for a place in `first` that is none.

    What would be worst to get wrong is tested after `first` and before the others.
    """
    was, now = Judged(site, before), Judged(site, after)
    scenes = [Scene(one.survey.boxes, one.case) for one in (was, now)]
    named = [about.spot.name for text in first for about in after.at(text)]
    named += [risk.leaf.name for risk in mistakes(now.side, after.boxes).risks if risk.first]
    return book(site.name, scenes[0], scenes[1], dict.fromkeys(named))


def compared(site: Site, survey: Survey) -> Alikeness:
    """Return the ports of one survey by classes that are alike."""
    return alike(Judged(site, survey).side, survey.boxes)


def mistaken(site: Site, survey: Survey) -> Mistakes:
    """Return what every exchange of two cords of one survey would do, and every row that is off by one."""
    return mistakes(Judged(site, survey).side, survey.boxes)


@dataclass(frozen=True)
class Outage:
    """What declared endings are no longer carried when one link or device is out of service."""

    name: str  # a device, or both ends of a link
    lost: tuple[tuple[str, tuple[str, ...], int], ...]  # service or VLAN, endings lost, how many it has
    open: int = 0  # endings that were carried and of which nobody knows then


def outages(site: Site, survey: Survey) -> tuple[Outage, ...]:
    """Return what each link between boxes and each box of ours that relays or routes carries, by taking it away."""
    boxes = survey.boxes
    names = [*links(boxes), *(name for name, box in boxes.devices.items() if box.kind in _OURS and box.owner == "")]
    before = {
        (verdict.order.name, ending.stop.name, ending.frame)
        for verdict in Judged(site, survey).case.verdicts
        for ending in verdict.endings
        if ending.state is State.CARRIED
    }
    made = []
    for name in names:
        away = survey.without([name])
        lost: list[tuple[str, tuple[str, ...], int]] = []
        unknown = 0
        for verdict in Judged(site, away).case.verdicts:
            were = [one for one in verdict.endings if (verdict.order.name, one.stop.name, one.frame) in before]
            gone = tuple(one.stop.name for one in were if one.state not in (State.CARRIED, State.UNPROVEN))
            unknown += sum(one.state is State.UNPROVEN for one in were)
            if gone:
                lost.append((verdict.order.name, gone, len(verdict.endings)))
        made.append(Outage(away.away.names[0], tuple(lost), unknown))
    made.sort(key=lambda outage: (-sum(len(gone) for _, gone, _ in outage.lost), -outage.open))
    return tuple(made)


@dataclass(frozen=True)
class Replanned:
    """A re-patching, and what a verification says of it."""

    plan: Plan  # which cord goes where
    alikeness: Alikeness  # the classes it keeps to
    sheet: Sheet | None = None  # the survey's sheet with the plan carried out; None where there is no sheet
    report: Report | None = None  # of the survey so re-patched, against the survey as it is; None where nothing moves

    @property
    def proven(self) -> bool:
        """Tell whether nothing is carried otherwise, and nobody need sign."""
        if self.report is None or self.report.comparison is None:
            return not self.plan.shifts
        found = self.report.comparison
        return not found.causes and not any(move.sign for move in found.moves)


def replanned(site: Site, survey: Survey) -> Replanned:
    """Return the re-patching with the shortest cords that carries exactly what one survey does; SiteError for a box
    under `cabinet:` that is none of the survey's."""
    boxes = survey.boxes
    panels = {name.casefold(): name for name in (*boxes.devices, *boxes.spots.names.panels)}
    heights = {}
    for name, mounted in site.declaration.cabinet.items():
        if name.casefold() not in panels:
            raise mounted.at.error(f"{name} is no device and no panel of {survey.name}", nearest(name, panels.values()))
        heights[panels[name.casefold()]] = mounted.unit
    found = alike(Judged(site, survey).side, boxes, exact=True)
    made = plan(found, boxes, heights)
    if not made.shifts or survey.sheet is None:
        return Replanned(made, found, survey.sheet)
    sheet = repatched(survey.sheet, [shift.end for shift in made.shifts])
    return Replanned(made, found, sheet, verified(site, survey, survey.repatched(sheet)))
