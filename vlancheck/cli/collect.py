"""`vlancheck collect`: the commands to capture, and with a site how much each of them would settle."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from vlancheck.cli.guard import OK
from vlancheck.cli.output import emit, emit_json
from vlancheck.cli.stages import read_first, stage
from vlancheck.errors import UsageError


def collect(
    site: Annotated[Path | None, typer.Argument(metavar="[SITE]", help="Folder of a site.")] = None,
    dialect: Annotated[list[str] | None, typer.Option(metavar="NAME", help="Only this family of devices.")] = None,
    survey: Annotated[str, typer.Option(metavar="NAME", help="Which state of the site.")] = "as-found",
    as_json: Annotated[bool, typer.Option("--json", help="A document for programs.")] = False,
    out: Annotated[Path | None, typer.Option("-o", "--output", metavar="FILE", help="Write there instead.")] = None,
) -> int:
    """Print the commands to capture on each family of devices, and what each is for.

    With a site, the captures that are missing are ranked by how many open answers each would settle.

    \b
        vlancheck collect
        vlancheck collect --dialect cisco_ios --dialect hp_procurve
        vlancheck collect my-site
    """
    from vlancheck.reader import dialect_names, load_dialect
    from vlancheck.report import collecting, families

    for name in dialect or ():
        families.text(name)  # refuses a name that is none
    if site is None:
        chosen = [load_dialect(name) for name in dialect or dialect_names()]
        if as_json:
            emit_json(collecting.families_document(chosen), out)
        else:
            emit(collecting.families_text(chosen), out)
        return OK

    from vlancheck.open_answers import open_answers
    from vlancheck.pipeline import open_site

    opened = open_site(site)
    read_first(opened, survey)
    with stage("following frames"):
        report = opened.audit(survey)
    read = opened.survey(survey).reading
    boxes = [
        collecting.Box(device.name, gathered.dialect, frozenset(gathered.sources))
        for device in read.devices
        if (gathered := read.gathered.get(device.name)) is not None
    ]
    if dialect:
        boxes = [box for box in boxes if box.dialect.name in dialect]
        if not boxes:
            raise UsageError(f"no device of {opened.name} is read by {', '.join(dialect)}", hint="see vlancheck read")
    names = {box.name for box in boxes}
    answers = [one for one in open_answers(report) if not dialect or one.place.partition(":")[0] in names]
    found = collecting.collection(boxes, answers)
    if as_json:
        emit_json(collecting.site_document(report.site, survey, boxes, found), out)
    else:
        emit(collecting.site_text(report.site, survey, found), out)
    return OK
