"""`vlancheck audit`: services, VLANs and findings of one survey."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from vlancheck.cli.answer import FailOn, answer, many


def audit(
    sites: Annotated[list[Path], typer.Argument(metavar="SITE...", help="Folders of sites.")],
    survey: Annotated[str, typer.Option(metavar="NAME", help="Which state of the site.")] = "as-found",
    fail_on: Annotated[FailOn, typer.Option(help="The least severity that makes exit code 1.")] = FailOn.error,
    as_json: Annotated[bool, typer.Option("--json", help="A document for programs; a line a site.")] = False,
    out: Annotated[Path | None, typer.Option("-o", "--output", metavar="FILE", help="Write there instead.")] = None,
) -> int:
    """Say of everything declared whether it is carried, dropped, mismatched, leaked or unproven, and why.

    \b
        vlancheck audit my-site
        vlancheck audit my-site --survey as-left
        vlancheck audit my-site --json -o audit.json
        vlancheck audit sites/* --fail-on warning

    Exit codes: 0 proven clean, 1 findings, 2 could not run, 3 something is unproven.
    """
    from vlancheck.pipeline import open_site

    if len(sites) == 1:
        return answer(open_site(sites[0]).audit(survey), sites[0], fail_on, as_json, out)
    return many(sites, lambda site: open_site(site).audit(survey), fail_on, as_json, out)
