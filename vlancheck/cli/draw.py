"""`vlancheck draw`: the closet as a picture."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from vlancheck.cli.guard import OK
from vlancheck.cli.output import emit
from vlancheck.cli.stages import read_first, stage


def draw(
    site: Annotated[Path, typer.Argument(help="Folder of the site.")],
    out: Annotated[
        Path, typer.Option("-o", "--output", metavar="FILE", help="File to write: .svg, .dot, .mmd or .graphml.")
    ],
    survey: Annotated[str, typer.Option(metavar="NAME", help="Which state of the site.")] = "",
    vlan: Annotated[int | None, typer.Option(metavar="VID", help="Show where this VLAN goes.")] = None,
    service: Annotated[str, typer.Option(metavar="NAME", help="Show where this service goes.")] = "",
    diff: Annotated[bool, typer.Option("--diff", help="Show what changed between two surveys.")] = False,
    before: Annotated[str, typer.Option(metavar="NAME", help="With --diff: the earlier one, else as-found.")] = "",
    after: Annotated[str, typer.Option(metavar="NAME", help="With --diff: the later one, else as-left.")] = "",
) -> int:
    """Draw boxes, panels and cords from the handoff on, and where one VLAN or service goes.

    \b
        vlancheck draw my-site -o closet.svg
        vlancheck draw my-site -o closet.svg --survey as-left --service Internet
        vlancheck draw my-site -o closet.dot --vlan 310
        vlancheck draw my-site -o changes.svg --diff

    The suffix tells the format: .svg to look at and to print, .dot, .mmd or .mermaid, and .graphml for other programs.
    Exit codes: 0 written, 2 could not run.
    """
    from vlancheck.errors import UsageError
    from vlancheck.pipeline import open_site
    from vlancheck.report.drawings import renderer, told

    text = renderer(out)
    if diff and (survey or vlan is not None or service):
        raise UsageError("--diff shows what changed, not one survey", hint="leave out --survey, --vlan and --service")
    if not diff and (before or after):
        raise UsageError("--before and --after go with --diff", hint="add --diff, or name one survey with --survey")
    if vlan is not None and service:
        raise UsageError("--vlan and --service cannot be shown at once", hint="leave one of them out")
    opened = open_site(site)
    if diff:
        names = before or "as-found", after or "as-left"
        read_first(opened, *names)
        with stage("drawing"):
            made = opened.draw_changes(*names)
    else:
        read_first(opened, survey or "as-found")
        with stage("drawing"):
            made = opened.draw(survey or "as-found", vlan, service)
    emit(text(made), out)
    emit(told(made, out.as_posix()))
    return OK
