"""What changed between two surveys in; jack by jack, where its frames went before over where they go now, out."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from xml.etree.ElementTree import Element

from vlancheck.changes.change import Change, Comparison, Kind, Move
from vlancheck.places import natural
from vlancheck.report.markup import element
from vlancheck.report.page_parts import Cited, mark, whole
from vlancheck.report.page_ways import Row, of_course, ways
from vlancheck.site.anchors import Anchor, AnchorKind
from vlancheck.verdicts.course import Course

_KINDS = {
    AnchorKind.JACK: "",
    AnchorKind.ENDPOINT: "what hangs there",
    AnchorKind.CIRCUIT: "handoff",
    AnchorKind.PORT: "port",
}
_EMPTY = ("did not", "does not")  # what a change says where nobody is reached
_GAINS = (Kind.GAINED, Kind.REPAIRED)


def jacks(cite: Cited, comparison: Comparison) -> Iterator[Element]:
    """Yield an article for every jack of which frames or the cord changed, then one for every other such place."""
    moved = {move.anchor: move for move in comparison.moves}
    rows: dict[Anchor, list[tuple[Change, str]]] = {anchor: [] for anchor in moved}
    for cause in comparison.causes:
        for row in cause.told:
            rows.setdefault(row.anchor, []).append((row, cause.place.words))
    order = list(_KINDS)
    for anchor in sorted(rows, key=lambda one: (order.index(one.kind), natural(one.name))):
        yield _jack(cite, anchor, rows[anchor], moved.get(anchor))


def _jack(cite: Cited, anchor: Anchor, rows: list[tuple[Change, str]], move: Move | None) -> Element:
    changes = [row for row, _ in rows]
    word, tone = _judged(changes)
    sign = mark(f"to sign: {move.sign}", "doubt") if move is not None and move.sign else None
    kind = _KINDS[anchor.kind]
    return element(
        "article",
        element("h3", mark(word, tone), sign, anchor.name, f" ({kind})" if kind else None),
        *(element("p", words) for words in dict.fromkeys(words for _, words in rows)),
        *_cord(cite, move, alone=not rows),
        *(part for pair in _pairs(changes) for part in _frames(cite, pair)),
        class_=tone,
    )


def _judged(changes: list[Change]) -> tuple[str, str]:
    """Return what is to be said of all changes at one place, the worst of them."""
    if any(row.needed and not row.expected and row.kind is not Kind.REPAIRED for row in changes):
        return "needed", "bad"
    if not changes:
        return "the same by another port", "mild"
    if all(row.expected for row in changes):
        return "expected", "good"
    return ("repaired", "good") if any(row.kind is Kind.REPAIRED for row in changes) else ("other frames", "mild")


def _cord(cite: Cited, move: Move | None, *, alone: bool) -> Iterator[Element]:
    """Yield from where to where a cord was moved, and the way of one of its frames where nothing else shows it."""
    if move is None:
        return
    yield element("p", "its cord: was in ", whole(move.before), ", is in ", whole(move.after))
    if alone and move.sample is not None and move.was is not None and move.now is not None:
        end = move.sample.receiver.name
        yield ways(cite, of_course(move.now, move.anchor.name, end), of_course(move.was, move.anchor.name, end))


def _pairs(changes: list[Change]) -> Iterator[tuple[Change, Change]]:
    """Yield changes, each as what tells of before and what tells of now: lost and gained of one frame are a pair."""
    left = list(changes)
    while left:
        row = left.pop(0)
        other = next((one for one in left if one.frame == row.frame and _turned(row, one)), None)
        if other is not None:
            left.remove(other)
            yield (row, other) if row.kind is Kind.LOST else (other, row)
        else:
            yield row, row


def _turned(row: Change, other: Change) -> bool:
    """Tell whether one is of frames that its anchor sends and that no longer reach some, and now reach others."""
    kinds = {row.kind, other.kind}
    sent = all(one.sample is not None and one.sample.sender == row.anchor for one in (row, other))
    return sent and Kind.LOST in kinds and bool(kinds & {*_GAINS}) and row.expected == other.expected


def _frames(cite: Cited, pair: tuple[Change, Change]) -> Iterator[Element]:
    """Yield what changed for some frames: their heading, and one of them before over after."""
    old, new = pair
    several = [old] if old is new else [old, new]
    kinds = " and ".join(one.kind.value for one in several)
    expected = mark("expected", "good") if all(one.expected for one in several) else None
    yield element("h4", element("code", old.frame), f": {kinds} ", expected)
    before, after = _row(old, old.was, old.before), _row(new, new.now, new.after)
    # what did not get through before is no fault of now
    yield ways(cite, after, replace(before, tone="mild") if before.fate else before)


def _row(change: Change, course: Course | None, words: str) -> Row:
    says = "" if words in _EMPTY else words
    if course is None or change.sample is None:
        return Row("not there", "mild", says=says or "it was not there to be followed")
    return of_course(course, change.sample.sender.name, change.sample.receiver.name, says)
