"""A device that takes its power over the cord is moved to a port that gives none.

What it finds
    A moved cord of which the old port was shown to power something, or that leads to a phone, a camera or an access
    point, and a new port whose power is turned off, or whose switch shows no power where the old one did.

Why it matters
    The device stays dark. Nothing in any VLAN is wrong, and nothing in the switch says so.

Before
    bridge ACC-1 exists=10
    port ACC-1:1 pvid=10 member=10 untagged=10
    port ACC-1:2 pvid=10 member=10 untagged=10
    set ACC-1:1 power-drawn="on 6.3 W"
    set ACC-1:2 power=off power-drawn="off 0.0 W"
    serves ACC-1:1 camera yard
    empty ACC-1:2

Example
    bridge ACC-1 exists=10
    port ACC-1:1 pvid=10 member=10 untagged=10
    port ACC-1:2 pvid=10 member=10 untagged=10
    set ACC-1:1 power-drawn="on 6.3 W"
    set ACC-1:2 power=off power-drawn="off 0.0 W"
    serves ACC-1:2 camera yard
    empty ACC-1:1
    => P104 ACC-1:2

Instead
    bridge ACC-1 exists=10
    port ACC-1:1 pvid=10 member=10 untagged=10
    port ACC-1:2 pvid=10 member=10 untagged=10
    set ACC-1:1 power-drawn="on 6.3 W"
    set ACC-1:2 power-drawn="off 0.0 W"
    serves ACC-1:2 camera yard
    empty ACC-1:1
    => clean

When it is intended
    When the device has a power supply or an injector of its own: say so on the plan that goes into the closet.

Reference
    IEEE Std 802.3, 33 (power over the cord), from memory. That phones, cameras and access points are powered so is
    common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator

from vlancheck.dot1q.properties import Property
from vlancheck.findings.case import Case
from vlancheck.findings.finding import Finding, Severity, evidence
from vlancheck.findings.moved import MovedCord, kinds_at, moved_cords
from vlancheck.findings.settings import is_on, lines, word
from vlancheck.places import split_place
from vlancheck.site.endpoints import EndpointKind

CODE = "P104"
NAME = "The new port gives no power"
_POWERED = {
    EndpointKind.PHONE: "a phone",
    EndpointKind.CAMERA: "a camera",
    EndpointKind.ACCESS_POINT: "an access point",
}
_WANTED = "yes"  # power that a line turned on, where silence is off


def find(case: Case) -> Iterator[Finding]:
    """Yield a finding for each moved cord whose device loses its power."""
    for one in moved_cords(case):
        likely = [words for kind, words in _POWERED.items() if kind in kinds_at(case, one.after)]
        drew = word(one.was, Property.POWER_DRAWN).casefold().startswith("on")
        if (drew or likely) and (lacks := _lacks(case, one, drew=drew)):
            told = f"{one.before} powers it ({word(one.was, Property.POWER_DRAWN)})" if drew else ""
            told = told or f"{' and '.join(likely)} is likely powered over its cord"
            yield Finding(
                code=CODE,
                name=NAME,
                severity=Severity.ERROR if drew else Severity.WARNING,
                headline=f"{one.headline}, and {lacks}",
                why=f"{told}; it stays dark in the new port",
                where=(
                    *evidence(one.after, lines(one.now, Property.POWER, Property.POWER_DRAWN), "gives no power", True),
                    *evidence(one.before, lines(one.was, Property.POWER_DRAWN, Property.POWER), "before"),
                    *evidence(one.after, one.origins, "the cord"),
                ),
                at=frozenset({one.after}),
                cause=False,
            )


def _lacks(case: Case, one: MovedCord, *, drew: bool) -> str:
    """Return why the new port gives no power; "" when nothing says that it does not."""
    if Property.POWER in one.now.properties and not is_on(one.now, Property.POWER):
        off = Property.POWER in one.was.properties and not is_on(one.was, Property.POWER)
        return "" if off else f"power is turned off at {one.after}"
    here = case.devices[split_place(one.after)[0]]
    before = case.earlier.devices.get(split_place(one.before)[0]) if case.earlier else None
    alike = before is not None and before.dialect == here.dialect
    if alike and word(one.was, Property.POWER) == _WANTED and not is_on(one.now, Property.POWER):
        return f"no line turns power on at {one.after}, as one does at {one.before}"
    if drew and Property.POWER_DRAWN not in one.now.properties and not is_on(one.now, Property.POWER):
        if not any({Property.POWER_DRAWN, Property.POWER} & set(port.properties) for port in here.ports.values()):
            return f"{here.name} shows no power at any port"
        if any(Property.POWER_DRAWN in port.properties for port in here.ports.values()):
            return f"{one.after} is not among the ports that {here.name} powers"
    return ""
