"""`vlancheck start`: a site folder from a pile of logs."""

from __future__ import annotations

import shutil
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from vlancheck.cli.guard import OK
from vlancheck.cli.output import emit, hint
from vlancheck.errors import UsageError

if TYPE_CHECKING:
    from vlancheck.reader import Reading
    from vlancheck.starting import Pile

_SHEET = "patching-to-fill-in.csv"


def start(
    folder: Annotated[Path, typer.Argument(metavar="DIR", help="The folder to make.")],
    captures: Annotated[list[Path], typer.Argument(metavar="CAPTURE...", help="Logs: files or folders.")],
) -> int:
    """Make a site folder from captures: boxes, cords that neighbours name, a patch sheet and a declaration to confirm.

    \b
        vlancheck start my-site logs/
        vlancheck start my-site core.log edge-1.txt edge-2.txt

    It never overwrites: DIR must not be there, or be empty.
    """
    from vlancheck.pipeline import read_paths
    from vlancheck.starting import Pile, declaration, guessed_cords, patch_sheet

    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        raise UsageError("is there already, and is not overwritten", file=str(folder), hint="name a new folder")
    found = read_paths(captures)
    for note in found.notes:
        hint(f"{note.file}:{note.line}: {note.message}" if note.line else f"{note.file}: {note.message}")
    if not found.devices:
        raise UsageError("no device was found in these captures", hint="see what each says: vlancheck read CAPTURE...")
    copies = _copies(captures)

    def canonical(device: str, port: str) -> str:
        gathered = found.gathered.get(device)
        return gathered.dialect.canonical(port) if gathered else port

    pile = Pile(
        name=folder.resolve().name,
        devices=found.devices,
        files=tuple((device.name, _where(found, device.name, copies)) for device in found.devices),
        notes=tuple(dict.fromkeys(f"{note.file}: {note.message}" for note in found.notes if note.unused)),
        cords=guessed_cords(found.devices, canonical),
    )
    texts = {"site.yaml": declaration(pile), _SHEET: patch_sheet(pile)}
    _write(folder, texts, copies)
    emit(_told(folder, pile, len(copies)))
    return OK


def _copies(captures: list[Path]) -> dict[Path, str]:
    """Return every file and the name of its copy; a name that stands twice gets a number."""
    files: dict[Path, str] = {}
    names: set[str] = set()
    for path in captures:
        inside = sorted(one for one in path.rglob("*") if one.is_file()) if path.is_dir() else [path]
        for file in inside:
            name, number = file.name, 2
            while name in names:
                name = f"{file.stem}-{number}{file.suffix}"
                number += 1
            names.add(name)
            files[file] = f"captures/as-found/{name}"
    return files


def _where(found: Reading, device: str, copies: dict[Path, str]) -> str:
    named = {str(path): copy for path, copy in copies.items()} | {path.name: copy for path, copy in copies.items()}
    files = dict.fromkeys(section.file for section in found.texts.get(device, ()))
    return ", ".join(named.get(file, file) for file in files) or "no file"


def _write(folder: Path, texts: dict[str, str], copies: dict[Path, str]) -> None:
    """Write everything, or nothing that stays."""
    made = not folder.exists()
    try:
        (folder / "captures/as-found").mkdir(parents=True)
        for file, name in copies.items():
            shutil.copyfile(file, folder / name)
        for name, text in texts.items():
            (folder / name).write_text(text, encoding="utf-8")
    except OSError as error:
        for child in (folder / "captures", folder / "site.yaml", folder / _SHEET):
            shutil.rmtree(child, ignore_errors=True) if child.is_dir() else child.unlink(missing_ok=True)
        if made:
            shutil.rmtree(folder, ignore_errors=True)
        raise UsageError(f"cannot be written: {error.strerror}", file=str(error.filename or folder)) from error


def _told(folder: Path, pile: Pile, files: int) -> str:
    sure = sum(1 for guess in pile.cords if guess.sure and guess.known)
    likely = sum(1 for guess in pile.cords if guess.known) - sure
    strangers = len({guess.other for guess in pile.cords if not guess.known})
    lines = [f"{folder}: {len(pile.devices)} boxes from {files} files"]
    lines += [f"  {device.name}  {device.dialect}, {len(device.ports)} ports" for device in pile.devices]
    boxes = "box" if strangers == 1 else "boxes"
    lines.append(f"  cords: {sure} named by neighbours, {likely} by descriptions; {strangers} {boxes} not captured")
    lines += [
        "",
        "next:",
        f"  1. check {folder}/site.yaml; its comments say what",
        f"  2. trace the cords into {folder}/{_SHEET},",
        f"     and save it as {folder}/patching/as-found.csv",
        f"  3. vlancheck audit {folder}",
        f"  4. vlancheck collect {folder}, for what is still to be captured",
    ]
    return "\n".join(lines)
