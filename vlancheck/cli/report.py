"""`vlancheck report`: an audit or a verification as one document, in the form that the file's name asks for."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from vlancheck.cli.answer import FailOn
from vlancheck.cli.output import emit, emit_bytes
from vlancheck.cli.sheets import Paper
from vlancheck.cli.stages import read_first, stage
from vlancheck.errors import UsageError

_BEFORE, _AFTER = "as-found", "as-left"


def report(
    site: Annotated[Path, typer.Argument(help="Folder of the site.")],
    out: Annotated[
        Path,
        typer.Option(
            "-o",
            "--output",
            metavar="FILE",
            help="File to write: .html, .md, .sarif, .junit.xml, .csv, .xlsx, .json, .jsonl or .txt.",
        ),
    ],
    survey: Annotated[str, typer.Option(metavar="NAME", help="One state of the site, as `audit` looks at it.")] = "",
    before: Annotated[str, typer.Option(metavar="NAME", help="The earlier of two states, as `verify` does.")] = "",
    after: Annotated[str, typer.Option(metavar="NAME", help="The later of two states.")] = "",
    mends: Annotated[bool, typer.Option("--mends", help="Propose what to type and which cords to move, too.")] = False,
    paper: Annotated[Paper, typer.Option(help="What a workbook is printed on.")] = Paper.a4,
    fail_on: Annotated[FailOn, typer.Option(help="The least severity that makes exit code 1.")] = FailOn.error,
) -> int:
    """Write what `verify` says of the rebuilt site, or `audit` where it is not rebuilt yet, as one document.

    \b
        vlancheck report my-site -o report.html
        vlancheck report my-site -o ticket.md --survey as-found
        vlancheck report my-site -o findings.sarif
        vlancheck report my-site -o punch-list.xlsx --paper letter

    Exit codes: 0 proven clean, 1 findings, 2 could not run, 3 something is unproven.
    """
    from vlancheck.findings.finding import Severity
    from vlancheck.pipeline import open_site
    from vlancheck.report import documents, wording
    from vlancheck.report.textpage import Page

    if survey and (before or after):
        raise UsageError("--survey is one state, --before and --after are two", hint="leave one of them out")
    ending = documents.ending_of(out)
    opened = open_site(site)
    if before or after or (not survey and {_BEFORE, _AFTER} <= {*opened.surveys}):
        before, after = before or _BEFORE, after or _AFTER
        read_first(opened, before, after)
        with stage(f"holding {after} against {before}"):
            made = opened.verify(before, after, mends=mends)
    else:
        survey = survey or _BEFORE
        read_first(opened, survey)
        with stage("following frames"):
            made = opened.audit(survey, mends=mends)
    drawing = followed = None
    if ending == documents.PAGE:
        with stage("drawing"):
            drawing = opened.draw(after or survey, inks=True, before=before)
            followed = opened.follow(after or survey, before=before)
    emit_bytes(documents.document(made, ending, site.as_posix(), paper.value, drawing, followed), out)
    told = Page()
    told.prose(f"{out}: {wording.sentence(made)}")
    emit(told.text)
    return made.code(Severity(fail_on.value))
