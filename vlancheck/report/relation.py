"""The whole relation as text and as a document: what becomes of every frame of every boundary port."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from vlancheck.walk import Carriage
from vlancheck.walk.relation import Row

SCHEMA = "vlancheck/carriage/1"


def text(carriage: Carriage, senders: Iterable[str]) -> str:
    """Return, for every sender, the classes of frames that behave alike and where each is heard."""
    out: list[str] = []
    for port in senders:
        out.append(f"from {port}")
        rows = carriage.rows(port)
        for row in rows:
            out += _row(row)
        if not rows:
            out.append("  no frame from here is heard anywhere")
        out.append("")
    return "\n".join(out).rstrip() or "the network has no boundary port"


def document(carriage: Carriage, senders: Iterable[str], survey: str) -> dict[str, Any]:
    """Return the relation as JSON fields; the schema only grows."""
    return {
        "schema": SCHEMA,
        "survey": survey,
        "senders": [{"port": port, "rows": [_fields(row) for row in carriage.rows(port)]} for port in senders],
    }


def open_questions(carriage: Carriage, senders: Iterable[str]) -> bool:
    """Tell whether anything that was asked for is unproven."""
    return any(row.unproven or row.may_grow for port in senders for row in carriage.rows(port))


def _row(row: Row) -> list[str]:
    lines = [f"  {row.frames}"]
    for delivery in row.deliveries:
        to = f" (interface {delivery.interface})" if delivery.interface else ""
        lines.append(f"      delivered  {delivery.port}  {delivery.frame}{to}")
    lines += [f"      unproven   {port}  {frame}" for port, frame in row.unproven]
    if row.may_grow:
        lines.append("      growing    it gets another tag each time it comes round" + _maybe(row.growing))
    elif row.may_loop:
        lines.append("      loop       a copy goes round for ever" + _maybe(row.looping))
    return lines


def _maybe(certain: bool) -> str:
    return "" if certain else " (unproven)"


def _fields(row: Row) -> dict[str, Any]:
    return {
        "frames": row.frames,
        "deliveries": [{"port": d.port, "frame": d.frame, "interface": d.interface} for d in row.deliveries],
        "unproven": [{"port": port, "frame": frame} for port, frame in row.unproven],
        "looping": row.looping,
        "may_loop": row.may_loop,
        "growing": row.growing,
        "may_grow": row.may_grow,
    }
