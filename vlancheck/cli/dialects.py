"""`vlancheck dialects`: what each dialect reads."""

from __future__ import annotations

from typing import Annotated

import typer

from vlancheck.cli.guard import OK
from vlancheck.cli.output import emit, emit_json


def dialects(
    name: Annotated[str, typer.Argument(metavar="[NAME]", help="One dialect, in full.")] = "",
    as_json: Annotated[bool, typer.Option("--json", help="A document for programs.")] = False,
) -> int:
    """List the families of devices whose configuration is read; with NAME, the commands to capture.

    \b
        vlancheck dialects
        vlancheck dialects cisco_ios
    """
    from vlancheck.report import families

    if as_json:
        emit_json(families.document())
    else:
        emit(families.text(name))
    return OK
