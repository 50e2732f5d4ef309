"""`vlancheck demo`: a walk through the built-in closet."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from vlancheck.cli.guard import OK
from vlancheck.cli.output import emit


def demo(
    folder: Annotated[Path, typer.Argument(metavar="[DIR]", help="Where to write the site.")] = Path("vlancheck-demo"),
) -> int:
    """Write the built-in site into DIR and follow one carrier tag through it.

    \b
        vlancheck demo
        vlancheck demo ~/closet
    """
    from vlancheck.example import START, write_site
    from vlancheck.pipeline import open_site
    from vlancheck.report import walking

    written = write_site(folder)
    walked = open_site(folder).survey("as-found").walk(*START)
    port, frame = START
    ways = [
        f"{len(written)} files in {folder}: an invented closet with two switches, a phone system and a carrier's box.",
        f"The carrier's tag {frame} comes in at {port}. Where does it go?",
        "",
        walking.text(walked, "as-found"),
        "",
        f"Next: vlancheck carriage {folder} --at {port}",
    ]
    emit("\n".join(ways))
    return OK
