"""The output of a command comes in, the time it states goes out; never a file's date."""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import datetime
from typing import NamedTuple

from vlancheck.capture.lines import Line

_HEAD = 40  # lines from the top in which an output states its time


class Stated(NamedTuple):
    """The times an output states, as `2026-03-14 22:40:05` and the zone as written; "" for none."""

    now: str  # the time at which it was printed
    changed: str  # the time at which the configuration was last changed: it was printed later
    logged: str  # the time at which a terminal program began the log


_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
_MONTH = rf"(?P<month>{'|'.join(_MONTHS)})[a-z]*"
_TIME = r"(?P<hour>\d{1,2}):(?P<minute>\d\d)(?::(?P<second>\d\d)(?:[.:]\d{1,6})?)?(?:\ ?[ap]m)?"
_ZONE = r"(?P<zone>(?-i:[A-Z]{2,5})|[+-]\d\d:?\d\d|[+-]\d{1,2}|Z)"
_FORMS = tuple(
    re.compile(pattern, re.VERBOSE | re.IGNORECASE)
    for pattern in (
        # 2026-03-14 22:40:05 CET, 2026/03/14T22:40:05+01:00
        rf"(?P<year>\d{{4}})[-/.](?P<month>\d\d?)[-/.](?P<day>\d\d?)[\ T]{{1,3}}{_TIME}(?:\ ?{_ZONE}(?!\w))?",
        # 22:40:05.123 CET Sat Mar 14 2026
        rf"{_TIME}\ {{1,3}}(?:\(?{_ZONE}\)?\ {{1,3}})?(?:[a-z]{{3,9}},?\ {{1,3}})?{_MONTH}\ {{1,3}}(?P<day>\d{{1,2}}),?"
        r"\ {1,3}(?P<year>\d{4})",
        # 22:40:05 UTC Sat 03/14/2026
        rf"{_TIME}\ {_ZONE}\ [a-z]{{3}}\ (?P<month>\d\d)/(?P<day>\d\d)/(?P<year>\d{{4}})",
        # Sat Mar 14 22:40:05 CET 2026
        rf"{_MONTH}\ {{1,3}}(?P<day>\d{{1,2}})\ {{1,3}}{_TIME}\ {{1,3}}(?:{_ZONE}\ {{1,3}})?(?P<year>\d{{4}})",
        # Sat 14 Mar 2026 22:40:05 CET
        rf"(?P<day>\d{{1,2}})[\ -]{_MONTH}[\ -](?P<year>\d{{4}}),?\ {{1,3}}{_TIME}(?:\ {_ZONE}(?!\w))?",
        # mar/14/2026 22:40:05
        rf"{_MONTH}/(?P<day>\d\d)/(?P<year>\d{{4}})\ {_TIME}",
    )
)
_COMMAND = re.compile(
    r"(?:do\s+|run\s+)?(?:sh\w*\s+(?:clock|time|date|sntp|system\s+(?:uptime|time))|dis\w*\s+clock|date\b)"
    r"|/system[ /]clock",
    re.IGNORECASE,
)
_NOW = re.compile(
    r"^!\s*Time:|^\s*Current (?:system )?time\b|^\s*Time source is|\bby RouterOS\b|^\s*System (?:date|time)\b"
    r"|^!\s*Current .{0,30}Time:|^\s*Local time\b",
    re.IGNORECASE,
)
_LOGGED = re.compile(r"\blog(?:ging)? (?:started|opened|\d{4}[-./]\d)|^Script started on\b", re.IGNORECASE)
_CHANGED = re.compile(
    r"Last configuration change at|NVRAM config last updated|Last commit:|Last changed:"
    r"|Last configuration was (?:updated|saved)|Configuration last (?:modified|changed|saved)",
    re.IGNORECASE,
)


def asks_for_time(command: str) -> bool:
    """Tell whether a command prints the time."""
    return _COMMAND.match(command) is not None


def stated(command: str, lines: Sequence[Line]) -> Stated:
    """Return the times that one output states."""
    now = changed = logged = ""
    asked = asks_for_time(command)
    for line in lines[:_HEAD]:
        if ":" not in line.text:
            continue
        if not now and (asked or _NOW.search(line.text)):
            now = _time(line.text)
        elif not changed and _CHANGED.search(line.text):
            changed = _time(line.text)
        elif not logged and not command and _LOGGED.search(line.text):
            logged = _time(line.text)
    return Stated(now, changed, logged)


def _time(text: str) -> str:
    for form in _FORMS:
        if match := form.search(text[:300]):
            month = match["month"].lower()
            number = int(month) if month.isdecimal() else _MONTHS.index(month) + 1
            hour, afternoon = int(match["hour"]), re.search(r"\d\ ?([ap])m", match[0], re.IGNORECASE)
            if afternoon:
                hour = hour % 12 + (12 if afternoon[1] in "pP" else 0)
            try:
                moment = datetime(
                    int(match["year"]), number, int(match["day"]), hour, int(match["minute"]), int(match["second"] or 0)
                )
            except ValueError:
                return ""
            zone = match.groupdict().get("zone")
            return f"{moment:%Y-%m-%d %H:%M:%S}" + (f" {zone}" if zone else "")
    return ""
