"""`vlancheck demo`: the built-in closet, before and after its rebuild."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from vlancheck.cli.answer import screen
from vlancheck.cli.guard import OK
from vlancheck.cli.output import emit
from vlancheck.cli.stages import read_first, stage


def demo(
    folder: Annotated[Path, typer.Argument(metavar="[DIR]", help="Where to write the site.")] = Path("vlancheck-demo"),
) -> int:
    """Write the built-in site into DIR, audit it, verify the rebuilt closet, and write report.html beside it.

    \b
        vlancheck demo
        vlancheck demo ~/closet

    Run again, it overwrites only its own files, and those only unchanged.
    """
    from vlancheck.example import REPORT, write_report, write_site
    from vlancheck.pipeline import open_site
    from vlancheck.report import auditing, page

    written = write_site(folder)
    site = open_site(folder)
    read_first(site, "as-found", "as-left")
    with stage("holding as-left against as-found"):
        before, after = site.audit("as-found"), site.verify("as-found", "as-left")
    with stage("drawing"):
        drawing, walks = site.draw("as-left", inks=True, before="as-found"), site.follow("as-left", "as-found")
        write_report(folder, page.page(after, drawing, walks))
    emit(auditing.shown_as_demo(before, after, folder.as_posix(), len(written), f"{folder}/{REPORT}", *screen()))
    return OK
