"""A drawing in, a Mermaid flow chart out: a node for every box, an edge for every line, for pages written in Markdown.

Readers of the language stop at 500 edges and 50,000 characters: above that, the lines between two boxes are one edge.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from vlancheck.drawing.picture import Line, Picture, Sort, Standing
from vlancheck.drawing.ranks import ranks
from vlancheck.drawing.texts import clean
from vlancheck.picturing import Drawing

_EDGES, _LETTERS = 500, 50_000
_OTHER = re.compile(r"[^A-Za-z0-9 ,/:.–-]|[.-](?![A-Za-z0-9])")  # a full stop or a stroke before a blank makes a list


def text(drawing: Drawing) -> str:
    """Return the chart."""
    picture = drawing.picture
    made = "\n".join(_lines(picture, [[line] for line in picture.lines])) + "\n"
    if len(picture.lines) <= _EDGES and len(made) <= _LETTERS:
        return made
    at = {socket.key: box.key for box in picture.boxes for socket in box.sockets}
    groups: dict[tuple[object, ...], list[Line]] = {}
    for line in picture.lines:
        sure = picture.ink.lines.get(line.key) if picture.ink else None
        groups.setdefault((*sorted((at[line.one], at[line.other])), line.standing, sure), []).append(line)
    return "\n".join(_lines(picture, list(groups.values()))) + "\n"


def _lines(picture: Picture, groups: list[list[Line]]) -> Iterator[str]:
    _, turned = ranks(picture)
    names = {box.key: f"b{number}" for number, box in enumerate(picture.boxes, 1)}
    at = {socket.key: (box.key, socket.name) for box in picture.boxes for socket in box.sockets}
    yield "flowchart LR"
    for words in _title(picture):
        yield f"  %% {_safe(words)}"
    if len(groups) < len(picture.lines):
        yield f"  %% {len(picture.lines)} lines, those between two boxes drawn as one"
    for box in picture.boxes:
        told = [box.name, box.words, *_marks(picture, {socket.key: socket.whole for socket in box.sockets})]
        edges = ("[[", "]]") if box.sort is Sort.PANEL else ("([", "])") if box.sort is Sort.CARRIER else ("[", "]")
        words = "<br/>".join(map(_safe, told))
        yield f'  {names[box.key]}{edges[0]}"{words}"{edges[1]}'
    styles = []
    for number, group in enumerate(groups):
        line = group[0]
        left, right = line.one, line.other
        if line.key in turned and at[left][0] != turned[line.key][0]:
            left, right = right, left
        label = f"{at[left][1]} – {at[right][1]}" if len(group) == 1 else f"{len(group)} lines"
        told = [label, *(_words(picture, line))]
        if len(group) == 1 and line.cords > 1:
            told.append(f"{line.cords} cords")
        words = _safe(", ".join(told))
        yield f'  {names[at[left][0]]} {_arrow(picture, line)}|"{words}"| {names[at[right][0]]}'
        if picture.ink and line.key in picture.ink.lines:
            styles.append(str(number))
    if styles:
        yield f"  linkStyle {','.join(styles)} stroke:#0a2f73,stroke-width:3px"


def _title(picture: Picture) -> list[str]:
    names = f"from {picture.before} to {picture.survey}" if picture.before else picture.survey
    told = [f"{picture.title} – {names}"]
    if picture.ink:
        told.append(f"{picture.ink.name}: {picture.ink.words}")
    return told


def _marks(picture: Picture, sockets: dict[str, str]) -> list[str]:
    marks = picture.ink.marks if picture.ink else ()
    return list(dict.fromkeys(f"{sockets[mark.key]}: {mark.sort}" for mark in marks if mark.key in sockets))


def _words(picture: Picture, line: Line) -> list[str]:
    """Return what is to be said of a line besides its ends."""
    if picture.ink:
        sure = picture.ink.lines.get(line.key)
        return [] if sure is None else ["carries it" if sure else "unproven"]
    if line.standing is Standing.KEPT:
        return []
    return [f"{picture.before if line.standing is Standing.BEFORE else picture.survey} alone"]


def _arrow(picture: Picture, line: Line) -> str:
    if picture.ink:
        sure = picture.ink.lines.get(line.key)
        return "---" if sure is None else "===" if sure else "-.-"
    return {Standing.KEPT: "---", Standing.BEFORE: "-.-", Standing.AFTER: "==="}[line.standing]


def _safe(words: str) -> str:
    """Return words of which no character means anything: all but letters, digits and a few signs stand as numbers."""
    return _OTHER.sub(lambda one: f"#{ord(one[0])};", clean(words))
