"""`vlancheck verify`: a survey, and every change of carriage against an earlier one."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from vlancheck.cli.answer import FailOn, Full, Shown, answer, typed
from vlancheck.cli.stages import read_first, stage
from vlancheck.cli.watching import BELOW, watched

_BEFORE, _AFTER = "as-found", "as-left"


def verify(
    site: Annotated[Path, typer.Argument(help="Folder of the site.")],
    before: Annotated[str, typer.Option(metavar="NAME", help="The earlier state.")] = _BEFORE,
    after: Annotated[str, typer.Option(metavar="NAME", help="The later state.")] = _AFTER,
    ticks: Annotated[
        list[Path] | None,
        typer.Option(metavar="FILE", help="Ticks of the worksheets: rows without one are not yet done; repeatable."),
    ] = None,
    only: Annotated[
        list[str] | None,
        typer.Option(metavar="PLACE", help="Panel, device or jack to look at, the rest is not yet; repeatable."),
    ] = None,
    fail_on: Annotated[FailOn, typer.Option(help="The least severity that makes exit code 1.")] = FailOn.error,
    mends: Annotated[bool, typer.Option("--mends", help="Propose what to type and which cords to move, too.")] = False,
    full: Full = False,
    watch: Annotated[bool, typer.Option("--watch", help="Run again whenever a file of the site changes.")] = False,
    as_json: Annotated[bool, typer.Option("--json", help="A document for programs.")] = False,
    out: Annotated[Path | None, typer.Option("-o", "--output", metavar="FILE", help="Write there instead.")] = None,
) -> int:
    """Say what `audit` says of the later survey, and every change of carriage since the earlier one, by its cause.

    \b
        vlancheck verify my-site
        vlancheck verify my-site --full
        vlancheck verify my-site --after as-planned
        vlancheck verify my-site --ticks ticks.json --only PANEL-A
        vlancheck verify my-site --before as-planned --after as-left --json

    Exit codes: 0 proven clean, 1 findings, 2 could not run, 3 something is unproven.
    """
    from vlancheck.pipeline import open_site

    again = typed(
        "verify",
        site,
        before="" if before == _BEFORE else before,
        after="" if after == _AFTER else after,
        ticks=ticks or (),
        only=only or (),
    )

    def once() -> int:
        opened = open_site(site)
        read_first(opened, before, after)
        more = " and trying changes" if mends else ""
        with stage(f"holding {after} against {before}{more}"):
            report = opened.verify(before, after, ticks or (), only or (), mends=mends)
        return answer(report, site, fail_on, as_json, out, Shown(again, full, BELOW if watch else 0))

    return watched(site, once, out) if watch else once()
