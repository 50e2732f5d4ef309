"""Strands in, chains out: cords followed through panels and jacks to the two sockets they join."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from vlancheck.evidence import Origins, join
from vlancheck.site.ends import EndSort, Side
from vlancheck.site.strands import Node, Strand

_ACROSS = {Side.SWITCH: Side.JACK, Side.JACK: Side.SWITCH}


@dataclass(frozen=True, slots=True)
class Chain:
    """Cords one behind the other, from one socket to another."""

    ends: tuple[Node, Node]  # a device's port, a thing, or a panel port or jack whose other side is open
    strands: tuple[Strand, ...]  # in order from the first end
    sockets: tuple[Node, ...]  # every socket that a cord goes into, in order

    @property
    def ports(self) -> tuple[str, ...]:
        """Return the `DEVICE:PORT` at its ends: two, one or none."""
        return tuple(end.name for end in self.ends if end.sort is EndSort.PORT)

    @property
    def passed(self) -> tuple[str, ...]:
        """Return its panel ports and jacks in order, the one it ends at included."""
        return tuple(dict.fromkeys(node.name for node in self.sockets if node.sort in (EndSort.PANEL, EndSort.JACK)))

    @property
    def labels(self) -> tuple[str, ...]:
        """Return the labels of its cords in order."""
        return tuple(strand.label for strand in self.strands if strand.label)

    @property
    def origins(self) -> Origins:
        """Return the rows and lines that state its cords."""
        return join(*(strand.origins for strand in self.strands))

    def outermost(self, port: str) -> str:
        """Return the panel port or jack that is farthest from `port`, which is at one of its ends; "" when none is."""
        passed = self.passed
        return "" if not passed else passed[-1] if self.ends[0].name == port else passed[0]

    def field_end(self) -> Node | None:
        """Return the end that is no device's port where the other one is; None where both or none are."""
        return next((end for end in self.ends if end.sort is not EndSort.PORT), None) if len(self.ports) == 1 else None


def chains(strands: Iterable[Strand], broken: frozenset[Node] | set[Node]) -> tuple[Chain, ...]:
    """Return the chains, in the order of their first strands; a strand at a `broken` socket belongs to none."""
    sound = [strand for strand in strands if not broken.intersection(strand.nodes)]
    at = {node: strand for strand in sound for node in strand.nodes if node.sort is not EndSort.THING}
    done: set[int] = set()
    made = []
    for strand in sound:
        if id(strand) in done:
            continue
        done.add(id(strand))
        left, right = list(_onward(strand.one, at, done)), list(_onward(strand.other, at, done))
        sockets = [socket for _, near, far in reversed(left) for socket in (far, near)]
        sockets += [strand.one, strand.other, *(socket for _, near, far in right for socket in (near, far))]
        strung = (*(one for one, *_ in reversed(left)), strand, *(one for one, *_ in right))
        made.append(Chain((_end(sockets[0]), _end(sockets[-1])), strung, tuple(sockets)))
    return tuple(made)


def _onward(node: Node, at: dict[Node, Strand], done: set[int]) -> Iterator[tuple[Strand, Node, Node]]:
    """Yield each strand beyond `node` with its near and its far socket."""
    while node.side in _ACROSS:
        near = node._replace(side=_ACROSS[node.side])
        strand = at.get(near)
        if strand is None or id(strand) in done:
            return
        done.add(id(strand))
        node = strand.other if strand.one == near else strand.one
        yield strand, near, node


def _end(node: Node) -> Node:
    """Return where a chain ends: at the open side of a panel port or jack, else at the socket itself."""
    return node._replace(side=_ACROSS[node.side]) if node.side in _ACROSS else node
