"""A drawing in, GraphML out: nodes for boxes and ports with their places on paper, edges for lines, for graph tools."""

from __future__ import annotations

import networkx as nx

from vlancheck.drawing.texts import clean
from vlancheck.picturing import Drawing


def text(drawing: Drawing) -> str:
    """Return the graph; what a port belongs to is an attribute of it and an edge."""
    picture, layout = drawing.picture, drawing.layout
    graph: nx.Graph[str] = nx.Graph(
        name=clean(picture.title), survey=clean(picture.survey), before=clean(picture.before)
    )
    ids: dict[str, str] = {}
    ink = picture.ink
    if ink:
        graph.graph |= {"ink": clean(ink.name), "answer": clean(ink.words)}
    for number, frame in enumerate(layout.frames, 1):
        box, name = frame.box, f"b{number}"
        graph.add_node(
            name, sort=str(box.sort), name=clean(box.name), words=clean(box.words), standing=str(box.standing),
            x=frame.x, y=frame.y,
        )  # fmt: skip
        for count, row in enumerate(frame.rows, 1):
            socket = row.socket
            ids[socket.key] = f"{name}p{count}"
            marks = "; ".join(str(mark.sort) for mark in ink.marks if mark.key == socket.key) if ink else ""
            graph.add_node(
                ids[socket.key], sort="port", name=clean(socket.whole), words=clean(socket.note),
                standing=str(socket.standing), box=clean(box.name), x=frame.x, y=row.y, marks=clean(marks),
                carries=_sure(ink.sockets.get(socket.key)) if ink else "",
            )  # fmt: skip
            graph.add_edge(name, ids[socket.key], sort="port of")
    for line in picture.lines:
        graph.add_edge(
            ids[line.one], ids[line.other], sort="bundle" if line.cords > 1 else "cord", cords=line.cords,
            labels=clean(", ".join(line.labels)), via=clean(", ".join(line.via)), standing=str(line.standing),
            carries=_sure(ink.lines.get(line.key)) if ink else "",
        )  # fmt: skip
    return '<?xml version="1.0" encoding="UTF-8"?>\n' + "\n".join(nx.generate_graphml(graph)) + "\n"


def _sure(sure: bool | None) -> str:
    return "no" if sure is None else "yes" if sure else "unproven"
