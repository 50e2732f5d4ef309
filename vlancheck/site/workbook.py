"""The bytes of an XLSX workbook in, its tabs as rows of text out; or one error that says what the file is instead."""

from __future__ import annotations

import io
import re
import warnings
import zipfile
from collections.abc import Iterator, Mapping, Sequence
from datetime import date, datetime, time, timedelta
from typing import TYPE_CHECKING, Any
from xml.etree import ElementTree

from vlancheck.errors import SiteError
from vlancheck.site.rows import Row, Table, squeezed

if TYPE_CHECKING:
    from openpyxl.workbook.workbook import Workbook

_HINT = "save it again as .xlsx, or as CSV"
_OLE = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"  # [MS-CFB] 2.2: what a compound file begins with
_ENCRYPTED = "EncryptedPackage".encode("utf-16-le")  # [MS-OFFCRYPTO] 2.3.4.4: the stream of an encrypted workbook
_MOST = 128 << 20  # octets of a workbook's parts without compression
_WIDEST = 64  # columns that a merged cell fills at most
_MERGE = re.compile(rb'<(?:\w+:)?mergeCell\b[^>]*\bref="\$?([A-Z]+)\$?(\d+):\$?([A-Z]+)\$?(\d+)"')
_FORMULA = re.compile(rb"<(?:\w+:)?f[ />]")
_DECIMALS = re.compile(r"(?:#,##)?0\.(0+)")
_WORDED = re.compile(r'((?:"[^"]*"|\\.)*)([^"\\]+)((?:"[^"]*"|\\.)*)')  # a number's format between text, as in "C-"000
_LOGICAL = re.compile(r'("[^"]+");\1;"[^"]+"')  # how LibreOffice Calc shows a formula that is true or false
_BETWEEN = " | "  # between the cells of a row that is shown as evidence

Merge = tuple[int, int, int, int]  # first row, first column, last row, last column, all 1-based


def read_tabs(data: bytes, shown: str) -> list[Table]:
    """Return the tabs of the workbook, hidden ones too; charts are none.

    A cell is the text that was typed or stored: a formula is its stored value, or itself where none is stored; a number
    is written as its format says, as far as that is zeros, decimals and text beside them; a date is written YYYY-MM-DD.
    Merged cells have their value in each of them; one that is alone in its row is a title and becomes a remark.
    Raises SiteError for a file that is encrypted, cut, too large or no workbook.
    """
    parts = _parts(data, shown)
    values = _open(data, shown, stored=True)
    formulas = _open(data, shown, stored=False) if any(map(_FORMULA.search, parts.values())) else None
    try:
        made = []
        for sheet in values.worksheets:
            merges = [_merge(found) for found in _MERGE.finditer(parts.get(sheet.title, b""))]
            typed = _typed(formulas, sheet.title) if formulas else {}
            rows = tuple(_rows(sheet, typed, merges))
            made.append(Table(sheet.title, rows, sheet.sheet_state != "visible"))
        return made
    except Exception as error:  # a part that cannot be read raises whatever the library met in it
        raise _broken(shown, error) from error
    finally:
        values.close()
        if formulas is not None:
            formulas.close()


def _parts(data: bytes, shown: str) -> dict[str, bytes]:
    """Return the XML of every tab by its name."""
    if data.startswith(_OLE):
        if _ENCRYPTED in data:
            raise SiteError("the workbook is encrypted", file=shown, hint="open it with its password and save a copy")
        raise SiteError("the workbook is an .xls file of old", file=shown, hint="save it as .xlsx, or as CSV")
    if not data:
        raise SiteError("the file is empty", file=shown, hint=_HINT)
    try:
        archive = zipfile.ZipFile(io.BytesIO(data))
    except (zipfile.BadZipFile, NotImplementedError, ValueError, EOFError) as error:
        what = "the workbook is cut off or damaged" if data.startswith(b"PK") else "the file is no workbook"
        hint = "copy it again" if data.startswith(b"PK") else "name a text file .csv or .tsv"
        raise SiteError(what, file=shown, hint=f"{hint}, or {_HINT}") from error
    with archive:
        size = sum(info.file_size for info in archive.infolist())
        if size > _MOST:
            what = f"the workbook is too large for a patch sheet: {size >> 20} MiB without compression"
            raise SiteError(what, file=shown, hint="delete the tabs and the formatted rows that hold no cords")
        if "content.xml" in archive.namelist():
            raise SiteError("the workbook is an OpenDocument file", file=shown, hint="save it as .xlsx, or as CSV")
        try:
            return {name: archive.read(path) for name, path in _paths(archive)}
        except Exception as error:  # a damaged archive raises whatever its compression does
            raise _broken(shown, error) from error


def _paths(archive: zipfile.ZipFile) -> Iterator[tuple[str, str]]:
    """Yield the name of each tab with the part that holds it (ECMA-376-2, part 9.3: relationships)."""
    (book,) = (path for kind, _, path in _related(archive, "") if kind == "officeDocument")
    targets = {name: path for kind, name, path in _related(archive, book) if kind == "worksheet"}
    for element in ElementTree.fromstring(archive.read(book)).iter():
        if element.tag.rpartition("}")[2] == "sheet":
            named = (value for key, value in element.attrib.items() if key.rpartition("}")[2] == "id")
            if (path := targets.get(next(named, ""))) is not None:
                yield element.get("name", ""), path


