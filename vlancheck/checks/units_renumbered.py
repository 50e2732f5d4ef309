"""Units of a stack have other numbers than before: what is typed for one box is at another.

What it finds
    A stack of which a unit, known by its serial number or its address, has another number than in the earlier
    survey. It is one finding for the stack, however many ports are behind it.

Why it matters
    The lines stay with the number, and the cords with the box: all ports of a unit get the VLANs of another one.
    Every row of the sheet for these units names another box than the one the cord is in.

Before
    bridge sw1 exists=10,20
    port sw1:Gi1/0/1 pvid=10 member=10 untagged=10
    port sw1:Gi2/0/1 pvid=20 member=20 untagged=20
    setting sw1 serial:1=EXA0000A001 serial:2=EXA0000A002

Example
    bridge sw1 exists=10,20
    port sw1:Gi1/0/1 pvid=10 member=10 untagged=10
    port sw1:Gi2/0/1 pvid=20 member=20 untagged=20
    setting sw1 serial:1=EXA0000A002 serial:2=EXA0000A001
    => B104 sw1:Gi1/0/1 sw1:Gi2/0/1

Instead
    bridge sw1 exists=10,20
    port sw1:Gi1/0/1 pvid=10 member=10 untagged=10
    port sw1:Gi2/0/1 pvid=20 member=20 untagged=20
    setting sw1 serial:1=EXA0000A001 serial:2=EXA0000A002
    => clean

When it is intended
    When the numbers were changed on purpose, and the sheet was written anew for it.

Reference
    Catalyst 2960-CX Stack Manager and High Availability Configuration Guide, 15.2(7)E (a unit takes the lines of its
    number; a number that is taken already is changed). 3Com Switch 4200 installation guide (numbers follow the order
    of power-on or of the cabling).
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping

from vlancheck.dot1q.model import Device
from vlancheck.evidence import Fact
from vlancheck.findings.case import Case
from vlancheck.findings.finding import Finding, Severity, Where, evidence
from vlancheck.places import split_place

CODE = "B104"
NAME = "Units of a stack are renumbered"
_KNOWN_BY = ("serial:", "unit:")  # settings by which a unit is known, with its number behind; the surest first
_PLACE = re.compile(r"\D*(\d+)/")  # the number of the unit in the name of a port


def find(case: Case) -> Iterator[Finding]:
    """Yield one finding for each stack with units under other numbers."""
    if case.earlier is None:
        return
    for device in case.devices.values():
        then = _then(case, device)
        moved = next((found for by in _KNOWN_BY if then is not None and (found := _moved(by, then, device))), None)
        if then is not None and moved:
            yield _finding(device, then, moved)


def _then(case: Case, device: Device) -> Device | None:
    """Return the box in the earlier survey."""
    first = next(iter(device.ports), "")
    assert case.earlier is not None
    return case.earlier.devices.get(split_place(case.was(f"{device.name}:{first}"))[0]) if first else None


def _moved(by: str, then: Device, now: Device) -> dict[str, tuple[Fact[str], Fact[str]]]:
    """Return the units that are known in both surveys under different numbers: in words -> both lines."""
    before, after = _units(by, then), _units(by, now)
    found = {}
    for unit, (number, fact) in before.items():
        if unit in after and after[unit][0] != number:
            found[f"{fact.value} was unit {number} and is unit {after[unit][0]}"] = (fact, after[unit][1])
    return found


def _units(by: str, device: Device) -> Mapping[str, tuple[str, Fact[str]]]:
    return {
        fact.value.casefold(): (key.removeprefix(by), fact)
        for key, fact in device.settings.items()
        if key.startswith(by) and isinstance(fact.value, str)
    }


def _finding(device: Device, then: Device, moved: Mapping[str, tuple[Fact[str], Fact[str]]]) -> Finding:
    numbers = {number for words in moved for number in re.findall(r"unit (\d+)", words)}
    ports = [name for name in device.ports if (found := _PLACE.match(name)) and found[1] in numbers]
    where: list[Where] = []
    for was, now in moved.values():
        where += evidence(device.name, now.origins, "now", not where)
        where += evidence(then.name, was.origins, "before")
    return Finding(
        code=CODE,
        name=NAME,
        severity=Severity.WARNING,
        headline=f"units of the stack {device.name} have other numbers than before: {'; '.join(moved)}",
        why="lines stay with the number and cords with the box: ports of these units do what was typed for another",
        where=tuple(where),
        at=frozenset(f"{device.name}:{name}" for name in ports) or frozenset({device.name}),
        settled_by="the numbers as the units show them at their front, held against the sheet",
    )
