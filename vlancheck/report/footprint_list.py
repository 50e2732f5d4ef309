"""A walk in, its footprints in words out: number, where from, port, frame on the wire, rule and line of each."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from itertools import groupby
from xml.etree.ElementTree import Element

from vlancheck.dot1q.rules import Rule
from vlancheck.drawing.footprints import Trail
from vlancheck.places import split_place
from vlancheck.report import origins, walking
from vlancheck.report.explaining import plainly, title
from vlancheck.report.markup import Child, element
from vlancheck.walk import Step, Walk
from vlancheck.walk.flood import What

_LINES, _LONG = 2, 160  # lines of evidence beside one footprint, and characters of one
_HEADS = ("Number", "Port", "On the wire", "Why, by which rule, and by which line")
_ENDS = ((What.DELIVERED, "delivered"), (What.LOST, "lost"), (What.DOUBT, "unproven"), (What.GROWING, "growing"))
_Row = tuple[Step, ...]  # a step, with the delivery of its copy where that is told in the same row


def listed(trail: Trail) -> Iterator[Element]:
    """Yield how the walk ends, every footprint in its order, and what nothing decides."""
    walk = trail.walk
    yield element("p", summary(walk))
    told: dict[Rule, int] = {}  # rule -> the footprint beside which it stands
    rows = [element("li", *_row(walk, several, trail.hangs, told)) for several in _alike(walk)]
    yield element("div", *(element("div", words) for words in _HEADS), class_="heads", aria_hidden="true")
    yield element("ol", *rows, class_="told")
    open_ends = [
        f"{one.port}, {one.frame}: unproven, since {one.reason}. Settled by: {one.settled_by}" for one in walk.unproven
    ]
    open_ends += [": ".join(walking.round_again(loop).split(maxsplit=1)) for loop in walk.loops]
    if open_ends:
        yield element("ul", *(element("li", words) for words in open_ends))


def summary(walk: Walk) -> str:
    """Return how many footprints there are, and how the copies end."""
    found = Counter(step.what for step in walk.steps)
    ends = ", ".join(f"{found[what]} {word}" for what, word in _ENDS if found[what]) or walking.NOTHING
    return f"{len(walk.steps)} footprints. Of the copies: {ends}."


def _alike(walk: Walk) -> Iterator[list[_Row]]:
    """Yield the rows; those that follow each other, and at which the same happens to copies of one box, together."""
    rows: list[_Row] = []
    for step in walk.steps:
        if step.what is What.DELIVERED and not step.name and rows and rows[-1][0].number == step.parent:
            rows[-1] = (*rows[-1], step)
        else:
            rows.append((step,))
    for _, several in groupby(rows, _sort):
        yield list(several)


def _sort(row: _Row) -> tuple[object, ...]:
    step = row[0]
    # Only copies that leave a box are alike; the port of another step is a part of what happens.
    alone = step.number if step.what is not What.LEAVES else 0
    return step.parent, step.what, step.rule, step.frame, step.rewritten, tuple(one.certain for one in row), alone


def _row(walk: Walk, several: Sequence[_Row], hangs: Mapping[str, str], told: dict[Rule, int]) -> Iterator[Child]:
    """Yield the parts of one entry of the list."""
    step = several[0][0]
    if len(several) == 1:
        yield element("div", *_numbers(several[0]))
        yield element("div", *_where(several[0], hangs))
    else:
        first, last = several[0][0].number, several[-1][-1].number
        yield element("div", element("b", f"{first}–{last}"))
        ports = f"{len(several)} ports of {split_place(step.port)[0]}: at each a copy {title(step)}"
        yield element("div", f"{ports}, DELIVERED" if len(several[0]) > 1 else ports, _maybe(several[0]))
    yield element("div", element("code", _on_wire(walk, step)))
    lines = _lines(step, _LINES) if len(several) == 1 else ()
    yield element("div", *_why(step, told), *lines)
    if len(several) > 1:
        yield element("ul", *(element("li", *_short(row, hangs)) for row in several))


def _numbers(row: _Row) -> Iterator[Element]:
    """Yield the number of each footprint, and from which it comes."""
    for place, step in enumerate(row):
        if place:
            yield element("br")
        yield element("b", str(step.number))
        yield element("i", f" from {step.parent}" if step.parent else " first")


def _where(row: _Row, hangs: Mapping[str, str]) -> Iterator[Child]:
    step = row[0]
    yield element("code", step.port)
    yield f" {title(step)}"
    yield from (f", {title(one)}" for one in row[1:])
    yield _maybe(row)
    if step.port in hangs and step.what in (What.SENT, What.LEAVES, What.DELIVERED):
        yield element("small", f" {hangs[step.port]}")


def _maybe(row: _Row) -> str:
    return "" if all(step.certain for step in row) else " (unproven)"


def _on_wire(walk: Walk, step: Step) -> str:
    """Return the frame on the wire; of a copy that does not leave its box, that there is none."""
    if step.what in (What.LOST, What.DOUBT) and walk.steps[step.parent - 1].what is What.ENTERS:
        return "–"
    return step.frame


def _why(step: Step, told: dict[Rule, int]) -> Iterator[Child]:
    """Yield why in plain words, and each rule with its clause; one that is told at an earlier number is short."""
    if step.what is What.SENT:
        return
    words = plainly(step)
    yield words
    for number, rule in enumerate(_rules(step)):
        said = told.setdefault(rule, step.number)
        if said == step.number and rule.sentence != words:
            yield f"{'; then' if number else ':'} {rule.sentence}"
        yield " "
        yield element("small", f"({rule.clause})" if said == step.number else f"({rule.clause}, as at {said})")


def _rules(step: Step) -> Iterator[Rule]:
    """Yield the rules that decided a step, a row of a table before what comes after it."""
    if step.rewritten and step.what in (What.ENTERS, What.LEAVES):
        yield Rule.REWRITTEN_IN if step.what is What.ENTERS else Rule.REWRITTEN_OUT
    yield step.rule


def _short(row: _Row, hangs: Mapping[str, str]) -> Iterator[Child]:
    """Yield one of several footprints at which the same happens."""
    step = row[0]
    yield from _numbers(row)
    yield " "
    yield element("code", split_place(step.port)[1])
    if step.port in hangs:
        yield element("small", f" {hangs[step.port]}")
    yield from list(_lines(step, 1))[:1]


def _lines(step: Step, most: int) -> Iterator[Element]:
    """Yield the lines that decided, cut where they are longer than anybody reads on a page."""
    for line in origins.lines(step.evidence, most, split_place(step.port)[1]):
        yield element("code", line if len(line) <= _LONG else f"{line[: _LONG - 1]}…", class_="line")
