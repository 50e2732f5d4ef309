"""Speed or duplex is set at one end of a cord, and the other end negotiates or is set otherwise.

What it finds
    A cord between two boxes of which one end has speed 10 or 100, duplex half or full, or no negotiation set, and the
    other end has not; or both are set, to different things. Where the other box shows no such line anywhere, it is
    said what would decide it.

Why it matters
    The end that negotiates finds nobody to talk to and takes half duplex: late collisions on one side, CRC errors on
    the other, and everything is slow. On gigabit fibre the end that negotiates shows no link, and the other one does.

Example
    bridge sw1 exists=10
    port sw1:1 member=10
    port sw1:2 pvid=10 member=10 untagged=10
    set sw1:1 speed=100 duplex=full
    bridge sw2 exists=10
    port sw2:1 member=10
    port sw2:2 pvid=10 member=10 untagged=10
    set sw2:1 speed=auto
    link sw1:1 sw2:1
    => L106 sw1:1 sw2:1

Instead
    bridge sw1 exists=10
    port sw1:1 member=10
    port sw1:2 pvid=10 member=10 untagged=10
    set sw1:1 speed=100 duplex=full
    bridge sw2 exists=10
    port sw2:1 member=10
    port sw2:2 pvid=10 member=10 untagged=10
    set sw2:1 speed=100 duplex=full
    link sw1:1 sw2:1
    => clean

When it is intended
    Never: either both ends are set alike, or both negotiate.

Reference
    IEEE Std 802.3-2022, 28.2.3 (an end that hears no negotiation takes the speed it detects and half duplex), and
    clause 37 (1000BASE-X: an end that negotiates waits for the other), both from memory.
"""

from __future__ import annotations

from collections.abc import Iterator

from vlancheck.dot1q.model import DeviceKind, Port
from vlancheck.findings.case import Case
from vlancheck.findings.finding import Finding, Severity, evidence
from vlancheck.findings.moved import moved_cords
from vlancheck.findings.pace import Pace, pace, states_pace
from vlancheck.places import split_place
from vlancheck.wiring import Link

CODE = "L106"
NAME = "Speed or duplex is set at one end only"
_ASKED = frozenset({DeviceKind.BRIDGE, DeviceKind.ROUTER, DeviceKind.FIREWALL})


def find(case: Case) -> Iterator[Finding]:
    """Yield one finding for every cord whose ends do not settle the same speed and duplex."""
    # In what the two ports of a moved cord differ is told of the move.
    moved = {one.after for one in moved_cords(case) if _paces(one.was) != _paces(one.now)}
    for cord in case.cords:
        one, other = case.port(cord.one), case.port(cord.other)
        boxes = [case.devices.get(split_place(place)[0]) for place in (cord.one, cord.other)]
        if one is None or other is None or any(box is None or box.kind not in _ASKED or box.owner for box in boxes):
            continue
        here, there = pace(one), pace(other)
        if not (here.forced or there.forced) or any(place in moved for place in (cord.one, cord.other)):
            continue
        if here.forced and there.forced:
            if not _apart(here, there):
                continue
            silent = ""
        else:
            quiet = cord.other if here.forced else cord.one
            box = case.devices[split_place(quiet)[0]]
            silent = "" if states_pace(box) else quiet
        yield _finding(cord, here, there, silent)


def _finding(cord: Link, here: Pace, there: Pace, silent: str) -> Finding:
    first, last = ((cord.one, here), (cord.other, there)) if here.forced else ((cord.other, there), (cord.one, here))
    return Finding(
        code=CODE,
        name=NAME,
        severity=Severity.NOTE if silent else Severity.WARNING,
        headline=f"{first[0]} is set to {first[1].told}, and {last[0]} to {last[1].told}",
        why="the end that negotiates shows no link"
        if first[1].no_negotiation
        else "one end takes half duplex or another speed: frames are lost under load, or there is no link",
        where=(
            *evidence(first[0], first[1].origins, first[1].told, True),
            *evidence(last[0], last[1].origins, last[1].told),
        ),
        at=frozenset({cord.one, cord.other}),
        settled_by=f"speed and duplex of {silent} as the device prints them" if silent else "",
        cause=False,
    )


def _paces(port: Port) -> tuple[int | None, bool | None]:
    found = pace(port)
    return found.rate, found.full


def _apart(here: Pace, there: Pace) -> bool:
    """Tell whether two ends that are both set are set to different things."""
    rates = {here.rate, there.rate} - {None}
    duplex = {here.full, there.full}
    return len(rates) > 1 or duplex == {True, False} or here.no_negotiation != there.no_negotiation
