"""`vlancheck alike`: which ports are alike, which cords may move, and a re-patching with shorter cords."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from vlancheck.cli.answer import screen
from vlancheck.cli.guard import FINDINGS, OK, UNPROVEN
from vlancheck.cli.output import emit, emit_json, emit_new, hint
from vlancheck.cli.stages import read_first, stage
from vlancheck.errors import SiteError


def alike(
    site: Annotated[Path, typer.Argument(help="Folder of the site.")],
    survey: Annotated[str, typer.Option(metavar="NAME", help="Which state of the site.")] = "as-found",
    plan: Annotated[bool, typer.Option("--plan", help="Propose shorter cords that carry exactly the same.")] = False,
    as_json: Annotated[bool, typer.Option("--json", help="A document for programs.")] = False,
    out: Annotated[
        Path | None,
        typer.Option(
            "-o", "--output", metavar="FILE", help="Write there; with --plan the new patch sheet, never over a file."
        ),
    ] = None,
) -> int:
    """Say which ports are alike, so that their cords may be exchanged, and what sets the others apart.

    Alike ports carry the same needed frames to the same places, and have the same settings: power, security, trust,
    voice, location. Phones, holds and addresses that are kept are never free: somebody signs for their move.

    \b
        vlancheck alike my-site
        vlancheck alike my-site --plan
        vlancheck alike my-site --plan -o my-site/patching/as-planned.csv

    Exit code 3 when something is not known, 1 when a plan could not be proven.
    """
    from vlancheck.pipeline import open_site
    from vlancheck.report import alike as told

    opened = open_site(site)
    if not plan:
        read_first(opened, survey)
        with stage("comparing ports"):
            found = opened.alike(survey)
        if as_json:
            emit_json(told.document(found, opened.name, survey), out)
        else:
            emit(told.text(found, opened.name, survey, screen()[0]), out)
        return UNPROVEN if found.open else OK
    if opened.survey(survey).sheet is None:
        message = f"the survey {survey!r} has no patch sheet, so that no cord is known that could move"
        raise SiteError(message, file=opened.declaration.file, hint=f"put one into patching/{survey}.csv")
    from vlancheck.report import sheetfile

    suffix = sheetfile.suffix_of(out) if out is not None else ""
    with stage("looking for shorter cords"):
        made = opened.replan(survey)
    if made.proven and made.sheet is not None and out is not None:
        emit_new(sheetfile.sheet_file(made.sheet, suffix), out)
        moved = "with these cords moved" if made.plan.shifts else "as it is, since nothing moves,"
        hint(f"the patch sheet {moved} is {out}")
    if as_json:
        emit_json(told.plan_document(made, opened.name, survey))
    else:
        emit(told.plan_text(made, opened.name, survey, screen()[0]))
    return OK if made.proven else FINDINGS
