"""A survey in, the boxes of its patch sheet out that nobody captured or declared, with their cords."""

from __future__ import annotations

from vlancheck.findings.case import Case
from vlancheck.places import split_place
from vlancheck.site.cordkinds import NO_FRAMES, cord_kind
from vlancheck.site.pieces import Piece, is_power


def uncaptured(case: Case) -> dict[str, list[Piece]]:
    """Return the cords for frames of each box that is only in the sheet, the box with the most first."""
    found: dict[str, list[Piece]] = {name: [] for name in case.absent}
    for piece in case.pieces:
        boxes = {split_place(socket)[0] for socket in piece.sockets} if piece.is_cord else set()
        for name in boxes & found.keys() if cord_kind(piece.kind) not in NO_FRAMES else ():
            found[name].append(piece)
    return dict(sorted(found.items(), key=lambda one: (-len(one[1]), one[0])))


def without_power(case: Case) -> dict[str, list[Piece]]:
    """Return those of them that lie between two other boxes and have no power cord, where the sheet has power cords."""
    powered = {socket.partition(":")[0].casefold() for one in case.pieces if is_power(one) for socket in one.sockets}
    if not powered:
        return {}
    return {
        name: cords
        for name, cords in uncaptured(case).items()
        if len(cords) == 2 and name.casefold() not in powered and all(case.port(far_end(one, name)) for one in cords)
    }


def far_end(cord: Piece, box: str) -> str:
    """Return the socket at the other end of a box's cord."""
    return next((socket for socket in cord.sockets if split_place(socket)[0] != box), cord.sockets[-1])
