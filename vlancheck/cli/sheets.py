"""`vlancheck sheets`: the worksheets of the night between two surveys, to print and to tick."""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

from vlancheck.cli.guard import OK
from vlancheck.cli.output import emit, emit_folder
from vlancheck.cli.stages import read_first, stage


class Paper(StrEnum):
    """What the sheets are printed on."""

    a4 = "a4"
    letter = "letter"


def sheets(
    site: Annotated[Path, typer.Argument(help="Folder of the site.")],
    out: Annotated[
        Path, typer.Option("-o", "--output", metavar="DIR", help="Folder to write; made, never over files.")
    ],
    before: Annotated[str, typer.Option(metavar="NAME", help="The state that is taken down.")] = "as-found",
    after: Annotated[str, typer.Option(metavar="NAME", help="The state that is put up.")] = "as-planned",
    paper: Annotated[Paper, typer.Option(help="What they are printed on.")] = Paper.a4,
    first: Annotated[
        list[str] | None, typer.Option(metavar="PLACE", help="Jack to test before others, worst first; repeatable.")
    ] = None,
) -> int:
    """Write the worksheets of the night: call-out, uplinks, re-patch, labels, power-up, acceptance, holds, the run.

    \b
        vlancheck sheets my-site -o sheets
        vlancheck sheets my-site -o sheets --paper letter --first PANEL-B:07

    One page for a browser or a printer, a CSV file a sheet, and a workbook.  Exit codes: 0 written, 2 could not run.
    """
    from vlancheck.pipeline import open_site
    from vlancheck.report.worksheets import files, listed

    opened = open_site(site)
    read_first(opened, before, after)
    with stage("making worksheets"):
        book = opened.worksheets(before, after, first or ())
    emit_folder(files(book, paper.value), out)
    emit(listed(book, out.as_posix()))
    return OK
