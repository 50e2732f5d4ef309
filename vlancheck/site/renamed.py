"""`renamed:` in, old name -> new name of devices and ports per survey out."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from vlancheck.errors import SiteError
from vlancheck.evidence import Kind, Origin, Origins
from vlancheck.site.places import nearest
from vlancheck.site.rows import DELIMITERS, csv_rows, declared_delimiter
from vlancheck.site.yamltext import Value, read_text

_OLD = ("old", "old name", "was", "from", "before")
_NEW = ("new", "new name", "is", "to", "now", "after")


@dataclass(frozen=True, slots=True)
class Rename:
    """A device, port or panel port that is called otherwise in one survey."""

    old: str  # as written: DEVICE, or DEVICE:PORT
    new: str  # as written: DEVICE, or DEVICE:PORT
    file: str  # where it stands
    line: int  # 1-based
    text: str  # the line's own text

    @property
    def origins(self) -> Origins:
        """Return the evidence that this row is."""
        kind = Kind.SHEET if self.file.lower().endswith((".csv", ".tsv", ".txt")) else Kind.SITE
        return (Origin(kind, self.text.strip(), file=self.file, line=self.line),)

    def error(self, message: str, hint: str = "") -> SiteError:
        """Return an error at this row."""
        return SiteError(message, file=self.file, line=self.line, hint=hint)


def read_renamed(root: Path, value: Value | None, surveys: dict[str, object]) -> dict[str, tuple[Rename, ...]]:
    """Return the renamings of every survey that has any.

    Raises SiteError for a survey that does not exist, a device renamed to a port, and a name given twice.
    """
    if value is None or value.empty:
        return {}
    renamed = {}
    for survey, item in value.map("`renamed`").items():
        if survey not in surveys:
            raise value.key(survey).error(f"`renamed` names a survey {survey!r} that is none", nearest(survey, surveys))
        rows = _from_file(root, item) if item.text is not None else _from_map(item)
        _right(rows)
        renamed[survey] = tuple(rows)
    return renamed


def _from_map(value: Value) -> list[Rename]:
    if value.empty:
        return []
    rows = []
    for old, new in value.map("the renamings of a survey").items():
        rows.append(Rename(old.strip(), new.word("a new name"), new.file, new.line, value.key(old).source))
    return rows


def _from_file(root: Path, value: Value) -> list[Rename]:
    name = value.word("a file of renamings")
    path = root / name
    if not path.is_file():
        raise value.error(f"there is no file {name}", "name a CSV with the columns old and new, or write a map here")
    text = read_text(path, name, "save it as CSV with the columns old and new")
    tried = [declared] if (declared := declared_delimiter(text)) else DELIMITERS
    for delimiter in tried:
        try:
            rows = csv_rows(text, delimiter, name)
        except SiteError:
            if delimiter == tried[-1]:
                raise
            continue
        for number, row in enumerate(rows[:5]):
            old = next((place for place, cell in enumerate(row.cells) if cell.lower() in _OLD), None)
            new = next((place for place, cell in enumerate(row.cells) if cell.lower() in _NEW), None)
            if old is not None and new is not None:
                return [_row(name, row.line, row.cells, row.text, old, new) for row in rows[number + 1 :]]
    raise SiteError("no row of headings has old and new", file=name, hint="the first row is `old,new`")


def _row(file: str, line: int, cells: tuple[str, ...], text: str, old: int, new: int) -> Rename:
    pair = [cells[place] if place < len(cells) else "" for place in (old, new)]
    if not all(pair):
        raise SiteError("a renaming has an old and a new name", file=file, line=line, hint="fill in both")
    return Rename(pair[0], pair[1], file, line, text)


def _right(rows: list[Rename]) -> None:
    olds: dict[str, Rename] = {}
    ports: dict[str, Rename] = {}
    for row in rows:
        if (":" in row.old) != (":" in row.new):
            raise row.error(f"{row.old} becomes {row.new}", "a device becomes a device, a port DEVICE:PORT a port")
        if (first := olds.setdefault(row.old.casefold(), row)) is not row:
            raise row.error(f"{row.old} is renamed on line {first.line} already", "keep one of them")
        if ":" in row.new and (first := ports.setdefault(row.new.casefold(), row)) is not row:
            raise row.error(f"{first.old} and {row.old} both become {row.new}", "two old ports are two new ports")
