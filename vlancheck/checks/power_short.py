"""A box has not the power that its ports are to give, or does not give it at a port with a phone, camera or radio.

What it finds
    A box whose ports, by what captures show that their devices draw here or drew in their old ports, need more than
    it shows that it has; ports that it shows as denied, or as faulty; and a port whose power a line turns off, with a
    phone, a camera or an access point at it. Where a moved cord lost its power that is told of the move.

Why it matters
    Whoever is plugged in last stays dark, or starts again and again; which ones it is changes with every power-off.

Example
    bridge sw1 exists=10
    setting sw1 power-budget=20.0
    port sw1:1 pvid=10 member=10 untagged=10
    port sw1:2 pvid=10 member=10 untagged=10
    set sw1:1 power-drawn="on 15.4 W"
    set sw1:2 power-drawn="power-deny 0.0 W"
    serves sw1:1 camera yard
    serves sw1:2 camera gate
    => P110 sw1:2

Instead
    bridge sw1 exists=10
    setting sw1 power-budget=40.0
    port sw1:1 pvid=10 member=10 untagged=10
    port sw1:2 pvid=10 member=10 untagged=10
    set sw1:1 power-drawn="on 15.4 W"
    set sw1:2 power-drawn="on 15.4 W"
    serves sw1:1 camera yard
    serves sw1:2 camera gate
    => clean

When it is intended
    A device with a power supply or an injector of its own needs none from the port.

Reference
    IEEE Std 802.3, 33 (power over the cord), from memory. Extreme Networks, "PD Disconnect Precedence" (a box that
    runs short takes ports off). Common practice, no source: what devices draw when they start is more than later.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from typing import NamedTuple

from vlancheck.dot1q.model import Device, Port
from vlancheck.dot1q.properties import Property
from vlancheck.evidence import Kind, Origins
from vlancheck.findings.case import Case
from vlancheck.findings.finding import Finding, Severity, Where, evidence
from vlancheck.findings.moved import MovedCord, kinds_at, moved_cords
from vlancheck.findings.settings import is_on, lines, word
from vlancheck.site.endpoints import EndpointKind

CODE = "P110"
NAME = "Not enough power, or none, over the cords"
_BUDGET = "power-budget"  # setting: watts that the box shows it can give
_OF_UNIT = "power-budget-of-unit:"  # the same of one unit of a stack, its number behind
_POWERED = frozenset({EndpointKind.PHONE, EndpointKind.CAMERA, EndpointKind.ACCESS_POINT})
_OUT = {"power-deny": "denied", "faulty": "faulty", "police": "cut off for drawing too much"}
_NAMED = 4  # ports that a headline names


class _Draw(NamedTuple):
    """What one device draws."""

    name: str  # of the port that it is in
    watts: float  # as shown
    shown_at: str  # DEVICE:PORT where it was shown
    lines: Origins  # that show it


def find(case: Case) -> Iterator[Finding]:
    """Yield for each box that its power is short, that ports got none, and that lines turn it off at what needs it."""
    moved = {one.after: one for one in moved_cords(case)}
    for device in case.devices.values():
        yield from _refused(case, device)
        yield from _short(case, device, moved)
        for port in device.ports.values():
            if f"{device.name}:{port.name}" not in moved:
                yield from _off(case, f"{device.name}:{port.name}", port)


def _refused(case: Case, device: Device) -> Iterator[Finding]:
    """Yield the ports that a box shows as without power though something asks for it."""
    states = {
        f"{device.name}:{port.name}": said
        for port in device.ports.values()
        if (said := word(port, Property.POWER_DRAWN).partition(" ")[0].casefold()) in _OUT
    }
    if not states:
        return
    where: list[Where] = []
    for place in states:
        where += evidence(place, lines(case.port(place), Property.POWER_DRAWN), "shown", not where)
    told = ", ".join(f"{place} ({_OUT[said]})" for place, said in [*states.items()][:_NAMED])
    told += f" and {len(states) - _NAMED} more" if len(states) > _NAMED else ""
    yield Finding(
        code=CODE,
        name=NAME,
        severity=Severity.WARNING,
        headline=f"{device.name} gives no power at {told}",
        why="what is plugged in there asks for power and stays dark",
        where=tuple(where),
        at=frozenset(states),
    )


def _short(case: Case, device: Device, moved: Mapping[str, MovedCord]) -> Iterator[Finding]:
    """Yield that what is to be at the ports of a box, or of a unit of a stack, draws more than it shows that it has."""
    budgets = [(key.removeprefix(_OF_UNIT), fact) for key, fact in device.settings.items() if key.startswith(_OF_UNIT)]
    if _BUDGET in device.settings:
        budgets.append(("", device.settings[_BUDGET]))
    drawn = list(_drawn(case, device, moved)) if budgets else []
    for unit, budget in budgets:
        here = [one for one in drawn if not unit or _unit(one.name) == unit]
        needs = round(sum(one.watts for one in here), 1)
        has = float(str(budget.value)) if re.fullmatch(r"\d+(?:\.\d+)?", str(budget.value)) else needs
        if needs <= has:
            continue
        here.sort(key=lambda one: -one.watts)
        where = list(evidence(device.name, budget.origins, "what it has", True))
        for one in here[:_NAMED]:
            where += evidence(one.shown_at, one.lines, f"draws {one.watts:g} W")
        called = f"unit {unit} of {device.name}" if unit else device.name
        yield Finding(
            code=CODE,
            name=NAME,
            severity=Severity.WARNING,
            headline=f"{called} has {has:g} W for its ports, and {len(here)} devices draw {needs:g} W",
            why="those that ask last get none, or those with the lowest priority lose theirs",
            where=tuple(where),
            at=frozenset({device.name}),
            cause=False,
        )


def _drawn(case: Case, device: Device, moved: Mapping[str, MovedCord]) -> Iterator[_Draw]:
    """Yield what is shown to be drawn by what is at the ports of a box now, wherever it was when that was shown."""
    left = {one.before.casefold() for one in moved.values()}
    for port in device.ports.values():
        place = f"{device.name}:{port.name}"
        if place in moved:
            source, at = moved[place].was, moved[place].before
        elif case.was(place).casefold() in left:
            continue  # its device is in another port now
        else:
            source, at = port, place
        if (watts := _watts(source)) > 0:
            yield _Draw(port.name, watts, at, lines(source, Property.POWER_DRAWN))


def _unit(port: str) -> str:
    """Return the number of the unit in the name of a port; "" where it has none."""
    found = re.match(r"\D*(\d+)/", port)
    return found[1] if found else ""


def _watts(port: Port) -> float:
    """Return what was shown to be drawn at a port; 0 where nothing was."""
    found = re.match(r"on\s+(\d+(?:\.\d+)?)", word(port, Property.POWER_DRAWN).casefold())
    return float(found[1]) if found else 0.0


def _off(case: Case, place: str, port: Port) -> Iterator[Finding]:
    """Yield that a line turns off the power of a port at which something is that is powered over its cord."""
    kinds: Sequence[EndpointKind] = sorted(_POWERED & kinds_at(case, place))
    if not kinds or Property.POWER not in port.properties or is_on(port, Property.POWER):
        return
    then = case.earlier.port(case.was(place)) if case.earlier else None
    off_before = then is not None and Property.POWER in then.properties and not is_on(then, Property.POWER)
    works = port.link.value is True and any(one.kind is Kind.SHOW for one in port.link.origins)
    if off_before or works:
        return
    drew = then is not None and _watts(then) > 0
    yield Finding(
        code=CODE,
        name=NAME,
        severity=Severity.WARNING if drew else Severity.NOTE,
        headline=f"power is turned off at {place}, and `{case.endpoints[place].text}` hangs there",
        why="it stays dark, unless it has a power supply of its own"
        if not drew
        else f"it drew power there before ({word(then, Property.POWER_DRAWN)}), and stays dark",
        where=(
            *evidence(place, lines(port, Property.POWER), "turned off", True),
            *evidence(place, case.endpoints[place].origins, "what hangs there"),
        ),
        at=frozenset({place}),
        settled_by="" if drew else f"whether what hangs at {place} has a power supply of its own",
        cause=False,
    )
