"""Cords in, the order in which they are worked out: the same for every sheet that goes by it."""

from __future__ import annotations

from collections.abc import Iterable
from typing import assert_never

from vlancheck.moves.worksheets.cords import CordRow, Role
from vlancheck.moves.worksheets.scene import Scene
from vlancheck.places import natural, split_place

HELD = "HOLD, ask the owner: not in the run"


def removal(scene: Scene, rows: Iterable[CordRow]) -> tuple[CordRow, ...]:
    """Return cords as they come out: desks by panel, servers, uplinks from the far end, routers, the handoff last.

    Held cords follow apart (common practice, no source).
    """
    far = max(scene.distance.values(), default=0) + 1

    def rank(row: CordRow) -> tuple[object, ...]:
        away = max((scene.distance.get(split_place(place)[0], far) for place in row.places), default=far)
        by_panel = row.role is Role.DESK
        return (
            bool(row.hold),
            row.role,
            natural(row.panel) if by_panel else (),
            0 if by_panel else -away,
            natural(row.key),
        )

    return tuple(sorted(rows, key=rank))


def part(row: CordRow) -> str:
    """Return the heading under which a cord comes out."""
    if row.hold:
        return HELD
    match row.role:
        case Role.DESK:
            return f"Desks, {row.panel}" if row.panel else "Desks, at the box"
        case Role.SERVER:
            return "Servers and phone systems"
        case Role.UPLINK:
            return "Uplinks, from the far end inward"
        case Role.ROUTER:
            return "Routers and firewalls"
        case Role.HANDOFF:
            return "The handoff, last"
        case Role.POWER:
            return "Power cords: only by whoever is licensed for it"
        case Role.FIXED:
            return "Cabling of the building: it stays"
        case _:
            assert_never(row.role)


def by_panel(rows: Iterable[CordRow]) -> tuple[CordRow, ...]:
    """Return cords by panel and port, those between boxes after them, by box and port."""
    return tuple(sorted(rows, key=lambda row: (not row.panel, natural(row.panel), natural(row.key))))


def at(row: CordRow) -> str:
    """Return the panel, or the box, at which a cord is worked."""
    return row.panel or split_place(row.key)[0]
