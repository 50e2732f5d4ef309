"""`vlancheck at`: what hangs on a jack, port, cord label, MAC or circuit, in one line."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from vlancheck.cli.guard import OK
from vlancheck.cli.output import emit, emit_json


def at(
    site: Annotated[Path, typer.Argument(help="Folder of the site.")],
    place: Annotated[str, typer.Argument(metavar="PLACE", help="A jack, DEVICE:PORT, cord label, MAC or circuit.")],
    survey: Annotated[str, typer.Option(metavar="NAME", help="Which state of the site.")] = "as-found",
    as_json: Annotated[bool, typer.Option("--json", help="A document for programs.")] = False,
    out: Annotated[Path | None, typer.Option("-o", "--output", metavar="FILE", help="Write there instead.")] = None,
) -> int:
    """Say in one line what hangs there: its VLAN, its service, its path, and who must be asked first.

    \b
        vlancheck at my-site PANEL-B:07
        vlancheck at my-site "ACC-1:1-12"
        vlancheck at my-site C-0042 --survey as-left
    """
    from vlancheck.pipeline import open_site
    from vlancheck.report import placing

    asked = open_site(site).survey(survey)
    found = asked.at(place)
    if as_json:
        emit_json(placing.document(asked.network, asked.boxes, found, survey), out)
    else:
        emit(placing.text(asked.network, asked.boxes, found), out)
    return OK
