"""`vlancheck accept`: the lines by which site.yaml accepts a finding."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from vlancheck.cli.guard import OK
from vlancheck.cli.output import emit, emit_new, hint
from vlancheck.cli.stages import read_first, stage
from vlancheck.errors import UsageError


def accept(
    site: Annotated[Path, typer.Argument(help="Folder of the site.")],
    fingerprints: Annotated[
        list[str], typer.Argument(metavar="FINGERPRINT...", help="As audit and --json show them; a beginning will do.")
    ],
    why: Annotated[str, typer.Option(metavar="TEXT", help="Why it may stay.")],
    by: Annotated[str, typer.Option(metavar="NAME", help="Who answers for it.")],
    until: Annotated[str, typer.Option(metavar="DATE", help="The last day, 2026-12-31.")] = "",
    survey: Annotated[str, typer.Option(metavar="NAME", help="Which state of the site.")] = "as-found",
    before: Annotated[str, typer.Option(metavar="NAME", help="The earlier state, for what verify finds.")] = "",
    out: Annotated[
        Path | None, typer.Option("-o", "--output", metavar="FILE", help="Write a new file there instead.")
    ] = None,
) -> int:
    """Print the lines that go under `accepted:` in site.yaml; nothing is written into the site.

    \b
        vlancheck accept my-site 3fa9c2d1e0b7a695 --why "spare, port is shut" --by "A. Example"
        vlancheck accept my-site 3fa9 77c0 --why "until the carrier comes" --by "A. Example" --until 2026-12-31
        vlancheck accept my-site 3fa9 --before as-found --survey as-left --why "meant" --by "A. Example"

    Exit codes: 0 printed, 2 could not run.
    """
    from vlancheck.pipeline import open_site
    from vlancheck.report import accepting
    from vlancheck.site.accepted import is_date

    if not why.strip() or not by.strip():
        raise UsageError("an accepted finding has a reason and a name", hint="say --why TEXT and --by NAME")
    if until and not is_date(until):
        raise UsageError(f"--until is {until!r}", hint="it is the last day on which it counts, 2026-12-31")
    opened = open_site(site)
    read_first(opened, *([before] if before else []), survey)
    with stage("following frames"):
        report = opened.verify(before, survey) if before else opened.audit(survey)
    text = accepting.entries(report, accepting.asked_for(report, fingerprints), why.strip(), by.strip(), until)
    if out is not None:
        emit_new(f"{text}\n".encode(), out)
    else:
        emit(text)
        hint("these lines go under `accepted:` in site.yaml, or into a file that `accepted: FILE` names")
    return OK
