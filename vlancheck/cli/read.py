"""`vlancheck read`: what was understood of captures."""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

from vlancheck.cli.guard import OK, UNPROVEN
from vlancheck.cli.output import emit, emit_json, hint


class Format(StrEnum):
    """How `read` prints the boxes."""

    FIELDS = "fields"
    JOT = "jot"


def read(
    paths: Annotated[list[Path], typer.Argument(metavar="PATH...", help="Captures: files or folders.")],
    unread: Annotated[bool, typer.Option("--unread", help="List the lines that nobody read.")] = False,
    passed: Annotated[bool, typer.Option("--passed", help="List the lines passed over by name, and the rule.")] = False,
    only: Annotated[str, typer.Option("--at", metavar="PORT", help="One device, or one DEVICE:PORT.")] = "",
    format: Annotated[Format, typer.Option(help="Fields with their lines, or the project's notation.")] = Format.FIELDS,
    anonymous: Annotated[bool, typer.Option(help="With --format jot: rename what is private.")] = False,
    as_json: Annotated[bool, typer.Option("--json", help="A document for programs.")] = False,
    out: Annotated[Path | None, typer.Option("-o", "--output", metavar="FILE", help="Write there instead.")] = None,
) -> int:
    """Show what was understood: devices, ports as IEEE 802.1Q fields with their lines, unread lines.

    \b
        vlancheck read captures/
        vlancheck read sort-1.log --at SORT-1:Gi1/0/24
        vlancheck read captures/ --unread
        vlancheck read captures/ --format jot --anonymous
    """
    from vlancheck.pipeline import read_paths
    from vlancheck.report import reading

    found = read_paths(paths)
    for note in found.notes:
        place = f"{note.file}:{note.line}" if note.line else note.file
        hint(f"{place}: {note.message}" if place else note.message)
    if only:
        found = reading.narrowed(found, only)
    if as_json:
        emit_json(reading.document(found), out)
    elif format is Format.JOT:
        from vlancheck.notation import write

        emit(write(found.devices, anonymous=anonymous), out)
    else:
        shown = reading.unread_text(found) if unread else reading.passed_text(found) if passed else reading.text(found)
        emit(shown, out)
    return UNPROVEN if reading.open_questions(found) else OK
