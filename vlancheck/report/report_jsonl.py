"""A report in, JSON Lines out: one record a line, each of which says what it is."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any

from vlancheck.outcome import Report

SCHEMA = "vlancheck/records/1"
# JSON may have these bare, and some end a line there.
_ENDS = {ord(one): f"\\u{ord(one):04x}" for one in "\x7f\x85\u2028\u2029"}


def jsonl_report(report: Report) -> str:
    """Return what the JSON document of an audit or a verification has, a line for each part of it."""
    told = (json.dumps(one, ensure_ascii=False).translate(_ENDS) for one in lines(report.to_dict()))
    return "".join(f"{line}\n" for line in told)


def lines(document: dict[str, Any]) -> Iterator[dict[str, Any]]:
    """Yield the records of a document, its head first."""
    head: dict[str, Any] = {
        key: document[key] for key in ("site", "survey", "before", "without", "verdict") if key in document
    }
    reading = {key: document["reading"][key] for key in ("lines", "read", "passed_over")}
    yield _record("report", {**head, "reading": reading})
    for kind, several, tag in (("service", "services", "tag"), ("vlan", "vlans", "vid")):
        for one in document[several]:
            yield from _order(kind, one, one[tag])
    parts = {"change": "changes", "finding": "findings", "mend": "mends", "not yet": "not_yet", "open": "open"}
    parts |= {"jack": "jacks", "cause of moves": "causes_of_moves"}
    for word, key in parts.items():
        yield from (_record(word, one) for one in document[key])
    yield from (_record("unread", one) for one in document["reading"]["unread"])
    yield from (_record("file", one) for one in document["reading"]["files"])
    yield from (_record("not seen", {"port": one}) for one in document["not_seen"])
    yield from (_record("note", {"words": one}) for one in document["notes"])


def _order(kind: str, one: dict[str, Any], tag: str) -> Iterator[dict[str, Any]]:
    """Yield a service or VLAN and what belongs to it, each with its name and tag."""
    named = {"of": kind, "name": one["name"], "tag": tag}
    yield _record(kind, {"name": one["name"], "tag": tag, **{key: one[key] for key in ("state", "headline", "enters")}})
    for word, key in (("ending", "endings"), ("leak", "leaks"), ("translation", "carrier"), ("question", "questions")):
        yield from (_record(word, {**named, **part}) for part in one[key])


def _record(word: str, fields: dict[str, Any]) -> dict[str, Any]:
    return {"schema": SCHEMA, "record": word, **fields}
