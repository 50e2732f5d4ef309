"""Pictures of several surveys in, one with everything that is in any of them out, and what changed between two."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import replace

from vlancheck.drawing.gathering import by_ends
from vlancheck.drawing.picture import Box, Line, Picture, Socket, Standing
from vlancheck.places import natural


def united(pictures: Sequence[Picture]) -> Picture:
    """Return a picture of all boxes, rows and lines; what several have is as the last has it."""
    boxes: dict[str, Box] = {}
    lines: dict[tuple[str, str], Line] = {}
    roots: dict[str, None] = {}
    for picture in pictures:
        roots |= dict.fromkeys(picture.roots)
        lines |= {line.key: line for line in picture.lines}
        for box in picture.boxes:
            known = boxes.get(box.key)
            rows = {row.key: row for row in (*(known.sockets if known else ()), *box.sockets)}
            ordered = sorted(rows.values(), key=lambda row: natural(row.key))
            boxes[box.key] = replace(box, sockets=tuple(ordered), idle=max(box.idle, known.idle if known else 0))
    made = sorted(boxes.values(), key=lambda box: natural(box.key))
    ordered_lines = tuple(lines[key] for key in sorted(lines, key=by_ends))
    return replace(pictures[-1], boxes=tuple(made), lines=ordered_lines, roots=tuple(roots))


def compared(before: Picture, after: Picture) -> Picture:
    """Return both surveys in one picture: what is in one of them alone says so."""
    after = _renumbered(before, after)
    whole = united((before, after))
    was = {box.key: box for box in before.boxes}
    now = {box.key: box for box in after.boxes}
    boxes = []
    for box in whole.boxes:
        old, new = was.get(box.key), now.get(box.key)
        rows = tuple(_row(row, _rows(old), _rows(new)) for row in box.sockets)
        words = box.words
        if old and new and old.name != new.name:
            words = f"{words}, was {old.name}"
        standing = Standing.KEPT if old and new else Standing.AFTER if new else Standing.BEFORE
        boxes.append(replace(box, sockets=rows, words=words, standing=standing, idle=new.idle if new else box.idle))
    earlier, later = ({line.key for line in picture.lines} for picture in (before, after))
    lines = tuple(replace(line, standing=_standing(line.key in earlier, line.key in later)) for line in whole.lines)
    made = replace(whole, before=before.survey, boxes=tuple(boxes), lines=lines)
    return replace(made, changes=tuple(_told(made, was, now)))


def _renumbered(before: Picture, after: Picture) -> Picture:
    """Return the later picture with the ports of replaced boxes as they were called, where a cord shows which is which.

    It does where it leads to the same socket as before from the port with the same number at its end.
    """
    was = {box.key: box for box in before.boxes}
    at = {row.key: (box, row) for box in after.boxes for row in box.sockets}
    old = {row.key: row for box in before.boxes for row in box.sockets}
    known = {frozenset(line.key) for line in before.lines}
    earlier: dict[str, str] = {}  # key of now -> key of then
    for line in after.lines:
        for key, far in (line.key, line.key[::-1]):
            box, row = at[key]
            if key in old or box.key not in was or was[box.key].name == box.name:
                continue
            like = [then.key for then in was[box.key].sockets if _number(then.name) == _number(row.name)]
            found = [then for then in like if frozenset((then, far)) in known]
            if len(found) == 1 and found[0] not in earlier.values():
                earlier[key] = found[0]

    def called(row: Socket) -> Socket:
        return _called_so(row, old[earlier[row.key]]) if row.key in earlier else row

    boxes = tuple(replace(box, sockets=tuple(map(called, box.sockets))) for box in after.boxes)
    ends = ((line, earlier.get(line.one, line.one), earlier.get(line.other, line.other)) for line in after.lines)
    return replace(after, boxes=boxes, lines=tuple(replace(line, one=one, other=other) for line, one, other in ends))


def _called_so(row: Socket, then: Socket) -> Socket:
    return replace(row, key=then.key, note=", ".join(part for part in (row.note, f"was {then.name}") if part))


def _number(name: str) -> str:
    """Return the number at the end of a port's name."""
    found = re.search(r"\d+$", name)
    return str(int(found[0])) if found else ""


def _rows(box: Box | None) -> dict[str, Socket]:
    return {row.key: row for row in box.sockets} if box else {}


def _row(row: Socket, was: dict[str, Socket], now: dict[str, Socket]) -> Socket:
    labels = dict.fromkeys((*(now[row.key].labels if row.key in now else ()), *_labels(was.get(row.key))))
    return replace(row, labels=tuple(labels), standing=_standing(row.key in was, row.key in now))


def _labels(row: Socket | None) -> tuple[str, ...]:
    return row.labels if row else ()


def _standing(before: bool, after: bool) -> Standing:
    return Standing.KEPT if before and after else Standing.AFTER if after else Standing.BEFORE


def _told(picture: Picture, was: dict[str, Box], now: dict[str, Box]) -> Iterator[str]:
    """Yield a sentence for each box that is new, gone or renamed, and for each cord."""
    for box in picture.boxes:
        old, new = was.get(box.key), now.get(box.key)
        if old and new and old.name != new.name:
            yield f"{old.name} is called {new.name}"
        elif not old or not new:
            yield f"{box.name} is {'new' if new else 'gone'}"
    names = {row.key: row.whole for box in picture.boxes for row in box.sockets}
    gone = [line for line in picture.lines if line.standing is Standing.BEFORE]
    new_ones = [line for line in picture.lines if line.standing is Standing.AFTER]
    for line in gone:
        later = next((one for one in new_ones if _same_cord(line, one)), None)
        words = f"{names[line.one]} – {names[line.other]}"
        called = f"cord {line.labels[0]}" if line.labels else "cord"
        if later is None:
            yield f"{called} {words} is gone"
            continue
        new_ones.remove(later)
        yield f"{called} was {words}, is {names[later.one]} – {names[later.other]}"
    for line in new_ones:
        called = f"cord {line.labels[0]}" if line.labels else "cord"
        yield f"{called} {names[line.one]} – {names[line.other]} is new"


def _same_cord(old: Line, new: Line) -> bool:
    """Tell whether a cord was moved: it has its label, or where nothing is written on either, one end stayed."""
    if old.labels and new.labels:
        return bool({*old.labels} & {*new.labels})
    return bool({*old.key} & {*new.key})
