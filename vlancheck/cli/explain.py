"""`vlancheck explain`: the manual page of a check."""

from __future__ import annotations

from typing import Annotated

import typer

from vlancheck.cli.guard import OK
from vlancheck.cli.output import emit


def explain(
    code: Annotated[str, typer.Argument(metavar="[CODE]", help="Code of a check; none lists them all.")] = "",
) -> int:
    """Show what a check finds, why it matters, an example, and when it is intended.

    \b
        vlancheck explain            all checks
        vlancheck explain L101
    """
    from vlancheck.report import manual

    emit(manual.page(code) if code else manual.contents())
    return OK
