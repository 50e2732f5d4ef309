"""An audit or a verification in, one screen of a terminal out: verdict, orders, findings, and what to do next.

Where more is told than fits, what is carried takes fewer rows first, then every row takes one line, then findings are
left out, then rows; what is not shown is counted, and the worst finding always is.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

from vlancheck.findings.finding import Finding, Severity, Where
from vlancheck.outcome import Report
from vlancheck.report import origins, wording
from vlancheck.report.advice import advice
from vlancheck.report.cells import cells, cut, cut_before, cut_lines, wrapped
from vlancheck.report.hops import told
from vlancheck.report.markup import one_line
from vlancheck.report.textpage import painted
from vlancheck.report.wording import SIGNS, several
from vlancheck.verdicts.verdict import Certainty, State, Verdict

ROWS = 24  # of a terminal that does not say how many it has
_GUTTER = 13  # cells for the word before a row
_LEAST, _MOST = 40, 120  # cells of a line at least, whatever the terminal has, and at most
_NAME = 20  # cells of the column of names that are never too many
_NARROW = 60  # cells of a terminal below which no column is kept for names
_SENTENCE = 4  # lines for the verdict at most
_HEADLINE = 2  # lines for the headline of a finding at most
_CARRIED = 3  # lines for the names of what is carried at most
_MORE = 4  # lines for what is not shown at most
_LAST = 3  # lines for what to do next at most


@dataclass(frozen=True, slots=True)
class _Row:
    """A few lines that belong together, with a word before them."""

    word: str  # in the gutter
    key: State | Severity | None  # by which the word is coloured
    lines: tuple[str, ...]  # beside it


@dataclass(frozen=True, slots=True)
class _Form:
    """How much room is given to what."""

    grouped: bool  # what is carried takes a row for each way it goes; False: one row
    airy: bool  # an empty line between parts


_FORMS = (_Form(True, True), _Form(True, False), _Form(False, True), _Form(False, False))


def text(report: Report, folder: str, again: str, width: int = 80, rows: int = ROWS, colour: bool = False) -> str:
    """Return the report in fewer than `rows` rows: the last one is left to the cursor.

    `folder` is the site as it was named, `again` the command that was typed.
    """
    page = _Screen(report, folder, again, min(max(width, _LEAST), _MOST), rows - 1)
    forms = _FORMS if len(page.bad) < rows else ()
    made = next((made for form in forms if _height(made := page.whole(form)) < rows), None)
    return page.text(page.cut() if made is None else made, colour)


class _Screen:
    """Makes the parts of a screen."""

    def __init__(self, report: Report, folder: str, again: str, width: int, room: int) -> None:
        self.report, self.folder, self.again = report, folder, again
        self.width, self.room = width, room
        self.body = width - _GUTTER
        self.told = {id(one): told(one, report.devices) for one in report.verdicts}
        self.bad = sorted((one for one in report.verdicts if one.state is not State.CARRIED), key=_rank)
        self.carried = [one for one in report.verdicts if one.state is State.CARRIED]

    # ---- the whole ------------------------------------------------------------------------------------------------

    def whole(self, form: _Form) -> list[_Row]:
        """Return all rows and all findings."""
        column = self._column(form)
        bad = [self._row(one, column) for one in self.bad]
        return self._joined(form, bad, self._carried(form), self._findings(self.report.counted), [])

    def cut(self) -> list[_Row]:
        """Return what fits: as many rows as there is room for beside the worst finding, then findings, then words."""
        form = _FORMS[-1]
        column = self._column(form)
        carried, found = self._carried(form), self._findings(self.report.counted)
        bad = [self._brief(one, column) for one in self.bad]

        def made(rows: int, findings: int) -> list[_Row]:
            hidden = self.bad[rows:]
            left = [f"{wording.states(hidden)} of what is declared"] if hidden else []
            left += [several(len(found) - findings, "finding")] if findings < len(found) else []
            return self._joined(form, bad[:rows], carried, found[:findings], left)

        least = min(1, len(found))
        rows = next((one for one in range(len(bad), 0, -1) if _height(made(one, least)) <= self.room), 0)
        more = (one for one in range(least + 1, len(found) + 1) if _height(made(rows, one)) > self.room)
        findings = next(more, len(found) + 1) - 1
        for number, verdict in enumerate(self.bad[:rows]):
            short, bad[number] = bad[number], self._row(verdict, column)
            if _height(made(rows, findings)) > self.room:
                bad[number] = short
        return made(rows, findings)

    def _joined(
        self, form: _Form, bad: list[_Row], carried: list[_Row], found: list[_Row], left: list[str]
    ) -> list[_Row]:
        air = [_Row("", None, ("",))] if form.airy else []
        made = [self._head, *air, *bad, *carried]
        if found:
            made += [*(air if bad or carried else ()), self._counts(), *found]
        return [*made, *air, self._more(left), self._next]

    def text(self, rows: Sequence[_Row], colour: bool) -> str:
        """Return rows as text."""
        return "\n".join(line for row in rows for line in self._lines(row, colour))

    def _lines(self, row: _Row, colour: bool) -> Iterator[str]:
        if not row.word:
            yield from row.lines
            return
        word = painted(row.word, row.key) if colour and row.key is not None else row.word
        first, *rest = row.lines
        yield f"{word}{' ' * (_GUTTER - len(row.word))}{first}".rstrip()
        yield from (f"{' ' * _GUTTER}{line}".rstrip() for line in rest)

    # ---- orders ---------------------------------------------------------------------------------------------------

    def _row(self, verdict: Verdict, column: int) -> _Row:
        """Return an order that is not carried with all that is said of it."""
        lines = self._named(one_line(verdict.order.title), one_line(self.told[id(verdict)].words), column)
        return _Row(_word(verdict.state), verdict.state, lines)

    def _brief(self, verdict: Verdict, column: int) -> _Row:
        """Return an order that is not carried on one line."""
        name = one_line(verdict.order.title)
        start = self._padded(cut(name, column) if column else name, column)
        said = one_line(self.told[id(verdict)].brief(self.body - cells(start)))
        return _Row(_word(verdict.state), verdict.state, (cut(f"{start}{said}", self.body),))

    def _padded(self, name: str, column: int) -> str:
        return f"{name}{' ' * (max(column - cells(name), 0) + 2)}"

    def _named(self, name: str, words: str, column: int) -> tuple[str, ...]:
        """Return a name and what is said of it beside it."""
        hang = column + 2 if column else 2
        if cells(name) > column:
            return tuple(wrapped(f"{name}: {words}", self.body, hang))
        first, *rest = wrapped(words, self.body - hang)
        return (f"{self._padded(name, column)}{first}", *(f"{' ' * hang}{one}" for one in rest))

    def _carried(self, form: _Form) -> list[_Row]:
        """Return what is carried: those that go the same way in one row, or all in one."""
        ways: dict[str, list[str]] = {}
        for one in self.carried:
            ways.setdefault(self.told[id(one)].words if form.grouped else "", []).append(one_line(one.order.title))
        column = self._column(form)
        made = []
        for way, names in ways.items():
            if form.grouped:
                lines = self._named(", ".join(names), one_line(way), column)
            else:
                lines = self._list(names, _CARRIED if form.airy else 1)
            made.append(_Row(_word(State.CARRIED), State.CARRIED, lines))
        return made

    def _list(self, names: Sequence[str], most: int) -> tuple[str, ...]:
        """Return as many names as fit so many lines, and how many there are beyond them."""
        longest = min(len(names), most * self.body // 3)  # a name and a comma take three cells at least
        for count in range(longest, 0, -1):
            more = f" and {len(names) - count} more" if count < len(names) else ""
            if len(lines := wrapped(f"{', '.join(names[:count])}{more}", self.body)) <= most:
                return tuple(lines)
        return (f"{len(names)} of what is declared",)

    def _column(self, form: _Form) -> int:
        """Return how wide the column of names is; 0 where there is none."""
        if self.width < _NARROW:
            return 0
        shown = [*self.bad, *(self.carried if form.grouped else ())]
        widest = max((cells(one_line(one.order.title)) for one in shown), default=0)
        return min(widest, max(self.body * 2 // 5, _NAME))

    # ---- findings -------------------------------------------------------------------------------------------------

    def _counts(self) -> _Row:
        counted = Counter(one.severity for one in self.report.counted)
        words = ", ".join(several(counted[one], one.value) for one in Severity if counted[one])
        return _Row("", None, (words,))

    def _findings(self, findings: Sequence[Finding]) -> list[_Row]:
        return [_Row(f"{one.severity.value} {one.code}", one.severity, self._finding(one)) for one in findings]

    def _finding(self, finding: Finding) -> tuple[str, ...]:
        """Return what is wrong, where both ends say so, and how many things it does."""
        head = cut_lines(one_line(finding.headline), self.body, _HEADLINE)
        does = several(len(finding.effects), "effect") if finding.effects else ""
        return (*head, *self._places(finding.where, does))

    def _places(self, where: Sequence[Where], does: str) -> Iterator[str]:
        """Yield where to type first, where its other end is, and how many things it does, on as few lines as fit."""
        lines = [one for one in where if one.origin.place]
        first = next((one for one in lines if one.primary), lines[0] if lines else None)
        if first is None:
            words = origins.told(where[0].origin) if where else ""
            parts = [cut(one_line(words), self.body)] if words else []
        else:
            other = next(
                (one for one in lines if one.place != first.place and one.origin.place != first.origin.place), None
            )
            parts = [self._place("first" if other else "at", one_line(first.origin.place))]
            if other is not None:
                same = other.origin.place.rpartition(":")[0] == first.origin.place.rpartition(":")[0]
                there = f"line {other.origin.line}" if same else one_line(other.origin.place)
                parts.append(self._place("then", there))
        line = ""
        for mark, part in [*((",", one) for one in parts), (";", does)]:
            if not part:
                continue
            if line and cells(f"{line}{mark} {part}") > self.body - 1:
                yield f"{line}{mark}"
                line = part
            else:
                line = f"{line}{mark} {part}" if line else part
        if line:
            yield line

    def _place(self, word: str, place: str) -> str:
        return f"{word} {cut_before(place, self.body - len(word) - 2)}"

    # ---- the end --------------------------------------------------------------------------------------------------

    def _more(self, left: Sequence[str]) -> _Row:
        """Return what is not on the screen, counted, and the command that shows it."""
        words = f"{', '.join((*left, *self._beyond)) or 'the lines behind it'}: "
        line = f"{words}{one_line(self.again)} --full"
        if cells(line) > self.body:
            line = f"{words}add --full"
        return _Row("more", None, tuple(cut_lines(line, self.body, _MORE)))

    @cached_property
    def _beyond(self) -> tuple[str, ...]:
        return tuple(_beyond(self.report))

    @cached_property
    def _head(self) -> _Row:
        return _Row("", None, tuple(cut_lines(one_line(wording.sentence(self.report)), self.width, _SENTENCE)))

    @cached_property
    def _next(self) -> _Row:
        return _Row("next", None, tuple(cut_lines(one_line(advice(self.report, self.folder)), self.body, _LAST)))


def _beyond(report: Report) -> Iterator[str]:
    """Yield how much there is of what a screen never shows."""
    causes, moves = (len(report.comparison.causes), len(report.comparison.moves)) if report.comparison else (0, 0)
    unread = sum(one.matters for device in report.devices.values() for one in device.unread)
    counted = (
        (causes, "change", ""),
        (moves, "moved cord", ""),
        (len(report.not_yet), "row", " not yet done"),
        (unread, "unread line", ""),
        (len(report.notes), "remark", ""),
        (len(report.accepted), "accepted finding", ""),
        (len(report.not_seen), "jack", " without link"),
    )
    yield from (f"{several(count, what)}{how}" for count, what, how in counted if count)


def _rank(verdict: Verdict) -> tuple[bool, int]:
    """Return what sorts orders: a leak to what somebody owns before all, then by state."""
    owned = any(one.what and one.certainty is Certainty.PROVED for one in verdict.leaks)
    return not owned, list(State).index(verdict.state)


def _word(state: State) -> str:
    return f"{SIGNS[state]} {state.value}"


def _height(rows: Sequence[_Row]) -> int:
    return sum(len(row.lines) for row in rows)
