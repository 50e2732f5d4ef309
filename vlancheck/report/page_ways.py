"""How frames go in one survey or in two in, strips out: a row for before over a row for after, or one as before."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import assert_never
from xml.etree.ElementTree import Element

from vlancheck.evidence import Origin
from vlancheck.report.markup import Child, element
from vlancheck.report.page_parts import Cited, mark
from vlancheck.report.strip import name, strip
from vlancheck.verdicts.course import Course
from vlancheck.verdicts.reasons import Hop, Reason
from vlancheck.verdicts.verdict import Direction, EndingVerdict, State, Way

BEFORE, AFTER, AS_BEFORE, _BACK = "before", "after", "as before", "and back"
_LOST, _OTHERWISE, _OPEN, _NOT_YET = "lost here", "arrives in other tags", "unproven from here on", "not yet done"


@dataclass(frozen=True, slots=True)
class Row:
    """How one frame goes in one survey, as it is drawn."""

    word: str  # what is said of it
    tone: str = ""  # of that word; "" its own
    path: tuple[Hop, ...] = ()  # the ports it passes
    sent: str = ""  # the frame as sent
    start: str = ""  # what sends it
    end: str = ""  # what hears it
    fate: str = ""  # what becomes of it where it is not delivered as it should be
    reason: Reason | None = None  # why
    says: str = ""  # what else is told of it
    brief: bool = False  # of the lines behind it the first is enough here

    @property
    def drawn(self) -> Row:
        """Return the row without what is not drawn: two of these that are equal look the same."""
        bare = replace(self.reason, evidence=()) if self.reason is not None else None
        return replace(self, path=tuple(replace(hop, evidence=()) for hop in self.path), reason=bare)


def of_ending(ending: EndingVerdict) -> Row:
    """Return how frames come in to an ending."""
    way, reason = ending.inward, ending.reason
    fate = _fate(way)
    if ending.state is State.NOT_YET:
        fate = _NOT_YET
    elif way is None:
        fate = _LOST if ending.state is State.DROPPED else _OPEN
    elif fate:
        reason = way.reason or reason
    if not fate:
        reason = None
    sent = way.frame if way is not None else ""
    return Row(ending.state.value, "", ending.path, sent, ending.start, ending.stop.name, fate, reason)


def of_way_back(ending: EndingVerdict) -> Row | None:
    """Return how frames go back from an ending, where it was asked for since that alone is not proved."""
    back = ending.back
    if back is None or not ending.path_back:
        return None
    fate = _fate(back)
    return Row(
        _word(back), _tone(back), ending.path_back, back.frame, ending.stop.name, ending.start, fate, back.reason
    )


def of_course(course: Course, start: str, end: str, says: str = "") -> Row:
    """Return how one frame goes."""
    fate = "" if course.arrives else _LOST if course.lost else _OPEN
    word, tone = ("arrives", "good") if not fate else ("lost", "bad") if course.lost else ("unproven", "doubt")
    return Row(word, tone, course.path, course.frame, start, end, fate, course.reason, says, brief=True)


def legend(before: str, after: str, *more: str) -> Element | None:
    """Return which surveys the rows are of; None where nothing is compared."""
    if not before:
        return None
    return element("p", "; ".join((f"Before is {before}, after is {after}", *more)), ".", class_="soft")


def ways(cite: Cited, after: Row, before: Row | None = None, back: Row | None = None, alone: str = "") -> Element:
    """Return the rows of one frame; `alone` stands before the row of a survey that is not compared."""
    rows = [(AFTER if before is not None else alone, after)]
    if before is not None:
        rows = [(AS_BEFORE, after)] if before.drawn == after.drawn else [(BEFORE, before), *rows]
    if back is not None:
        rows.append((_BACK, back))
    return element("dl", *(_row(cite, label, row) for label, row in rows), class_="ways")


def _row(cite: Cited, label: str, row: Row) -> Element:
    start = "" if row.path and row.path[0].port == row.start else row.start
    turns = row.reason.place if row.fate == _OTHERWISE and row.reason else ""
    told = element("p", row.says) if row.says else None
    drawn = strip(row.path, start, _end(cite, row), sent=row.sent, turns=turns)
    return element(
        "div",
        element("dt", label, " " if label else None, mark(row.word, row.tone)),
        element("dd", drawn, told, *_more(cite, row)),
    )


def _end(cite: Cited, row: Row) -> Element | None:
    """Return what becomes of a frame: who hears it, or why nobody does, with the line of configuration behind it."""
    if not row.fate:
        heard = bool(row.path) and row.path[-1].way == "in" and row.path[-1].port == row.end
        return element("li", *name(row.end), class_="end") if row.end and not heard else None
    parts: list[Child] = [element("strong", row.fate)]
    if row.reason is not None:
        parts += [f": {row.reason.words}", *_line(cite, row.reason)]
    return element("li", *parts, class_="dies" if row.fate in (_LOST, _OTHERWISE) else "open")


def _line(cite: Cited, reason: Reason) -> Iterator[Child]:
    if (first := first_line(reason)) is not None:
        yield " "
        yield element("div", *cite.line(first))


def first_line(reason: Reason) -> Origin | None:
    """Return what stands first behind a reason: a line of a file, where there is one."""
    return next((origin for origin in reason.evidence if origin.file), next(iter(reason.evidence), None))


def _more(cite: Cited, row: Row) -> Iterator[Element]:
    """Yield what is behind a reason beside the line that is drawn, and what would settle it."""
    if row.reason is None:
        return
    shown = first_line(row.reason)
    rest = () if row.brief else tuple(origin for origin in row.reason.evidence if origin != shown)
    if (lines := cite.several("and because of", rest)) is not None:
        yield lines
    if row.reason.settled_by:
        yield element("p", f"Settled by: {row.reason.settled_by}")


def _fate(way: Direction | None) -> str:
    """Return what becomes of frames of one direction; "" where they arrive as declared, or nothing was asked."""
    if way is None:
        return ""
    match way.way:
        case Way.PROVED:
            return ""
        case Way.OTHERWISE:
            return _OTHERWISE
        case Way.REFUTED:
            return _LOST
        case Way.UNKNOWN:
            return _OPEN
        case _:
            assert_never(way.way)


def _word(way: Direction) -> str:
    return "unproven" if way.way is Way.UNKNOWN else "lost" if way.way is Way.REFUTED else "other tags"


def _tone(way: Direction) -> str:
    return "doubt" if way.way is Way.UNKNOWN else "bad"
