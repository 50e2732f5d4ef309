"""`vlancheck mend`: what to type and which cords to move, each change tried before it is told."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from vlancheck.cli.answer import screen
from vlancheck.cli.guard import FINDINGS, OK, UNPROVEN
from vlancheck.cli.output import emit, emit_folder, emit_json, hint
from vlancheck.cli.stages import read_first, stage


def mend(
    site: Annotated[Path, typer.Argument(help="Folder of the site.")],
    survey: Annotated[
        str | None, typer.Option(metavar="NAME", help="Which state of the site; as-left, where there is one.")
    ] = None,
    before: Annotated[
        str | None,
        typer.Option(metavar="NAME", help="An earlier state that it is to carry too; as-found for as-left."),
    ] = None,
    edits: Annotated[
        Path | None, typer.Option(metavar="DIR", help="Write the lines of every box there, and those that undo them.")
    ] = None,
    as_json: Annotated[bool, typer.Option("--json", help="A document for programs.")] = False,
    out: Annotated[Path | None, typer.Option("-o", "--output", metavar="FILE", help="Write there instead.")] = None,
) -> int:
    """Propose lines and cords that make right what is wrong, the least risky first, and what takes them back.

    Every change was tried on the captured network before it is told: it mends what it is for, makes nothing else
    worse, leaks nothing and cuts nobody off.  Nothing is sent to a device.

    \b
        vlancheck mend my-site
        vlancheck mend my-site --survey as-found
        vlancheck mend my-site --edits lines
        vlancheck mend my-site --json -o mends.json

    Exit codes: 0 nothing to mend, 1 something is wrong, 2 could not run, 3 only questions are left.
    """
    from vlancheck.pipeline import open_site
    from vlancheck.report import mends

    opened = open_site(site)
    name = survey if survey is not None else "as-left" if "as-left" in opened.surveys else "as-found"
    earlier = before or ("as-found" if survey is None and name == "as-left" and "as-found" in opened.surveys else "")
    read_first(opened, *([earlier] if earlier else []), name)
    with stage("trying changes"):
        found = opened.mend(name, earlier)
    if edits is not None:
        emit_folder(files, edits) if (files := mends.files(found)) else hint("no box has lines to be typed")
    if as_json:
        emit_json(mends.document(found, opened.name, name, earlier), out)
    else:
        emit(mends.text(found, opened.name, name, earlier, screen()[0]), out)
    if found.mends or found.unmended:
        return FINDINGS
    return UNPROVEN if found.questions else OK
