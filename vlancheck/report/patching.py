"""What was understood of a patch sheet, as text and as a document."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from typing import Any

from vlancheck.evidence import Origins
from vlancheck.site.cordkinds import cord_kind
from vlancheck.site.endpoints import ON_HOLD, caution, endpoint_kinds
from vlancheck.site.headings import Heading
from vlancheck.site.sheet import Doubt, Sheet

SCHEMA = "vlancheck/patching/1"


def text(sheet: Sheet, survey: str) -> str:
    """Return the headings with what they were taken for, counts, and every row that is in doubt with its number."""
    return "\n".join(_lines(sheet, survey))


def document(sheet: Sheet, survey: str) -> dict[str, Any]:
    """Return the sheet as JSON fields; the schema only grows."""
    return {
        "schema": SCHEMA,
        "survey": survey,
        "file": sheet.file,
        "headings": [
            {"tab": one.tab, "column": one.column, "text": one.text, "sense": one.sense.value if one.sense else None}
            for one in sheet.headings
        ],
        "cords": [
            {
                "one": cord.one.name,
                "other": cord.other.name,
                "label": cord.label,
                "kind": kind.value if (kind := cord_kind(cord.kind)) else None,
                "kind_written": cord.kind,
                "colour": cord.colour,
                "length": cord.length,
                "serves": cord.serves,
                "endpoints": [one.value for one in endpoint_kinds(cord.serves)],
                "hold": cord.hold,
                "note": cord.note,
                "room": cord.room,
                "jack": cord.jack,
                "row": _row(cord.origins),
            }
            for cord in sheet.cords
        ],
        "ports": [
            {
                "name": row.end.name,
                "free": row.free,
                "serves": row.serves,
                "hold": row.hold,
                "note": row.note,
                "room": row.room,
                "jack": row.jack,
                "row": _row(row.origins),
            }
            for row in sheet.loose
        ],
        "doubts": [_doubt(one) for one in sheet.doubts],
        "unsure": [_doubt(one) for one in sheet.unsure],
        "contradictions": [
            {
                "clash": one.clash.value,
                "name": one.name,
                "message": one.message,
                "rows": [_row(row) for row in one.rows],
            }
            for one in sheet.contradictions
        ],
        "remarks": list(sheet.remarks),
        "skipped": sheet.skipped,
    }


def _row(origins: Origins) -> dict[str, Any]:
    first = origins[0]
    return {"tab": first.sheet, "line": first.line, "text": first.text}


def _doubt(doubt: Doubt) -> dict[str, Any]:
    return {"why": doubt.why, "row": _row(doubt.origins)}


def _lines(sheet: Sheet, survey: str) -> Iterator[str]:
    counts = [
        _counted(len(sheet.cords), "cord"),
        _counted(len(sheet.loose), "port without one", "ports without one"),
        _counted(len(sheet.doubts), "doubtful row"),
        _counted(len(sheet.contradictions), "contradiction"),
    ]
    yield f"{sheet.file}, {survey}: {', '.join(counts)}"
    yield from _summary(sheet)
    tabs = list(dict.fromkeys(one.tab for one in sheet.headings))
    for tab in tabs:
        yield ""
        yield f"headings of the tab {tab!r}" if tab else "headings"
        yield from _headings([one for one in sheet.headings if one.tab == tab])
    for title, doubts in (
        ("doubtful rows: nothing is made of them", sheet.doubts),
        ("cells that nobody is sure of", sheet.unsure),
    ):
        if doubts:
            yield ""
            yield title
            for doubt in doubts:
                yield f"  {_place(doubt.origins)}: {doubt.why}"
                yield f"      {doubt.origins[0].text}"
    if sheet.contradictions:
        yield ""
        yield "contradictions"
        for clash in sheet.contradictions:
            yield f"  {', '.join(_place(row) for row in clash.rows)}: {clash.clash}: {clash.message}"


def _summary(sheet: Sheet) -> Iterator[str]:
    kinds = Counter(str(cord_kind(cord.kind) or f"{cord.kind!r}") for cord in sheet.cords if cord.kind)
    if kinds:
        yield f"  kinds      {_listed(kinds)}"
    hanging = Counter(str(kind) for endpoint in sheet.endpoints for kind in endpoint.kinds)
    if hanging:
        yield f"  endpoints  {_listed(hanging)}"
    held = [one for one in sheet.endpoints if not ON_HOLD.isdisjoint(one.kinds)]
    for one in held:
        yield f"  {one.at} ({one.text}): a held line"
    if held:
        yield f"  {caution(ON_HOLD)}"
    for remark in sheet.remarks:
        yield f"  {remark}"


def _headings(headings: list[Heading]) -> Iterator[str]:
    width = max(len(one.text) for one in headings)
    for one in headings:
        if one.text or one.sense is not None:
            yield f"  {one.text:{width}}  {one.sense or 'no meaning here; the column is not read'}"


def _place(origins: Origins) -> str:
    first = origins[0]
    return f"tab {first.sheet}, row {first.line}" if first.sheet else f"row {first.line}"


def _counted(number: int, one: str, several: str = "") -> str:
    return f"{number} {one if number == 1 else several or one + 's'}"


def _listed(counts: Counter[str]) -> str:
    return ", ".join(f"{number} {name}" for name, number in counts.most_common())
