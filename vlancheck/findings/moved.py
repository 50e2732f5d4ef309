"""A survey after another in, the cords that are in another port than before out, with both ports."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from vlancheck.changes.side import same_port
from vlancheck.dot1q.model import DeviceKind, Port
from vlancheck.evidence import Origins
from vlancheck.findings.case import Case
from vlancheck.places import split_place
from vlancheck.site.endpoints import EndpointKind
from vlancheck.wiring import Link


@dataclass(frozen=True, slots=True)
class MovedCord:
    """A cord that is in another port than before."""

    name: str  # what is at its other end: a jack, an endpoint, a circuit, or a port
    before: str  # DEVICE:PORT that it was in, by its name of then
    after: str  # DEVICE:PORT that it is in
    was: Port  # the port that it was in
    now: Port  # the port that it is in
    far: str = ""  # DEVICE:PORT at its other end; "" where no box is known there
    origins: Origins = ()  # the rows that say where it is now

    @property
    def headline(self) -> str:
        """Return the move in a few words."""
        return f"{self.name} moves from {self.before} to {self.after}"


def moved_cords(case: Case) -> tuple[MovedCord, ...]:
    """Return the cords that are in another port than in the earlier survey, one for each port they are in now."""
    found = {one.after: one for one in _between_boxes(case)}
    for one in _anchored(case):
        found.setdefault(one.after, one)
    return tuple(found[place] for place in sorted(found))


def as_before(case: Case, cord: Link) -> bool:
    """Tell whether a cord joined the same two ports in the earlier survey."""
    then = case.earlier.cord_at.get(case.was(cord.one)) if case.earlier else None
    ends = {case.was(cord.one).casefold(), case.was(cord.other).casefold()}
    return then is not None and {then.one.casefold(), then.other.casefold()} == ends


def kinds_at(case: Case, place: str) -> frozenset[EndpointKind]:
    """Return what kinds of things hang at a port, as far as a sheet says."""
    endpoint = case.endpoints.get(place)
    return frozenset(endpoint.kinds) if endpoint else frozenset()


def _between_boxes(case: Case) -> Iterator[MovedCord]:
    """Yield the cords between two boxes of which one end is where it was, and the other is not."""
    if case.earlier is None:
        return
    for cord in case.cords:
        views = [
            one for far, near in ((cord.one, cord.other), (cord.other, cord.one)) for one in _at(case, cord, far, near)
        ]
        staying = [one for one in views if _same_box(case, one)]
        yield from staying or views


def _at(case: Case, cord: Link, far: str, near: str) -> Iterator[MovedCord]:
    """Yield the move of a cord from `near` as seen by its other end, when that end had its cord elsewhere."""
    assert case.earlier is not None
    then = case.earlier.cord_at.get(case.was(far))
    if then is None:
        return
    old = then.other if then.one == case.was(far) else then.one
    was, now = case.earlier.port(old), case.port(near)
    if was is not None and now is not None and not same_port(old, case.was(near)):
        yield MovedCord(far, old, near, was, now, far, cord.origins)


def _same_box(case: Case, one: MovedCord) -> bool:
    device = split_place(one.after)[0]
    stays = split_place(one.before)[0].casefold() == split_place(case.was(one.after))[0].casefold()
    return stays and case.devices[device].kind is DeviceKind.BRIDGE


def _anchored(case: Case) -> Iterator[MovedCord]:
    for move in case.comparison.moves if case.comparison else ():
        was = case.earlier.port(move.before) if case.earlier else None
        now = case.port(move.after)
        if was is not None and now is not None:
            cord = case.cord_at.get(move.after)
            far = "" if cord is None else cord.other if cord.one == move.after else cord.one
            yield MovedCord(move.anchor.name, move.before, move.after, was, now, far, move.origins)
