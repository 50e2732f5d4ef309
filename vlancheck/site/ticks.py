"""A file of ticks comes in, what people did and tested by hand goes out, each with its line."""

from __future__ import annotations

import json
import re
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path
from typing import Any

from vlancheck.errors import SiteError
from vlancheck.evidence import Kind, Origin, Origins
from vlancheck.site.yamltext import read_text

SCHEMA = "vlancheck/ticks/1"
_FIELDS = ("sheet", "key", "who", "when", "what", "result")
_MORE = ("cord", "said")  # what may be left out
_HINT = "save the ticks again from the page of worksheets"
_KEY = re.compile(r'(?<!\\)"key"\s*:')  # within a text its quotes would have a backslash


class Result(StrEnum):
    """What came of a row."""

    PASS = "pass"
    FAIL = "fail"
    NOT_TESTED = "not tested"


@dataclass(frozen=True, slots=True)
class Tick:
    """One entry that somebody made on a worksheet."""

    sheet: str  # name of the sheet
    key: str  # of the row: jack or DEVICE:PORT
    who: str  # made it; "" when nobody is named
    when: str  # as the page or the person wrote it; "" when it is not said
    what: str  # was done or tried
    result: Result  # what came of it
    cord: str  # label of the row's cord; "" none
    said: str  # words that were written beside it
    origins: Origins  # its line

    @property
    def whole(self) -> bool:
        """Tell whether it says who, when and what: a result that does not proves nothing."""
        return all(text.strip() for text in (self.who, self.when, self.what))


def read_ticks(path: Path, shown: str, site: str) -> tuple[Tick, ...]:
    """Return the ticks of a file, called `shown` in messages.

    Raises SiteError, with the line where it is known, for what is no such file or one of another site than `site`.
    """
    text = read_text(path, shown, f"a file of ticks is JSON; {_HINT}")
    try:
        document = json.loads(text)
    except json.JSONDecodeError as error:
        raise SiteError(f"this is not JSON: {error.msg}", file=shown, line=error.lineno, hint=_HINT) from error
    except RecursionError as error:
        raise SiteError("the file is nested too deeply", file=shown, hint=_HINT) from error
    if not isinstance(document, dict) or document.get("schema") != SCHEMA:
        raise SiteError(f"this is no file of ticks: its schema is not {SCHEMA}", file=shown, hint=_HINT)
    if document.get("site") != site:
        what = f"these are ticks of the site {document.get('site')!r}, and this is {site!r}"
        raise SiteError(what, file=shown, hint="name the file of this site")
    rows = document.get("ticks")
    if not isinstance(rows, list):
        raise SiteError("`ticks` is no list", file=shown, hint=_HINT)
    lines = [text.count("\n", 0, found.start()) + 1 for found in _KEY.finditer(text)]
    told = lines if len(lines) == len(rows) else [0] * len(rows)
    return tuple(_tick(row, number, shown, line) for number, (row, line) in enumerate(zip(rows, told, strict=True), 1))


def _tick(row: Any, number: int, shown: str, line: int) -> Tick:
    if not isinstance(row, dict):
        raise SiteError(f"tick {number} is no map", file=shown, line=line, hint=_HINT)
    for name in (*_FIELDS, *_MORE):
        if not isinstance(row.get(name, "" if name in _MORE else None), str):
            raise SiteError(f"tick {number} has no text `{name}`", file=shown, line=line, hint=_HINT)
    if row["result"] not in [*Result]:
        what = f"the result of tick {number} is {row['result']!r}"
        raise SiteError(what, file=shown, line=line, hint=f"it is {', '.join(Result)}")
    if not row["key"].strip():
        raise SiteError(f"tick {number} names no row", file=shown, line=line, hint=_HINT)
    words = f"{row['key']}: {row['result']}, {row['what']}" + (f" ({row['said']})" if row.get("said") else "")
    by = ", ".join(part for part in (row["who"], row["when"]) if part.strip()) or "nobody is named"
    origin = Origin(Kind.TICK, f"{words}; {by}", file=shown, line=line)
    sheet, key, who, when, what = (str(row[name]) for name in _FIELDS[:5])
    return Tick(sheet, key, who, when, what, Result(row["result"]), row.get("cord", ""), row.get("said", ""), (origin,))
