"""`vlancheck audit`: services, VLANs and findings of one survey."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from vlancheck.cli.answer import FailOn, Full, Shown, answer, many, screen, typed
from vlancheck.cli.guard import OK, UNPROVEN
from vlancheck.cli.output import emit, emit_json
from vlancheck.cli.stages import read_first, stage
from vlancheck.cli.watching import BELOW, watched
from vlancheck.errors import UsageError

if TYPE_CHECKING:
    from vlancheck.outcome import Report

_SURVEY = "as-found"


def audit(
    sites: Annotated[list[Path], typer.Argument(metavar="SITE...", help="Folders of sites.")],
    survey: Annotated[str, typer.Option(metavar="NAME", help="Which state of the site.")] = _SURVEY,
    fail_on: Annotated[FailOn, typer.Option(help="The least severity that makes exit code 1.")] = FailOn.error,
    without: Annotated[
        list[str] | None,
        typer.Option(metavar="NAME", help="Take a link (a port, cord or jack of it) or a device away; repeatable."),
    ] = None,
    without_each: Annotated[
        bool, typer.Option("--without-each", help="Take each link and each device away in turn.")
    ] = False,
    mends: Annotated[bool, typer.Option("--mends", help="Propose what to type and which cords to move, too.")] = False,
    full: Full = False,
    watch: Annotated[bool, typer.Option("--watch", help="Run again whenever a file of the site changes.")] = False,
    as_json: Annotated[bool, typer.Option("--json", help="A document for programs; a line a site.")] = False,
    out: Annotated[Path | None, typer.Option("-o", "--output", metavar="FILE", help="Write there instead.")] = None,
) -> int:
    """Say of everything declared whether it is carried, dropped, mismatched, leaked or unproven, and why.

    \b
        vlancheck audit my-site
        vlancheck audit my-site --full
        vlancheck audit my-site --survey as-left
        vlancheck audit my-site --json -o audit.json
        vlancheck audit sites/* --fail-on warning
        vlancheck audit my-site --without CORE-1:Gi1/0/2
        vlancheck audit my-site --without-each
        vlancheck audit my-site --watch

    Exit codes: 0 proven clean, 1 findings, 2 could not run, 3 something is unproven.
    """
    from vlancheck.pipeline import open_site

    if without_each:
        if without or watch or len(sites) > 1:
            raise UsageError(
                "--without-each is asked of one site, and neither with --without nor with --watch",
                hint="leave one of them out",
            )
        return _each(sites[0], survey, as_json, out)

    def ask(site: Path) -> Report:
        opened = open_site(site)
        read_first(opened, survey)
        with stage("following frames and trying changes" if mends else "following frames"):
            return opened.audit(survey, without or (), mends=mends)

    def shown(site: Path) -> Shown:
        again = typed("audit", site, survey="" if survey == _SURVEY else survey, without=without or ())
        return Shown(again, full, BELOW if watch else 0)

    def one(site: Path) -> int:
        return answer(ask(site), site, fail_on, as_json, out, shown(site))

    if len(sites) == 1:
        return watched(sites[0], lambda: one(sites[0]), out) if watch else one(sites[0])
    if watch:
        raise UsageError("--watch is asked of one site", hint="name one site, or leave out --watch")
    return many(sites, ask, fail_on, as_json, out, shown)


def _each(site: Path, survey: str, as_json: bool, out: Path | None) -> int:
    from vlancheck.pipeline import open_site
    from vlancheck.report import outages

    opened = open_site(site)
    read_first(opened, survey)
    with stage("taking each link and device away in turn"):
        found = opened.outages(survey)
    if as_json:
        emit_json(outages.document(found, opened.name, survey), out)
    else:
        emit(outages.text(found, opened.name, survey, screen()[0]), out)
    return UNPROVEN if any(one.open for one in found) else OK
