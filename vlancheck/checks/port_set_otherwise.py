"""A cord is moved to a port that is set otherwise than the one it leaves, beside VLANs.

What it finds
    Speed, duplex, the largest frame, voice, location, filters, who must log in, limits of storms, whose priority is
    believed and what is written into DHCP requests, where the two ports of a moved cord differ in it.

Why it matters
    A port was often chosen on purpose. The same VLAN is there, and the device is slow, cannot log in, or tells the
    ambulance the wrong room.

Before
    bridge ACC-1 exists=10
    port ACC-1:1 pvid=10 member=10 untagged=10
    port ACC-1:2 pvid=10 member=10 untagged=10
    set ACC-1:1 speed=100 duplex=full
    serves ACC-1:1 door controller
    empty ACC-1:2

Example
    bridge ACC-1 exists=10
    port ACC-1:1 pvid=10 member=10 untagged=10
    port ACC-1:2 pvid=10 member=10 untagged=10
    set ACC-1:1 speed=100 duplex=full
    serves ACC-1:2 door controller
    empty ACC-1:1
    => P106 ACC-1:2

Instead
    bridge ACC-1 exists=10
    port ACC-1:1 pvid=10 member=10 untagged=10
    port ACC-1:2 pvid=10 member=10 untagged=10
    set ACC-1:2 speed=100 duplex=full
    serves ACC-1:2 door controller
    empty ACC-1:1
    => clean

When it is intended
    When the device that is moved needs none of it.

Reference
    Common practice, no source: moving between ports that are set alike is free, between others the lines move too.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from vlancheck.dot1q.model import Port
from vlancheck.dot1q.properties import Property
from vlancheck.findings.case import Case
from vlancheck.findings.finding import Finding, Severity, Where, evidence
from vlancheck.findings.moved import MovedCord, kinds_at, moved_cords
from vlancheck.findings.settings import is_on, lines, word
from vlancheck.places import split_place
from vlancheck.site.endpoints import EndpointKind

CODE = "P106"
NAME = "The new port is set otherwise"
_WARN = (
    Property.SPEED,
    Property.DUPLEX,
    Property.MAX_FRAME,
    Property.AUTHENTICATION,
    Property.VOICE,
    Property.LOCATION,
    Property.FILTER,
    Property.SOURCE_GUARD,
)
_TELL = (Property.STORM_LIMIT, Property.PRIORITY_TRUST, Property.OPTION_82)
_OF_PHONES = (Property.VOICE, Property.LOCATION)
_USUAL = {Property.MAX_FRAME: "1500"}  # octets of data that every port takes


def find(case: Case) -> Iterator[Finding]:
    """Yield one finding for each moved cord whose two ports are set otherwise."""
    for one in moved_cords(case):
        different = [which for which in (*_WARN, *_TELL) if _differs(case, one, which)]
        if different:
            yield _finding(case, one, different)


def _finding(case: Case, one: MovedCord, different: list[Property]) -> Finding:
    told = "; ".join(f"{which} was {_called(one.was, which)}, is {_called(one.now, which)}" for which in different)
    where: list[Where] = []
    for which in different:
        if which in one.now.properties:
            where += evidence(one.after, lines(one.now, which), f"{which} now", not where)
        if which in one.was.properties:
            where += evidence(one.before, lines(one.was, which), f"{which} before", not where)
    serious = [which for which in different if which in _WARN and (which not in _OF_PHONES or _phone(case, one))]
    return Finding(
        code=CODE,
        name=NAME,
        severity=Severity.WARNING if serious else Severity.NOTE,
        headline=f"{one.headline}, which is set otherwise: {told}",
        why="the lines of the old port are to move with the cord, or its device is to do without them",
        where=(*where, *evidence(one.after, one.origins, "the cord")),
        at=frozenset({one.after}),
        cause=False,
    )


def _differs(case: Case, one: MovedCord, which: Property) -> bool:
    old, new = _plain(one.was, which), _plain(one.now, which)
    if old == new or (which is Property.AUTHENTICATION and one.far):
        return False
    before = case.earlier.devices.get(split_place(one.before)[0]) if case.earlier else None
    here = case.devices[split_place(one.after)[0]]
    if before is None or before.dialect == here.dialect:
        return True
    # Two families: each counts octets and spells words in its own way, and of one nothing beside VLANs may be read.
    read = all(any(port.properties for port in box.ports.values()) for box in (before, here))
    return (
        read and which is not Property.MAX_FRAME and (which in (Property.SPEED, Property.DUPLEX) or not (old and new))
    )


def _plain(port: Port, which: Property) -> str:
    """Return what a port is set to in a form that can be compared; "" for what every port is without a line."""
    said = word(port, which).casefold() if is_on(port, which) else ""
    if which in (Property.SPEED, Property.DUPLEX):
        found = re.search(r"\d+|half|full", said)
        said = "" if "auto" in said or found is None else found[0]
    return "" if said == _USUAL.get(which) else said


def _called(port: Port, which: Property) -> str:
    return word(port, which) or "not set"


def _phone(case: Case, one: MovedCord) -> bool:
    kinds = kinds_at(case, one.after)
    return not kinds or bool(kinds & {EndpointKind.PHONE, EndpointKind.EMERGENCY})
