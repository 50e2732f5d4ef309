"""`vlancheck walk`: one frame, hop by hop."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from vlancheck.cli.answer import screen
from vlancheck.cli.guard import OK, UNPROVEN
from vlancheck.cli.output import emit, emit_bytes, emit_json
from vlancheck.cli.stages import read_first, stage
from vlancheck.cli.stepping import step_through
from vlancheck.errors import UsageError


def walk(
    site: Annotated[Path, typer.Argument(help="Folder of the site.")],
    start: Annotated[str, typer.Argument(metavar="FROM", help="Port where the frame starts, as DEVICE:PORT.")],
    frame: Annotated[str, typer.Argument(metavar="FRAME", help="untagged, 310, 0, s100.310, 100@9100.")],
    survey: Annotated[str, typer.Option(metavar="NAME", help="Which state of the site.")] = "as-found",
    pcapng: Annotated[
        Path | None,
        typer.Option("--pcapng", metavar="FILE", help="Write the frame at every hop there, for a packet viewer."),
    ] = None,
    explain: Annotated[
        bool, typer.Option("--explain", help="Each hop in plain words, in the standard's and in the box's.")
    ] = False,
    step: Annotated[bool, typer.Option("--step", help="Hop by hop, with a question before each.")] = False,
    as_json: Annotated[bool, typer.Option("--json", help="A document for programs.")] = False,
    before: Annotated[
        str, typer.Option(metavar="NAME", help="The state before the move: trust what verify against it does.")
    ] = "",
    out: Annotated[
        Path | None,
        typer.Option("-o", "--output", metavar="FILE", help="Write there instead; .html: with footprints, to print."),
    ] = None,
) -> int:
    """Follow one frame and every copy of it, with the rule and the line that decided each hop.

    \b
        vlancheck walk my-site SORT-1:24 310
        vlancheck walk my-site ACC-1:7 untagged --survey as-left
        vlancheck walk my-site SORT-1:24 s100.310 --json
        vlancheck walk my-site SORT-1:24 310 --pcapng walk.pcapng
        vlancheck walk my-site SORT-1:24 310 --explain
        vlancheck walk my-site SORT-1:24 310 --step
        vlancheck walk my-site SORT-1:24 310 -o walk.html

    Exit code 3 when a copy's fate is unproven.
    """
    from vlancheck.pipeline import open_site
    from vlancheck.report import explaining, walking

    if step and (as_json or explain or out or pcapng):
        raise UsageError("--step is a talk at the keyboard: it goes with no other form", hint="leave the others out")
    opened = open_site(site)
    read_first(opened, *([before] if before else []), survey)
    state = opened.trusted(survey, before) if before else opened.survey(survey)
    with stage("following the frame"):
        walked = state.walk(start, frame)
    if pcapng is not None:
        from vlancheck.report.walk_pcapng import pcapng_file

        emit_bytes(pcapng_file(walked, state.network, opened.name, survey), pcapng)
    if step:
        step_through(state, walked, screen()[0])
    elif as_json:
        emit_json(walking.document(walked, survey), out)
    elif explain:
        emit(explaining.text(walked, state.network.devices, survey, screen()[0]), out)
    elif out is not None and out.suffix.casefold() == ".html":
        from vlancheck.report.footprint_sheet import sheet

        emit(sheet(opened.trace(state, walked), opened.name, survey), out)
    else:
        emit(walking.text(walked, survey), out)
    return OK if walked.complete else UNPROVEN
