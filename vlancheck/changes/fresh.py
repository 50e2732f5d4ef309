"""The captures of one box in two surveys in; whether the later ones can be of the rebuilt box at all, out."""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import datetime, timedelta

from vlancheck.capture import Section
from vlancheck.evidence import Kind, Origin, Origins

_ZONES = timedelta(hours=26)  # the most that two zones differ: UTC+14 and UTC-12 (from memory)


def stale(
    device: str, before: Sequence[Section], after: Sequence[Section], taken: tuple[str, str]
) -> tuple[Origins, str]:
    """Return why the later captures of a box prove nothing about the rebuild, and a remark; both empty if all is well.

    Times come from the texts, else from `taken` of the two surveys, never from a file's date.  Not certainly later than
    the earlier ones, or the same bytes where no time is known, is stale; other bytes and no time is a remark.
    """
    if not before or not after:
        return (), ""
    was, now = (_latest(texts) or said for texts, said in zip((before, after), taken, strict=True))
    first = after[0]
    shown = first.prompt or first.lines[0]
    line = Origin(Kind.SHOW, shown.text.strip(), first.file, shown.number)
    settle = f"a new capture of {device}, taken after the move"
    if was and now:
        later = _later(was, now)
        if later:
            return (), ""
        text = f"its capture says {now}, not later than the earlier survey's ({was})"
        if later is None:
            text = f"its capture says {now}; in another zone, that may be no later than the earlier survey's ({was})"
        return (Origin(Kind.ASSUMED, text, settle=settle), line), ""
    if _bytes(before) == _bytes(after):
        text = "its capture is the earlier survey's, byte for byte, and no time tells them apart"
        return (Origin(Kind.ASSUMED, text, settle=settle), line), ""
    return (), f"{first.file}: no time says when {device} was captured; it differs from the earlier capture and is used"


def _later(was: str, now: str) -> bool | None:
    """Tell whether the second of two times is the later one; None where only their zones could tell.

    A zone that one of them does not write is taken to be the other's.
    """
    (first, zone), (second, other) = (_read(one) for one in (was, now))
    apart = second - first
    if zone == other or not zone or not other:
        return apart > timedelta()
    if (behind := _offset(zone)) is not None and (ahead := _offset(other)) is not None:
        return apart - (ahead - behind) > timedelta()
    return None if abs(apart) <= _ZONES else apart > timedelta()


def _read(written: str) -> tuple[datetime, str]:
    """Return a time without its zone, and the zone as written."""
    return datetime.fromisoformat(written[:19]), written[19:].strip()


def _offset(zone: str) -> timedelta | None:
    """Return how far a zone is ahead of UTC; None for a name, which several places use for different ones."""
    if zone in ("UTC", "GMT", "Z"):
        return timedelta()
    if not (found := re.fullmatch(r"([+-])(\d{1,2}):?(\d\d)?", zone)):
        return None
    ahead = timedelta(hours=int(found[2]), minutes=int(found[3] or 0))
    return -ahead if found[1] == "-" else ahead


def _latest(texts: Sequence[Section]) -> str:
    return max((section.taken for section in texts), default="")


def _bytes(texts: Sequence[Section]) -> list[tuple[str, list[str]]]:
    return sorted((section.command, [line.text for line in section.lines]) for section in texts)
