"""A port takes fewer addresses than a phone and the PC behind it have.

What it finds
    A port with a voice VLAN, or with a phone and a PC at it, that takes one address at most; and, as a note, one with
    a voice VLAN that takes two. Ports of one box with the same limit are one finding.

Why it matters
    The phone comes first and takes the one place; the PC behind it shuts the port, or is not heard. With two, both
    work until the phone restarts: many a phone asks untagged before it knows its voice VLAN, and then counts twice.

Example
    bridge sw1 exists=10,20
    port sw1:1 pvid=10 member=10,20 untagged=10
    set sw1:1 voice=20 mac-limit=1 on-violation=shutdown
    serves sw1:1 phone 211 + PC
    => P108 sw1:1

Instead
    bridge sw1 exists=10,20
    port sw1:1 pvid=10 member=10,20 untagged=10
    set sw1:1 voice=20 mac-limit=3 on-violation=shutdown
    serves sw1:1 phone 211 + PC
    => clean

When it is intended
    Where a phone is to be alone at its port, or addresses are counted for each VLAN by itself on this release.

Reference
    Catalyst 3550 Command Reference, p. 617, "switchport port-security" (the limit is one unless a line says more; with
    a voice VLAN it is to be at least two, and one more for each further PC). Whether two or three are needed is
    disputed in practice.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from vlancheck.dot1q.model import Port
from vlancheck.dot1q.properties import Property
from vlancheck.findings.case import Case
from vlancheck.findings.finding import Finding, Severity, Where, evidence
from vlancheck.findings.moved import kinds_at
from vlancheck.findings.settings import is_on, limit, lines, word
from vlancheck.site.boxes import Occupancy
from vlancheck.site.endpoints import EndpointKind

CODE = "P108"
NAME = "Fewer addresses than a phone and a PC have"
_FEW, _TIGHT = 1, 2
_NAMED = 4  # ports that a headline names


def find(case: Case) -> Iterator[Finding]:
    """Yield one finding for the ports of a box with the same limit."""
    for device in case.devices.values():
        found: dict[tuple[int, str], list[str]] = {}
        for port in device.ports.values():
            place = f"{device.name}:{port.name}"
            most = limit(port)
            if most is not None and most <= _most(case, place, port):
                found.setdefault((most, word(port, Property.ON_VIOLATION)), []).append(place)
        for (most, does), places in found.items():
            yield _finding(case, places, most, does)


def _most(case: Case, place: str, port: Port) -> int:
    """Return the largest limit that is too small at a port; 0 where no phone is expected with something behind it."""
    kinds = kinds_at(case, place)
    if port.up.value is False or (not kinds and case.ground.occupancy(place).state is Occupancy.EMPTY):
        return 0
    if kinds and EndpointKind.PHONE not in kinds:
        return 0  # what hangs there has one address, whatever the port is set up for
    if is_on(port, Property.VOICE):
        return _TIGHT if word(port, Property.VOICE).isdecimal() else _FEW
    return _FEW if {EndpointKind.PHONE, EndpointKind.PC} <= kinds else 0


def _finding(case: Case, places: Sequence[str], most: int, does: str) -> Finding:
    where: list[Where] = []
    for place in places[:_NAMED]:
        port = case.port(place)
        where += evidence(place, lines(port, Property.MAC_LIMIT), f"takes {most}", not where)
        if port is not None and Property.VOICE in port.properties:
            where += evidence(place, lines(port, Property.VOICE), "a voice VLAN")
        if place in case.endpoints:
            where += evidence(place, case.endpoints[place].origins, "a phone")
    named = ", ".join(places[:_NAMED]) + (f" and {len(places) - _NAMED} more" if len(places) > _NAMED else "")
    takes = f"take{'s' if len(places) == 1 else ''} {most} address{'es' if most != 1 else ''}"
    then = f"for one more the port does `{does}`" if does else "one more is refused"
    phone = "a phone that starts may count in both VLANs" if most == _TIGHT else "a phone and a PC have two"
    return Finding(
        code=CODE,
        name=NAME,
        severity=Severity.WARNING if most <= _FEW else Severity.NOTE,
        headline=f"{named} {takes}, and {phone}",
        why=then,
        where=tuple(where),
        at=frozenset(places),
        cause=False,
    )
