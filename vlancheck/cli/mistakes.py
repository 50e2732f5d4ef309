"""`vlancheck mistakes`: what every exchange of two cords would do, and which rows to test first."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from vlancheck.cli.answer import screen
from vlancheck.cli.guard import OK, UNPROVEN
from vlancheck.cli.output import emit, emit_json
from vlancheck.cli.stages import read_first, stage


def mistakes(
    site: Annotated[Path, typer.Argument(help="Folder of the site.")],
    survey: Annotated[
        str | None, typer.Option(metavar="NAME", help="Which state of the site; as-planned, where there is one.")
    ] = None,
    as_json: Annotated[bool, typer.Option("--json", help="A document for programs.")] = False,
    out: Annotated[Path | None, typer.Option("-o", "--output", metavar="FILE", help="Write there instead.")] = None,
) -> int:
    """Try every exchange of two cords and every row that is off by one, and say what each would do.

    From harmless, over what a user sees at once and what stays silent until it is needed, to what leaks toward the
    carrier or takes the site down; with the cords to test first.

    \b
        vlancheck mistakes my-site
        vlancheck mistakes my-site --survey as-found --json

    Exit code 3 when something unread or missing decides what an exchange does.
    """
    from vlancheck.pipeline import open_site
    from vlancheck.report import mistakes as told

    opened = open_site(site)
    name = survey if survey is not None else "as-planned" if "as-planned" in opened.surveys else "as-found"
    read_first(opened, name)
    with stage("trying every exchange of two cords"):
        found = opened.mistakes(name)
    if as_json:
        emit_json(told.document(found, opened.name, name), out)
    else:
        emit(told.text(found, opened.name, name, screen()[0]), out)
    return UNPROVEN if found.open else OK
