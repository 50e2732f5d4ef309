"""Rows of a sheet in, alarm diallers that stand in series with a telephone line out: their ways in and their ways out.

The socket of such a dialler (RJ31X, RJ38X) puts it before all telephones: the line comes in, and goes on from there.
"""

from __future__ import annotations

import re
from collections.abc import Iterable

from vlancheck.site.pieces import Piece

IN, OUT = "line in", "line out"
# Common practice, no source.
WORDS = {
    IN: "line in|in|incoming|from line|from exchange|telco",
    OUT: "line out|out|outgoing|to phones|to house|to telephones",
}
_SERIES = re.compile(r"(?<![a-z0-9])rj-?3[18]x?(?![a-z0-9])", re.IGNORECASE)
_WAY = {
    way: re.compile(rf"(?<![a-z])(?:{'|'.join(map(re.escape, words.split('|')))})(?![a-z])", re.IGNORECASE)
    for way, words in WORDS.items()
}


def in_series(pieces: Iterable[Piece]) -> dict[str, dict[str, list[Piece]]]:
    """Return the rows of each dialler in series, by its name and by their way; those that say no way are left out."""
    found: dict[str, dict[str, list[Piece]]] = {}
    for piece in pieces:
        if _SERIES.search(" ".join((*piece.sockets, piece.words))) is None:
            continue
        name, way = _named(piece), _way(piece)
        if way:
            found.setdefault(name, {}).setdefault(way, []).append(piece)
    return found


def _way(piece: Piece) -> str:
    """Return which way a row is; "" where it says none, or both."""
    ports = [name.rpartition(":")[2] for name in piece.sockets]
    for text in (piece.label, piece.kind, piece.serves, *ports, piece.note):
        told = [way for way, words in _WAY.items() if words.search(text)]
        if len(told) == 1:
            return told[0]
    return ""


def _named(piece: Piece) -> str:
    """Return the dialler that a row is about: its box, else what the row serves, without the words for the way."""
    for socket in piece.sockets:
        box, _, port = socket.rpartition(":")
        if box and (_SERIES.search(socket) or any(words.search(port) for words in _WAY.values())):
            return box.casefold()
    text = piece.serves or piece.kind
    for words in (*_WAY.values(), _SERIES):
        text = words.sub(" ", text)
    return " ".join(re.findall(r"[a-z0-9]+", text.casefold()))
