"""`vlancheck carriage`: the whole relation."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from vlancheck.cli.guard import OK, UNPROVEN
from vlancheck.cli.output import emit, emit_json
from vlancheck.cli.stages import read_first, stage


def carriage(
    site: Annotated[Path, typer.Argument(help="Folder of the site.")],
    survey: Annotated[str, typer.Option(metavar="NAME", help="Which state of the site.")] = "as-found",
    at: Annotated[str, typer.Option("--at", metavar="PORT", help="Only frames sent from this DEVICE:PORT.")] = "",
    as_json: Annotated[bool, typer.Option("--json", help="A document for programs.")] = False,
    out: Annotated[Path | None, typer.Option("-o", "--output", metavar="FILE", help="Write there instead.")] = None,
) -> int:
    """Say, for every boundary port and every frame, where it is delivered: the whole relation, by classes of frames.

    \b
        vlancheck carriage my-site
        vlancheck carriage my-site --at SORT-1:24
        vlancheck carriage my-site --survey as-left --json

    Exit code 3 when something is unproven.
    """
    from vlancheck.pipeline import open_site
    from vlancheck.report import relation

    opened = open_site(site)
    read_first(opened, survey)
    state = opened.survey(survey)
    with stage("following every frame"):
        found = state.carriage()
    senders = (state.place(at),) if at else found.senders
    if as_json:
        emit_json(relation.document(found, senders, survey), out)
    else:
        emit(relation.text(found, senders), out)
    return UNPROVEN if relation.open_questions(found, senders) else OK
