"""Rows and chains of one survey in, what the sheet says of each cord and socket out, by the names they have there."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from vlancheck.evidence import Origins
from vlancheck.site.chains import Chain
from vlancheck.site.cordkinds import CordKind, cord_kind
from vlancheck.site.ends import End
from vlancheck.site.sheet import LooseRow, SheetCord
from vlancheck.site.strands import Node


@dataclass(frozen=True, slots=True)
class Piece:
    """One cord of a sheet, or a row that names a socket and no cord."""

    sockets: tuple[str, ...]  # DEVICE:PORT, panel port, jack or thing; two of a cord, in the order of the row
    label: str = ""  # on the cord
    kind: str = ""  # as written
    serves: str = ""  # what hangs at its end
    note: str = ""  # remarks
    jack: str = ""  # outlet behind its panel port
    origins: Origins = ()  # the row

    @property
    def is_cord(self) -> bool:
        """Tell whether it is a cord."""
        return len(self.sockets) > 1

    @property
    def words(self) -> str:
        """Return everything that people wrote about it."""
        return " ".join((self.label, self.kind, self.serves, self.note))


Run = tuple[Piece, ...]  # cords one behind the other


def pieces(
    rows: Iterable[SheetCord | LooseRow], power: Iterable[SheetCord], node: Callable[[End], Node | None]
) -> tuple[Piece, ...]:
    """Return every row as a piece; sockets of power cords are called as they are written."""
    made = [_piece(row, tuple(_name(end, node(end)) for end in row.ends)) for row in rows]
    made += [_piece(row, tuple(end.name for end in row.ends)) for row in power]
    return tuple(made)


def runs(chains: Iterable[Chain]) -> tuple[Run, ...]:
    """Return the cords of each chain in their order; of one that two rows state, what the first says of it."""
    return tuple(
        tuple(
            _piece(strand.cords[0], tuple(node.name for node in strand.nodes))
            if strand.cords
            else Piece(tuple(node.name for node in strand.nodes), strand.label, origins=strand.origins)
            for strand in chain.strands
        )
        for chain in chains
    )


def is_power(piece: Piece) -> bool:
    """Tell whether a piece is a power cord."""
    return cord_kind(piece.kind) is CordKind.POWER


def _piece(row: SheetCord | LooseRow, sockets: tuple[str, ...]) -> Piece:
    label, kind = (row.label, row.kind) if isinstance(row, SheetCord) else ("", "")
    return Piece(sockets, label, kind, row.serves, row.note, row.jack, row.origins)


def _name(end: End, node: Node | None) -> str:
    return node.name if node is not None else end.name
