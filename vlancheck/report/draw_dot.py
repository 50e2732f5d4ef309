"""A drawing in, a graph in the DOT language out: boxes with a row for every port, and lines between the rows."""

from __future__ import annotations

from collections.abc import Iterator
from html import escape

from vlancheck.drawing.picture import Box, Line, Picture, Socket, Sort, Standing
from vlancheck.drawing.ranks import ranks
from vlancheck.drawing.texts import FONT, clean
from vlancheck.picturing import Drawing

_END = '<BR ALIGN="LEFT"/>'  # of a line of a label


def text(drawing: Drawing) -> str:
    """Return the graph; names stand in labels alone, where nothing of them is markup."""
    return "\n".join(_lines(drawing.picture)) + "\n"


def _lines(picture: Picture) -> Iterator[str]:
    _, turned = ranks(picture)
    font = FONT.split(",")[0]
    yield "graph closet {"
    yield "  rankdir=LR; ranksep=0.9; nodesep=0.25; labelloc=t; labeljust=l;"
    yield f'  fontname="{font}"; fontsize=13;'
    yield f'  node [shape=plain, fontname="{font}", fontsize=9]; edge [fontname="{font}", fontsize=9, color="#666666"];'
    yield f"  label=<{''.join(_safe(words) + _END for words in _title(picture))}>;"
    names = {box.key: f"b{number}" for number, box in enumerate(picture.boxes, 1)}
    ports: dict[str, tuple[str, str]] = {}
    for box in picture.boxes:
        for number, socket in enumerate(box.sockets, 1):
            ports[socket.key] = names[box.key], f"p{number}"
        yield f"  {names[box.key]} [label=<{_table(picture, box)}>];"
    at = {socket.key: box.key for box in picture.boxes for socket in box.sockets}
    for line in picture.lines:
        left, right = line.one, line.other
        if line.key in turned and at[left] != turned[line.key][0]:
            left, right = right, left
        one, other = (":".join(ports[end]) for end in (left, right))
        sides = (":e", ":w") if line.key in turned else (":e", ":e")
        yield f"  {one}{sides[0]} -- {other}{sides[1]}{_style(picture, line)};"
    yield "}"


def _title(picture: Picture) -> list[str]:
    names = f"from {picture.before} to {picture.survey}" if picture.before else picture.survey
    told = [f"{picture.title} – {names}"]
    if picture.ink:
        told += [f"{picture.ink.name}: {picture.ink.words}", "thick: carries it; dashed: unproven"]
    elif picture.before:
        told.append(f"dashed: {picture.before} alone; thick: {picture.survey} alone")
    return told


def _table(picture: Picture, box: Box) -> str:
    """Return a box as a table: its name, and a row for each of its ports."""
    fill = ' BGCOLOR="#f1f1f1"' if box.sort is Sort.PANEL else ""
    style = ' STYLE="dashed"' if box.standing is Standing.BEFORE or box.sort is Sort.CARRIER else ""
    head = f'<TR><TD COLSPAN="2" ALIGN="LEFT"><B>{_safe(box.name)}</B>{_END}{_safe(box.words)}</TD></TR>'
    rows = "".join(_row(picture, socket, f"p{number}") for number, socket in enumerate(box.sockets, 1))
    return f'<TABLE BORDER="1" CELLBORDER="0" CELLSPACING="0" CELLPADDING="1"{fill}{style}>{head}{rows}</TABLE>'


def _row(picture: Picture, socket: Socket, port: str) -> str:
    words = [", ".join(socket.labels), socket.note]
    ink, fill = picture.ink, ""
    if ink:
        words += [str(mark.sort) for mark in ink.marks if mark.key == socket.key]
        if (sure := ink.sockets.get(socket.key)) is not None:
            fill = ' BGCOLOR="#dfe8f8"' if sure else ""
            words += [] if sure else ["unproven"]
    if picture.before and socket.standing is not Standing.KEPT:
        words.append(f"{picture.before if socket.standing is Standing.BEFORE else picture.survey} alone")
    told = _safe("; ".join(dict.fromkeys(word for word in words if word)))
    # One cell holds the port, so that a line may meet its row at either side.
    cells = f'<TD ALIGN="LEFT" PORT="{port}" COLSPAN="2"{fill}><B>{_safe(socket.name)}</B>  {told}</TD>'
    return f"<TR>{cells}</TR>"


def _style(picture: Picture, line: Line) -> str:
    told = [f"{line.cords} cords"] if line.cords > 1 else []
    words: list[str] = []
    if picture.ink and (sure := picture.ink.lines.get(line.key)) is not None:
        words = ['color="#0a2f73"', "penwidth=2.6"] if sure else ['color="#0a2f73"', "penwidth=2.2", "style=dashed"]
    elif line.standing is Standing.BEFORE:
        words = ['color="#111111"', "penwidth=1.6", "style=dashed"]
    elif line.standing is Standing.AFTER:
        words = ['color="#0a2f73"', "penwidth=2.4"]
    elif line.cords > 1:
        words = ["penwidth=2"]
    words += [f'label="{told[0]}"'] if told else []
    return f" [{', '.join(words)}]" if words else ""


def _safe(words: str) -> str:
    """Return words as text of a label; a label must not be empty."""
    return escape(clean(words)) or " "
