"""Which bridges each VID joins, for all VIDs at once: links with bitsets of VIDs in, sets of bridges out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

Link = tuple[int, int, int]  # a bridge, another, the VIDs that cross between them


@dataclass(slots=True)
class Components:
    """For every VID, the sets of bridges that it joins; those of many VIDs are found together."""

    pieces: list[dict[int, int]]  # each: bridge -> VIDs that reach it; for each VID of a piece one set of bridges
    tree: list[int]  # for each link, VIDs for which it first joined two bridges; for its others it closes a cycle

    @property
    def count(self) -> int:
        """How many sets of bridges there are, over all VIDs."""
        return sum(next(iter(piece.values())).bit_count() for piece in self.pieces)


def components(held: Sequence[int], links: Sequence[Link]) -> Components:
    """Return which bridges each VID joins; `held` says for every bridge which VIDs it has.

    The first bridge of a piece holds all its VIDs.
    """
    bridges = len(held)
    beside: list[list[tuple[int, int, int]]] = [[] for _ in range(bridges)]
    for number, (one, other, carried) in enumerate(links):
        if carried and one != other:
            beside[one].append((other, carried, number))
            beside[other].append((one, carried, number))
    tree = [0] * len(links)
    left = list(held)  # not in a piece yet
    waiting = [0] * bridges
    pieces = []
    for root in range(bridges):
        start = left[root]
        if not start:
            continue
        piece: dict[int, int] = {}
        left[root] = 0
        waiting[root] = start
        turn = [root]
        for bridge in turn:
            bits = waiting[bridge]
            waiting[bridge] = 0
            piece[bridge] = piece[bridge] | bits if bridge in piece else bits
            for other, carried, number in beside[bridge]:
                if (wanted := left[other]) and (new := bits & carried & wanted):
                    left[other] = wanted ^ new
                    tree[number] |= new
                    if old := waiting[other]:
                        waiting[other] = old | new
                    else:
                        waiting[other] = new
                        turn.append(other)
        pieces.append(piece)
    return Components(pieces, tree)


def cycles(found: Components, bridges: int, links: Sequence[Link]) -> list[int]:
    """Return, for each piece, the VIDs whose set of bridges has a cycle of links."""
    closing = [0] * bridges
    for (one, _, carried), used in zip(links, found.tree, strict=True):
        if carried != used:
            closing[one] |= carried & ~used
    rounds = []
    for piece in found.pieces:
        bits = 0
        for bridge, vids in piece.items():
            bits |= vids & closing[bridge]
        rounds.append(bits)
    return rounds
