"""`vlancheck dialects`: what each dialect reads, and whether its fixtures become what they must."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from vlancheck.cli.guard import FINDINGS, OK
from vlancheck.cli.output import emit, emit_json
from vlancheck.errors import UsageError

_FIXTURES = Path("fixtures/dialects")


def dialects(
    words: Annotated[list[str] | None, typer.Argument(metavar="[NAME] | test NAME...", help="What to tell.")] = None,
    fixtures: Annotated[
        Path, typer.Option(metavar="DIR", help="Where the fixtures are: DIR/NAME/*.txt, each with its .yaml.")
    ] = _FIXTURES,
    write: Annotated[
        bool, typer.Option("--write", help="Write the model of a fixture that has none; check every line by hand.")
    ] = False,
    as_json: Annotated[bool, typer.Option("--json", help="A document for programs.")] = False,
) -> int:
    """List the families of devices whose configuration is read; with NAME, the commands to capture.

    `test NAME` reads the fixtures of a dialect and says what they become otherwise than the model beside them says;
    a fixture without a model is shown as what it becomes, to be checked by hand and saved.

    \b
        vlancheck dialects
        vlancheck dialects cisco_ios
        vlancheck dialects test cisco_ios
    """
    from vlancheck.report import families

    if words and words[0] == "test":
        return _test(words[1:], fixtures, write=write)
    if words and len(words) > 1:
        raise UsageError(f"{words[1]!r} is one word too many", hint="write `vlancheck dialects NAME`")
    if as_json:
        emit_json(families.document())
    else:
        emit(families.text(words[0] if words else "", fixtures=_count(fixtures)))
    return OK


def _count(folder: Path) -> dict[str, int]:
    """Return how many fixtures each dialect has, where the folder is there."""
    if not folder.is_dir():
        return {}
    return {one.name: len(list(one.glob("*.txt"))) for one in folder.iterdir() if one.is_dir()}


def _test(names: list[str], folder: Path, *, write: bool) -> int:
    from vlancheck.capture import load
    from vlancheck.errors import VlancheckError
    from vlancheck.reader import read
    from vlancheck.report import families, fixtures
    from vlancheck.report.described import describe
    from vlancheck.yamltext import load as load_yaml

    if not names:
        raise UsageError("test which dialect?", hint="write `vlancheck dialects test NAME`")
    good = True
    for name in names:
        families.text(name)  # refuses a name that is none
        cases = []
        for file in sorted((folder / name).glob("*.txt")):
            reading = read(load([file], root=folder))
            beside = file.with_suffix(".yaml")
            if write and not beside.exists():
                beside.write_text(f"{fixtures.model(describe(reading))}\n", encoding="utf-8")
            wanted = load_yaml(beside.read_text("utf-8"), str(beside), VlancheckError) if beside.is_file() else None
            unread = sum(device.unread_lines for device in reading.devices)
            cases.append(fixtures.Case(file.stem, describe(reading), wanted, unread))
        if not cases:
            raise UsageError(
                f"no fixture in {folder / name}",
                hint=f"write a capture as {folder / name}/CASE.txt, or say --fixtures DIR",
            )
        emit(fixtures.text(name, cases))
        good = good and all(fixtures.good_case(case) for case in cases)
    return OK if good else FINDINGS
