"""The site folder and `surveys:` in, the files of every survey out."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from vlancheck.errors import SiteError
from vlancheck.site.tables import BOOKS, FOREIGN
from vlancheck.site.yamltext import Value

_KEYS = ("captures", "patching", "edits", "taken")
_FIRST = ("as-found", "as-planned", "as-left")  # the order in which a rebuild goes
_SHEETS = (".csv", ".tsv", ".txt", *BOOKS)  # how a patch sheet's name may end
_TAKEN = re.compile(
    r"(?P<year>\d{4})-(?P<month>\d\d?)-(?P<day>\d\d?)[ T]+(?P<hour>\d\d?):(?P<minute>\d\d)(?::(?P<second>\d\d))?"
    r"(?:\s*(?P<zone>[A-Z]{1,5}|[+-]\d\d:?\d\d))?"
)


@dataclass(frozen=True, slots=True)
class SurveyFiles:
    """Where the text of one survey is."""

    name: str  # as-found, as-left, ...
    captures: tuple[Path, ...]  # files or folders; empty when there are none
    declared: Value | None = None  # where site.yaml says so
    patching: Path | None = None  # the patch sheet; None when there is none
    edits: Path | None = None  # folder or file of lines to be pasted; None when there are none
    taken: str = ""  # when it was taken, `2026-03-14 22:40:00` and the zone as written; "" when not said


def read_surveys(root: Path, value: Value | None) -> dict[str, SurveyFiles]:
    """Return the surveys by name: as declared, else by the names of folders and sheets.

    A survey that is declared without `captures` or `patching` has the ones of its own name, where there are any.
    Raises SiteError for a path that does not exist and a time that is none.
    """
    if value is None or value.empty:
        return _found(root)
    surveys = {}
    for name, survey in value.map("`surveys`").items():
        fields = {} if survey.empty else survey.map(f"the survey {name!r}", _KEYS)
        sheet, captures = None, [*_folder(root / "captures" / name)]
        if "captures" in fields:
            captures = [_path(root, item, name) for item in fields["captures"].several("`captures`")]
        if "patching" in fields:
            sheet = _path(root, fields["patching"], name)
            if sheet.is_dir():
                raise fields["patching"].error(f"{fields['patching'].text} is a folder", "name the patch sheet in it")
        else:
            sheet = _sheets(root).get(name)
        surveys[name] = SurveyFiles(
            name,
            tuple(captures),
            survey,
            sheet,
            _path(root, fields["edits"], name) if "edits" in fields else None,
            _taken(fields["taken"]) if "taken" in fields else "",
        )
    if not surveys:
        raise value.error("`surveys` lists none", "leave it out to find them by folder, or add `as-found: {...}`")
    return surveys


def _found(root: Path) -> dict[str, SurveyFiles]:
    """Find surveys by folder under captures/ and sheet under patching/; bare captures are the survey as-found."""
    sheets = _sheets(root)
    captures = root / "captures"
    folders: dict[str, Path] = {}
    if captures.is_dir():
        inside = [path for path in _listed(captures) if not path.name.startswith(".")]
        folders = {path.name: path for path in inside if path.is_dir()}
        loose = [path.name for path in inside if not path.is_dir()]
        if folders and loose:
            hint = f"move it into one of them, for example captures/{next(iter(folders))}/"
            raise SiteError(f"{loose[0]} lies beside the folders of the surveys", file=str(captures), hint=hint)
        if loose:
            folders = {"as-found": captures}
    names = _ordered({*folders, *sheets} or {"as-found"})
    return {name: SurveyFiles(name, (*_folder(folders.get(name)),), patching=sheets.get(name)) for name in names}


def _ordered(names: Iterable[str]) -> list[str]:
    return sorted(names, key=lambda name: (_FIRST.index(name) if name in _FIRST else len(_FIRST), name))


def _folder(path: Path | None) -> tuple[Path, ...]:
    return (path,) if path is not None and path.is_dir() else ()


def _sheets(root: Path) -> dict[str, Path]:
    """Return the sheets under patching/ by the survey that their name says.

    One of a format that is not read is there too, to be refused, where its survey has no other.
    """
    folder = root / "patching"
    if not folder.is_dir():
        return {}
    sheets: dict[str, Path] = {}
    for path in _listed(folder):
        if path.suffix.lower() not in _SHEETS or path.name.startswith((".", "~$")) or not path.is_file():
            continue
        if path.stem in sheets:
            what = f"the survey {path.stem!r} has two patch sheets, {sheets[path.stem].name} and {path.name}"
            raise SiteError(what, file=str(folder), hint="keep one of them, or name it under `surveys:`")
        sheets[path.stem] = path
    for path in _listed(folder):
        if path.suffix.lower() in FOREIGN and not path.name.startswith((".", "~$")) and path.is_file():
            sheets.setdefault(path.stem, path)
    return sheets


def _listed(folder: Path) -> list[Path]:
    try:
        return sorted(folder.iterdir())
    except OSError as error:
        why = (error.strerror or str(error)).lower()
        raise SiteError(f"cannot be read: {why}", file=str(folder), hint="check who may read it") from error


def _path(root: Path, value: Value, survey: str) -> Path:
    text = value.word("a path")
    path = root / text
    try:
        there = path.exists()
    except (OSError, ValueError) as error:
        raise value.error(f"the survey {survey!r} names {text}, which cannot be read") from error
    if not there:
        raise value.error(f"the survey {survey!r} names {text}, which does not exist", f"paths start in {root}")
    return path


def _taken(value: Value) -> str:
    text = value.word("`taken`")
    hint = "write it as 2026-03-14 22:40, with the zone behind it if you like"
    if not (found := _TAKEN.fullmatch(text)):
        raise value.error(f"`taken` is {text!r}", hint)
    parts = [int(found[name] or 0) for name in ("year", "month", "day", "hour", "minute", "second")]
    try:
        moment = datetime(*parts)  # type: ignore[arg-type]
    except ValueError as error:
        raise value.error(f"`taken` is {text!r}: {error}", hint) from error
    return f"{moment:%Y-%m-%d %H:%M:%S}" + (f" {found['zone']}" if found["zone"] else "")
