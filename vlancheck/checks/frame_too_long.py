"""A full-size frame of a declared service is too long for a port on its way, or for what the carrier carries.

What it finds
    A port on the way of a service that is set to a largest frame below what the service needs there: 1500 octets, 18
    of header and FCS, and 4 for every tag that a copy wears on that cord; and an order with a `max-frame` below it.
    Where the number could count the frame or only what is in it, it is said what would decide.

Why it matters
    A ping works, a login works, and a file copy hangs. Every switch on the way shows green.

Example
    bridge sw1 exists=1,340
    port sw1:1 member=340
    port sw1:2 pvid=340 member=340 untagged=340 tpids=none
    handoff sw1:1
    ordered sw1:1 circuit=EX-0001 carrier=metro max-frame=1522
    service tunnel 340 at sw1:1 -> sw1:2 untagged
    inner tunnel 100
    => E107 sw1:1

Instead
    bridge sw1 exists=1,340
    port sw1:1 member=340
    port sw1:2 pvid=340 member=340 untagged=340 tpids=none
    handoff sw1:1
    ordered sw1:1 circuit=EX-0001 carrier=metro max-frame=1526
    service tunnel 340 at sw1:1 -> sw1:2 untagged
    inner tunnel 100
    => clean

When it is intended
    When everything that uses the service is set to send shorter packets.

Reference
    IEEE Std 802.3-2022, 3.2.7 (1500 octets of data, 18 of addresses, type and FCS), from memory, and IEEE Std
    802.1Q-2022, 9.3 (4 octets a tag). MEF 10.4, 9.8. Metro Ethernet 3400 software configuration guide, 78-17058-01,
    p. 13-5 (set to 1500 a switch takes one tag; with another one every switch needs 1504).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from vlancheck.dot1q.properties import Property
from vlancheck.evidence import Origins, join
from vlancheck.findings.carrier import entered
from vlancheck.findings.case import Case
from vlancheck.findings.finding import Finding, Severity, Where, evidence
from vlancheck.findings.settings import lines, word
from vlancheck.verdicts.arriving import lowest
from vlancheck.verdicts.orders import Order, OrderKind

CODE = "E107"
NAME = "A frame is too long for its way"
_DATA, _HEADER, _TAG = 1500, 18, 4  # octets: data, addresses with type and FCS, one tag


@dataclass(frozen=True, slots=True)
class _Need:
    """The longest frame on one cord."""

    tags: int  # that a copy wears there
    order: Order  # of which it is

    @property
    def octets(self) -> int:
        return _DATA + _HEADER + _TAG * self.tags


def find(case: Case) -> Iterator[Finding]:
    """Yield one finding for every port, and every order, that is too short for a service."""
    for place, need in _needs(case).items():
        yield from _port(case, place, need)
    for place, need in _entering(case).items():
        yield from _ordered(case, place, need)


def _needs(case: Case) -> dict[str, _Need]:
    """Return the longest frame of any service at each port on its way."""
    found: dict[str, _Need] = {}
    for verdict in case.verdicts:
        order = verdict.order
        ways = {hop.port for ending in verdict.endings for hop in ending.path}
        for stop in order.enters if order.kind is OrderKind.SERVICE else ():
            at = case.ground.judged_at(stop.place) if stop.place else ""
            for batch in order.batches if at else ():
                for place, tags in case.ground.reasons.walk(at, lowest(batch, batch.value)).most_tags.items():
                    if place in ways and (place not in found or found[place].tags < tags):
                        found[place] = _Need(tags, order)
    return found


def _entering(case: Case) -> dict[str, _Need]:
    found: dict[str, _Need] = {}
    for order in case.orders:
        for stop in order.enters:
            at = entered(case, stop.place)
            for batch in order.batches:
                if at not in found or found[at].tags < len(batch.shape):
                    found[at] = _Need(len(batch.shape), order)
    return found


def _port(case: Case, place: str, need: _Need) -> Iterator[Finding]:
    if case.network.only_ends(place):
        return
    for member in _members(case, place):
        said = word(case.port(member), Property.MAX_FRAME)
        if not said.isascii() or not said.isdecimal():
            continue
        size = int(said)
        # Below a whole untagged frame the number counts data alone; then one tag is room that it leaves.
        data = size < _DATA + _HEADER
        if size >= need.octets or (data and size + _HEADER + _TAG >= need.octets):
            continue
        settle = "" if data else f"whether {said} at {member} counts the whole frame, in the manual of the device"
        yield _finding(member, need, f"is set to {said}", lines(case.port(member), Property.MAX_FRAME), settle)


def _ordered(case: Case, place: str, need: _Need) -> Iterator[Finding]:
    sizes = [one for one in case.ordered.get(place, ()) if one.max_frame is not None]
    for order in sizes:
        if order.max_frame is not None and order.max_frame < need.octets:
            words = f"is ordered with {order.max_frame} at most ({order.called})"
            yield _finding(place, need, words, order.said["max-frame"].origins, "")


def _finding(place: str, need: _Need, words: str, origins: Origins, settle: str) -> Finding:
    tags = f"{need.tags} tag{'' if need.tags == 1 else 's'}" if need.tags else "no tag"
    where: tuple[Where, ...] = evidence(place, origins, words, True)
    return Finding(
        code=CODE,
        name=NAME,
        severity=Severity.NOTE if settle else Severity.WARNING,
        headline=f"a full-size frame of {need.order.name} has {need.octets} octets at {place} ({tags}), which {words}",
        why="short packets pass, and full-size ones are lost",
        where=(*where, *evidence(place, join(need.order.origins), "the service")),
        at=frozenset({place}),
        settled_by=settle,
        cause=False,
    )


def _members(case: Case, place: str) -> list[str]:
    """Return the ports behind a place: itself, and those that a bundle stands for."""
    return [place, *(one for one, bundle in case.network.stands_for.items() if bundle == place and one != place)]
