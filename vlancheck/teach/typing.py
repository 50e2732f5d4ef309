"""A survey and lines of a box's own dialect in, the survey with the lines typed there out; and lines for a change."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import Any, TypeVar
from weakref import WeakKeyDictionary

from vlancheck.capture import Line, Section
from vlancheck.dot1q.model import Device
from vlancheck.errors import CaptureError
from vlancheck.pipeline import Survey
from vlancheck.reader import with_lines_pasted
from vlancheck.reader.signs import port_signs
from vlancheck.vids import WIRE
from vlancheck.writer import Wish, WriteError, edit

_MOST = 500  # answers kept of one survey; then the memory starts anew
T = TypeVar("T")
_MADE: WeakKeyDictionary[Survey, dict[tuple[object, ...], Any]] = WeakKeyDictionary()


def box(survey: Survey, device: str) -> Device:
    """Return a box as its captures and what was typed at it make it."""
    return next(one for one in survey.reading.devices if one.name == device)


def speaks(survey: Survey, device: str) -> bool:
    """Tell whether a box was captured, and its family has phrases for what is to be typed."""
    known = survey.reading.gathered.get(device)
    captured = any(one.name == device for one in survey.reading.devices)
    return known is not None and captured and bool(known.dialect.phrases)


def typed(survey: Survey, device: str, lines: Sequence[str], named: str = "") -> Survey | None:
    """Return the survey with lines typed at a box; None where one of them is not read whole.

    `named` is how the lines are called where they decide.
    """
    return _once(survey, ("typed", device, *lines, named), lambda: _typed(survey, device, lines, named))


def _once(survey: Survey, key: tuple[object, ...], make: Callable[[], T]) -> T:
    """Return what was made of a survey before under the same key, else make it."""
    made = _MADE.setdefault(survey, {})
    if key not in made:
        if len(made) > _MOST:
            made.clear()
        made[key] = make()
    found: T = made[key]
    return found


def _typed(survey: Survey, device: str, lines: Sequence[str], named: str) -> Survey | None:
    text = tuple(Line(number, line) for number, line in enumerate(lines, 1))
    section = Section(named or f"lines for {device}", "", "", text, None)
    try:
        reading = with_lines_pasted(survey.reading, {device: [section]})
    except CaptureError:
        return None
    if len(reading.gathered[device].missed) > len(survey.reading.gathered[device].missed):
        return None
    after = next(one for one in reading.devices if one.name == device)
    return survey.changed({device: after}, {device: reading.gathered[device]}, survey.sheet)


def lines_for(survey: Survey, device: str, wish: Wish) -> tuple[str, ...]:
    """Return the lines that make a box what is wished, as few as do it; () where its family cannot say it."""
    return _once(survey, ("lines", device, wish), lambda: _lines_for(survey, device, wish))


def _lines_for(survey: Survey, device: str, wish: Wish) -> tuple[str, ...]:
    if not speaks(survey, device):
        return ()
    try:
        lines = edit(survey.reading.gathered[device], device, wish).lines
    except WriteError:
        return ()
    return _fewest(survey, device, lines)


def _fewest(survey: Survey, device: str, lines: tuple[str, ...]) -> tuple[str, ...]:
    """Return the lines without those that change nothing here, such as the mode of a port that has it."""
    wanted = state(survey, device, lines)
    for line in reversed(lines):
        fewer = tuple(other for other in lines if other is not line)
        if fewer and state(survey, device, fewer) == wanted:
            lines = fewer
    return lines


def state(survey: Survey, device: str, lines: Sequence[str] = ()) -> object:
    """Return what is known of a box once lines are typed there: its ports and its VLANs; None if they are not read."""
    after = typed(survey, device, lines) if lines else survey
    if after is None:
        return None
    found = box(after, device)
    exists = {name: (one.exists.sure & WIRE, one.exists.possible & WIRE) for name, one in found.bridges.items()}
    return port_signs(found), exists


def slips(lines: Sequence[str]) -> Iterator[tuple[str, ...]]:
    """Yield lines of which the last that says something has lost a word, as people type them who are in a hurry."""
    *before, last = lines
    words = last.split()
    blanks = last[: len(last) - len(last.lstrip())]
    for number in range(1, len(words)):
        yield (*before, blanks + " ".join(words[:number] + words[number + 1 :]))


def written(lines: Sequence[str]) -> str:
    """Return lines as one."""
    return " / ".join(line.strip() for line in lines)
