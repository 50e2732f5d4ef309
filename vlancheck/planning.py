"""A survey in; which of its cords may be exchanged, and a re-patching that is proven before anybody sees it, out."""

from __future__ import annotations

from dataclasses import dataclass

from vlancheck.answering import Judged, verified
from vlancheck.moves.alike import Alikeness, alike
from vlancheck.moves.mistakes import Mistakes, mistakes
from vlancheck.moves.plan import Plan, plan
from vlancheck.outcome import Report
from vlancheck.pipeline import Site, Survey
from vlancheck.site.places import nearest
from vlancheck.site.repatched import repatched
from vlancheck.site.sheet import Sheet


def compared(site: Site, survey: Survey) -> Alikeness:
    """Return the ports of one survey by classes that are alike."""
    return alike(Judged(site, survey).side, survey.boxes)


def mistaken(site: Site, survey: Survey) -> Mistakes:
    """Return what every exchange of two cords of one survey would do, and every row that is off by one."""
    return mistakes(Judged(site, survey).side, survey.boxes)


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
