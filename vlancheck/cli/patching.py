"""`vlancheck patching`: what was understood of a patch sheet, or the sheet itself as another file."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from vlancheck.cli.guard import FINDINGS, OK, UNPROVEN
from vlancheck.cli.output import emit, emit_json, emit_new, hint
from vlancheck.errors import SiteError


def patching(
    site: Annotated[Path, typer.Argument(help="Folder of the site.")],
    survey: Annotated[str, typer.Option(metavar="NAME", help="Which state of the site.")] = "as-found",
    as_json: Annotated[bool, typer.Option("--json", help="A document for programs.")] = False,
    out: Annotated[
        Path | None,
        typer.Option(
            "-o", "--output", metavar="FILE", help="Write the sheet there: .csv, .tsv or .xlsx; never over a file."
        ),
    ] = None,
) -> int:
    """Show what was understood of a patch sheet: headings, cords, doubtful rows; or write the sheet to another file.

    \b
        vlancheck patching my-site
        vlancheck patching my-site --survey as-planned --json
        vlancheck patching my-site -o my-site/patching/as-left.xlsx

    Exit codes: 1 rows contradict each other, 3 a row is in doubt; 0 when the sheet was written.
    """
    from vlancheck.pipeline import open_site
    from vlancheck.report import patching as told
    from vlancheck.report import sheetfile

    opened = open_site(site)
    sheet = opened.survey(survey).sheet
    if sheet is None:
        message = f"the survey {survey!r} has no patch sheet"
        raise SiteError(message, file=opened.declaration.file, hint=f"put one into patching/{survey}.csv")
    if as_json:
        emit_json(told.document(sheet, survey), out)
    elif out is None:
        emit(told.text(sheet, survey))
    else:
        suffix = sheetfile.suffix_of(out)
        emit_new(sheetfile.sheet_file(sheet, suffix), out)
        for tab in sheetfile.left_out(sheet, suffix):
            hint(f"{sheet.file}: the tab {tab!r} has no cords and is not in {out}")
        return OK
    return FINDINGS if sheet.contradictions else UNPROVEN if sheet.doubts else OK