def _related(archive: zipfile.ZipFile, part: str) -> Iterator[tuple[str, str, str]]:
    """Yield the kind, the name and the path of what a part refers to."""
    folder, _, name = part.rpartition("/")
    path = f"{folder}/_rels/{name}.rels".lstrip("/")
    for element in ElementTree.fromstring(archive.read(path)):
        target = element.get("Target", "")
        whole = target[1:] if target.startswith("/") else f"{folder}/{target}".lstrip("/")
        yield element.get("Type", "").rpartition("/")[2], element.get("Id", ""), whole


def _open(data: bytes, shown: str, *, stored: bool) -> Workbook:
    from openpyxl import load_workbook

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # of features that no cell's text hangs on
            return load_workbook(io.BytesIO(data), read_only=True, data_only=stored)
    except Exception as error:  # a part that cannot be read raises whatever the library met in it
        raise _broken(shown, error) from error


def _broken(shown: str, error: Exception) -> SiteError:
    return SiteError(f"the workbook cannot be read: {type(error).__name__}: {error}", file=shown, hint=_HINT)


def _merge(found: re.Match[bytes]) -> Merge:
    from openpyxl.utils import column_index_from_string

    left, top, right, bottom = (part.decode() for part in found.groups())
    return int(top), column_index_from_string(left), int(bottom), column_index_from_string(right)


def _typed(book: Workbook, title: str) -> dict[tuple[int, int], str]:
    """Return the formulas of a tab by row and column."""
    sheet: Any = book[title]
    sheet.reset_dimensions()
    found = {}
    for line, cells in enumerate(sheet.rows, 1):
        for column, cell in enumerate(cells, 1):
            if cell.data_type == "f":
                value = cell.value
                found[line, column] = value if isinstance(value, str) else getattr(value, "text", None) or "={...}"
    return found


def _rows(sheet: Any, typed: Mapping[tuple[int, int], str], merges: Sequence[Merge]) -> Iterator[Row]:
    """Yield the rows of a tab that are not blank, in order."""
    sheet.reset_dimensions()  # what a file says of its size is not always so
    running: list[tuple[int, range, str]] = []  # merges that reach farther down: last row, columns, value
    by_row: dict[int, list[Merge]] = {}
    for merge in merges:
        by_row.setdefault(merge[0], []).append(merge)
    for line, cells in enumerate(sheet.rows, 1):
        own = {
            column: text
            for column, cell in enumerate(cells, 1)
            if (text := squeezed(_text(cell, typed.get((line, column), ""))))
        }
        if not own:
            continue
        running = [merge for merge in running if merge[0] >= line]
        whole = {column: text for _, columns, text in running for column in columns} | own
        for top, left, bottom, right in by_row.get(line, ()):
            if not (text := own.get(left, "")):
                continue
            if left < right and set(own) == {left} and len(whole) == 1:
                whole = {1: text if text.startswith("#") else f"# {text}"}
                continue
            columns = range(left, min(right, left + _WIDEST) + 1)
            whole |= dict.fromkeys(columns, text)
            if bottom > top:
                running.append((bottom, columns, text))
        row = tuple(whole.get(column, "") for column in range(1, max(whole) + 1))
        yield Row(line, row, _BETWEEN.join(row), sheet.title)


def _text(cell: Any, formula: str) -> str:
    """Return a cell as text: as its number's format shows it, and a formula where no value of it is stored."""
    value: object = cell.value
    match value:
        case None:
            # A text that was computed and is empty has the type of a text; a formula never computed has none.
            return "" if not formula or cell.data_type in ("s", "str") else formula
        case bool():
            return "yes" if value else "no"
        case int() | float():
            return _number(value, cell.number_format or "")
        case datetime():
            return f"{value:%Y-%m-%d}" if value.time() == time() else f"{value:%Y-%m-%d %H:%M}"
        case date():
            return f"{value:%Y-%m-%d}"
        case time():
            return f"{value:%H:%M:%S}"
        case timedelta():
            minutes, seconds = divmod(int(value.total_seconds()), 60)
            return f"{minutes // 60:02}:{minutes % 60:02}:{seconds:02}"
        case _:
            return str(value)


def _number(value: int | float, shape: str) -> str:
    if _LOGICAL.fullmatch(shape):
        return "yes" if value else "no"
    if (found := _WORDED.fullmatch(shape)) and found[2] != shape:
        before, after = (re.sub(r'"([^"]*)"|\\(.)', r"\1\2", words) for words in found.group(1, 3))
        return f"{before}{_number(value, found[2])}{after}"
    if found := _DECIMALS.fullmatch(shape):
        return f"{value:.{len(found[1])}f}"
    if isinstance(value, float) and value.is_integer():
        value = int(value)
    if "E+" in shape:
        return f"{value:.2E}?"  # a name such as 1E5 has become a number
    return str(value).zfill(len(shape)) if shape and set(shape) == {"0"} else str(value)
