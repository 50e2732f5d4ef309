"""The commands and their options, gathered."""

from __future__ import annotations

from typing import Annotated

import typer

from vlancheck.cli.accept import accept
from vlancheck.cli.alike import alike
from vlancheck.cli.at import at
from vlancheck.cli.audit import audit
from vlancheck.cli.carriage import carriage
from vlancheck.cli.collect import collect
from vlancheck.cli.demo import demo
from vlancheck.cli.dialects import dialects
from vlancheck.cli.draw import draw
from vlancheck.cli.drill import drill
from vlancheck.cli.explain import explain
from vlancheck.cli.guard import guarded
from vlancheck.cli.mend import mend
from vlancheck.cli.mistakes import mistakes
from vlancheck.cli.patching import patching
from vlancheck.cli.read import read
from vlancheck.cli.report import report
from vlancheck.cli.sheets import sheets
from vlancheck.cli.start import start
from vlancheck.cli.verify import verify
from vlancheck.cli.walk import walk

EXAMPLES = """Say which VLAN tags a closet carries, drops, mismatches or leaks, with the line behind every answer.

\b
    vlancheck demo                         a closet, before and after
    vlancheck start my-site logs/          a site folder from a pile of logs
    vlancheck read captures/               what captures say
    vlancheck patching my-site             what the patch sheet says
    vlancheck audit my-site                is all that was ordered carried
    vlancheck verify my-site               is what was carried still carried
    vlancheck report my-site -o report.md  the same as a document
    vlancheck mend my-site                 what to type, which cord to move
    vlancheck accept my-site FINGERPRINT   what to write for a finding that may stay
    vlancheck sheets my-site -o sheets     what to print for the night of the move
    vlancheck alike my-site                which cords may move freely
    vlancheck mistakes my-site             which slips of the hand would hurt
    vlancheck at my-site PANEL-B:07        what hangs on this jack
    vlancheck walk my-site SORT-1:24 310   one frame, hop by hop
    vlancheck carriage my-site             where every frame goes
    vlancheck draw my-site -o closet.svg   a picture of it
    vlancheck collect my-site              what to capture, by how much it settles
    vlancheck drill                        exercises: how tags travel

Exit codes: 0 proven, 1 findings, 2 could not run, 3 something is unproven, 4 a fault of vlancheck, 130 interrupted.
"""

app = typer.Typer(add_completion=False, no_args_is_help=True, pretty_exceptions_enable=False, help=EXAMPLES)
app.command()(guarded(demo))
app.command()(guarded(start))
app.command()(guarded(read))
app.command()(guarded(patching))
app.command()(guarded(audit))
app.command()(guarded(verify))
app.command()(guarded(report))
app.command()(guarded(mend))
app.command()(guarded(accept))
app.command()(guarded(sheets))
app.command()(guarded(alike))
app.command()(guarded(mistakes))
app.command()(guarded(at))
app.command()(guarded(walk))
app.command()(guarded(carriage))
app.command()(guarded(collect))
app.command()(guarded(draw))
app.command()(guarded(drill))
app.command()(guarded(explain))
app.command()(guarded(dialects))


@app.callback(invoke_without_command=True)
def before(
    show_version: Annotated[bool, typer.Option("--version", help="Print the version.", is_eager=True)] = False,
) -> None:
    """Hold the options that stand before a command."""
    if show_version:
        from importlib.metadata import version

        typer.echo(f"vlancheck {version('vlancheck')}")
        raise typer.Exit
